"""How long the commands take on the demo, each in a process of its own, imports included."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

COMMAND = Path(sys.executable).with_name("courtwright")
#: What a verdict and the whole demo job may take. [s]
VERDICT, DEMO = 3.0, 20.0


#: As a person's shell has it: nothing said of how many cores to use.
_SHELL = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}


def _run(*arguments: str) -> None:
    command = [str(COMMAND), *arguments]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL, env=_SHELL)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    _run("demo", str(tmp_path / "site"))
    return tmp_path / "site"


def test_a_verdict_on_the_demo_takes_under_three_seconds(within: Any, site: Path):
    """Two pads with their shots, marks and tallies, read, judged and printed."""
    within("courtwright verdict, demo site", lambda: _run("verdict", str(site)), VERDICT)


def test_the_demo_job_takes_under_twenty_seconds(within: Any, tmp_path: Path):
    """The site written, prices and the offer, as make demo does it."""
    folders = iter(tmp_path / str(i) for i in range(9))

    def job() -> None:
        folder = next(folders)
        site, offer = str(folder / "site"), str(folder / "offer")
        folder.mkdir()
        _run("demo", site)
        _run("price", site, "--json")
        _run("offer", site, "--out", offer, "--start", "2026-06-22", "--json")

    within("demo, price and offer of the demo site", job, DEMO)
