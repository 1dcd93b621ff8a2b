"""Where tests find files that are too large to carry: a collection beside the project, used when it is there."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "tests" / "data"
DEMO_SITE = ROOT / "src" / "courtwright" / "site" / "demo_site"


def shared_data(*parts: str) -> Path:
    """Return a file or folder of the collection ``shared/data`` beside the project, or skip the test."""
    there = ROOT.parent.joinpath("shared", "data", *parts)
    if not there.exists():
        pytest.skip(f"shared/data/{'/'.join(parts)} is not beside the project")
    return there
