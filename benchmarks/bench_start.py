"""How long ``courtwright --help`` takes, in bare Python starts: at most six."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

COMMAND = Path(sys.executable).with_name("courtwright")


def _run(*command: str) -> None:
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL)


def test_help_starts_within_six_bare_pythons(beside: Any):
    """Nothing heavy is imported before a command is known."""
    bare = f"Python {sys.version.split()[0]} -c pass"
    beside(
        "courtwright --help",
        lambda: _run(str(COMMAND), "--help"),
        bare,
        lambda: _run(sys.executable, "-c", "pass"),
        most=6.0,
        rounds=10,
    )
