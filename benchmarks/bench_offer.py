"""How long an offer takes: all its files cold in a process of its own, and its pages and plans warm."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from pytest_benchmark.fixture import BenchmarkFixture
from tests.offer import pads, specimens

from courtwright.offer.document import offer_pdf
from courtwright.offer.paper import Paper
from courtwright.offer.plan import plan_svg

_COLD = "from pathlib import Path; from courtwright.offer import write_offer; from tests.offer import specimens; "
_COLD += "write_offer(specimens.two_pads(start=specimens.START), Path({folder!r}))"


def _best(benchmark: BenchmarkFixture) -> float:
    assert benchmark.stats is not None
    return benchmark.stats.stats.min


def test_a_whole_offer_is_written_cold_within_three_seconds(benchmark: BenchmarkFixture, tmp_path: Path):
    """Imports included: eight files for two pads with photos."""
    command = [sys.executable, "-c", _COLD.format(folder=str(tmp_path / "offer"))]
    root = Path(__file__).parents[1]
    benchmark.pedantic(lambda: subprocess.run(command, check=True, cwd=root), rounds=3)
    assert _best(benchmark) < 3.0


def test_the_pages_are_set_within_a_second(benchmark: BenchmarkFixture):
    """Sections, plans, photos and typesetting of two pads."""
    paper = Paper.of(specimens.two_pads())
    benchmark.pedantic(lambda: offer_pdf(paper), rounds=5, warmup_rounds=1)
    assert _best(benchmark) < 1.0


def test_a_plan_of_two_hundred_cracks_is_drawn_within_half_a_second(benchmark: BenchmarkFixture):
    """Labels placed, at the largest scale that fits."""
    pad, reading = pads.many_marks()
    benchmark.pedantic(lambda: plan_svg(pad, reading), rounds=5, warmup_rounds=1)
    assert _best(benchmark) < 0.5
