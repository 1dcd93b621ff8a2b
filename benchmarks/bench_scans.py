"""Point clouds made into robust heights: beside the same product from laspy and numpy, and beside one plain mean."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import laspy
import numpy as np
import pytest
from shapely import box

from courtwright.site.complaints import Complaints
from courtwright.site.formats.las import open_scan
from courtwright.site.scans import BLOCK, MOST_BLOCKS, _Lattice, scanned

WIDE, DEEP = 36.0, 18.0
OUTLINE = box(0, 0, WIDE, DEEP)
#: The peers' blocks are ours.
LATTICE = _Lattice.over(OUTLINE, BLOCK, MOST_BLOCKS)
COUNT = LATTICE.rows * LATTICE.cols
#: The most memory that a process may hold at any time, the interpreter and libraries included. [bytes]
MOST_MEMORY = 2e9


def _write(path: Path, points: int) -> Path:
    """Write a scan of a court, line after line as a scanner goes: 1 %, undulations, 1.5 mm of noise."""
    if path.exists():
        return path
    header = laspy.LasHeader(version="1.2", point_format=3)
    header.scales, header.offsets = np.full(3, 1e-4), np.array([0.0, 0.0, 100.0])
    chance, part = np.random.default_rng(0), 2_500_000
    with laspy.open(path, "w", header=header) as file:
        for first in range(0, points, part):
            count = min(part, points - first)
            x = chance.uniform(0, WIDE, count)
            y = (first + np.arange(count)) / points * DEEP
            z = 100 + 0.01 * x + 0.006 * np.sin(x / 3) * np.cos(y / 4) + chance.normal(0, 0.0015, count)
            record = laspy.ScaleAwarePointRecord.zeros(count, header=header)
            record.x, record.y, record.z = x, y, z
            file.write_points(record)
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder that all scans of this file are written to, each once."""
    return tmp_path_factory.mktemp("scans")


def _ours(path: Path) -> np.ndarray:
    with path.open("rb") as handle:
        scan = open_scan(handle, path.name, "metric", Complaints())
        assert scan is not None
        points = scanned(scan, None, OUTLINE, path.name, Complaints())
    assert points is not None
    return points.xyz


def _number(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the number of the block that each place lies in."""
    row, col = ((axis - low) / LATTICE.cell for axis, low in ((y, LATTICE.low), (x, LATTICE.left)))
    return row.astype(np.int64) * LATTICE.cols + col.astype(np.int64)


def _blocks(path: Path) -> tuple[np.ndarray, np.ndarray]:
    data = laspy.read(path)
    return _number(np.asarray(data.x), np.asarray(data.y)), np.asarray(data.z)


def _plain_means(path: Path) -> np.ndarray:
    """Count and mean of each block: what laspy and numpy do best, without any rejection."""
    block, z = _blocks(path)
    return np.bincount(block, z, COUNT) / np.maximum(np.bincount(block, minlength=COUNT), 1)


def _medians(z: np.ndarray, start: np.ndarray, count: np.ndarray) -> np.ndarray:
    """Return the middle of each run of sorted heights."""
    return z[start + (count - 1) // 2]


def _robust_means(path: Path) -> np.ndarray:
    """Median, median deviation, and the mean of what lies near, by sorting: our product but for the lowest points."""
    block, z = _blocks(path)
    order = np.lexsort((z, block))
    block, z = block[order], z[order]
    count = np.bincount(block, minlength=COUNT)
    start = np.concatenate([[0], np.cumsum(count)[:-1]])
    off = np.abs(z - np.repeat(_medians(z, start, count), count))
    deviation = _medians(off[np.lexsort((off, block))], start, count)
    near = off <= np.repeat(np.maximum(3 * 1.4826 * deviation, 0.002), count)
    number = np.bincount(block[near], minlength=COUNT)
    return np.bincount(block[near], z[near], COUNT) / np.maximum(number, 1)


@pytest.mark.parametrize(("suffix", "most"), [("las", 0.35), ("laz", 1.0)])
def test_robust_heights_beside_the_same_by_sorting(beside: Any, folder: Path, suffix: str, most: float):
    """Ten million points: heights agree within half a millimetre, nine in ten within a twentieth."""
    path = _write(folder / f"ten.{suffix}", 10_000_000)
    ours, theirs = _ours(path), _robust_means(path)
    assert len(ours) > 0.9 * COUNT
    apart = np.abs(ours[:, 2] - theirs[_number(*ours[:, :2].T)])
    assert apart.max() < 5e-4
    assert np.quantile(apart, 0.9) < 5e-5
    beside(
        f"robust heights of 10 million points, {suffix}", lambda: _ours(path),
        f"laspy {laspy.__version__}, numpy: sorted medians, one mean", lambda: _robust_means(path),
        most=most, rounds=2,
    )  # fmt: skip


@pytest.mark.parametrize(("suffix", "most"), [("las", 2.0), ("laz", 2.0)])
def test_robust_heights_beside_a_plain_mean(beside: Any, folder: Path, suffix: str, most: float):
    """The peer rejects nothing and knows neither ground nor spread: less for its time."""
    path = _write(folder / f"ten.{suffix}", 10_000_000)
    beside(
        f"the same beside a plain mean, {suffix}", lambda: _ours(path),
        f"laspy {laspy.__version__}, np.bincount: no rejection", lambda: _plain_means(path), most=most, rounds=2,
    )  # fmt: skip


def test_fifty_million_points_in_bounded_memory(within: Any, folder: Path):
    """A file of 1.7 GB in a process of its own, which says how much it ever held."""
    path = _write(folder / "fifty.las", 50_000_000)
    script = f"import {__name__} as bench; from pathlib import Path; print(bench.held(Path({str(path)!r})))"
    held: list[int] = []

    def run() -> None:
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
        held.append(int(done.stdout))

    within("robust heights of 50 million points, las, start included", run, 30.0, rounds=1, held=lambda: max(held))
    path.unlink()
    assert max(held) < MOST_MEMORY


def held(path: Path) -> int:
    """Read a scan and return the most memory that this process has held. [bytes]"""
    _ours(path)
    # Not getrusage, which begins with what the parent held when it forked.
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) * 1024
