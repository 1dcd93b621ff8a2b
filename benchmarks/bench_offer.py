"""How long an offer takes: all its files cold in a process of its own, and its pages and plans warm."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

from tests.offer import pads, specimens

from courtwright.offer.document import offer_pdf
from courtwright.offer.paper import Paper
from courtwright.offer.plan import plan_svg

_COLD = "from pathlib import Path; from courtwright.offer import write_offer; from tests.offer import specimens; "
_COLD += "write_offer(specimens.two_pads(start=specimens.START), Path({folder!r}))"


def test_a_whole_offer_is_written_cold_within_three_seconds(within: Any, tmp_path: Path):
    """Imports included: eight files for two pads with photos."""
    command = [sys.executable, "-c", _COLD.format(folder=str(tmp_path / "offer"))]
    root = Path(__file__).parents[1]
    within("an offer of two pads, cold", lambda: subprocess.run(command, check=True, cwd=root), limit=3.0)


def test_the_pages_are_set_within_a_second(within: Any):
    """Sections, plans, photos and typesetting of two pads."""
    paper = Paper.of(specimens.two_pads())
    offer_pdf(paper)
    within("its pages, warm", lambda: offer_pdf(paper), limit=1.0, rounds=5)


def test_a_plan_of_two_hundred_cracks_is_drawn_within_half_a_second(within: Any):
    """Labels placed, at the largest scale that fits."""
    pad, reading = pads.many_marks()
    plan_svg(pad, reading)
    within("a plan of 200 cracks, warm", lambda: plan_svg(pad, reading), limit=0.5, rounds=5)
