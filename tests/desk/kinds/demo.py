"""The demo site in memory, and the bare one."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

DEMO = Path(__file__).parents[3] / "src" / "courtwright" / "site" / "demo_site"

BARE: Mapping[str, bytes] = {
    "site.toml": b"""
[job]
name = "Low Meadow"
[site]
walked_on = 2026-04-11
[[pad]]
id = "a"
surface = "asphalt"
outline = [[0,0],[60,0],[60,120],[0,120]]
"""
}


def demo() -> dict[str, bytes]:
    return {file.relative_to(DEMO).as_posix(): file.read_bytes() for file in sorted(DEMO.rglob("*")) if file.is_file()}


def zipped(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return out.getvalue()


def untold(done: int, of: int) -> None:
    """Tell nobody."""
