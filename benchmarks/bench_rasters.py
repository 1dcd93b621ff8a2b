"""Large rasters: the ponds of a scan, and a straightedge laid over all of a court."""

from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np
import pyflwdir
import pytest
from scipy import ndimage

from courtwright.ground.flatness import DIRECTIONS, worst_place
from courtwright.ground.kernels.straightedge import greatest_gap
from courtwright.ground.kernels.water import pooled
from courtwright.ground.ponds import standing_water


def _court(rows: int, cols: int) -> np.ndarray:
    """Return a scan of a court: a fall of 1 %, undulations of some metres, 0.3 mm of grain. [m]"""
    random = np.random.default_rng(0)
    waves = ndimage.gaussian_filter(random.standard_normal((64, 64)), 1.2)
    waves = ndimage.zoom(waves / waves.std(), (rows / 64, cols / 64), order=3, mode="nearest")[:rows, :cols] * 0.006
    fall = 0.36 * np.linspace(0, 1, rows)[:, None]
    return np.ascontiguousarray(waves + fall + random.normal(0, 0.0003, (rows, cols)), dtype=np.float32)


def _theirs(height: np.ndarray) -> Any:
    """Depth, extent and volume of every pond with pyflwdir and scipy: still without spill and catchment."""
    level, _ = pyflwdir.dem.fill_depressions(height, outlets="edge")
    depth = level - height
    label, count = ndimage.label(depth > 0, np.ones((3, 3)))
    every = range(1, count + 1)
    return level, ndimage.sum(depth, label, every), ndimage.maximum(depth, label, every)


@pytest.mark.parametrize("side", [1000, 3000])
def test_ponds_of_a_scan(beside: Any, side: int):
    """Level, ponds, volumes, spills: levels agree within 0.001 mm."""
    height = _court(side, side)
    level, found = standing_water(height)
    theirs, volume, _ = _theirs(height)
    assert np.abs(level - theirs).max() < 1e-6
    assert found.depth_sum.sum() == pytest.approx(volume.sum(), rel=1e-4)
    beside(
        f"ponds of {side} by {side} cells", lambda: standing_water(height),
        f"pyflwdir {pyflwdir.__version__} and scipy", lambda: _theirs(height), most=0.35, rounds=2,
    )  # fmt: skip


@pytest.mark.parametrize("side", [1000, 3000, 7000])
def test_filling_of_a_scan(beside: Any, side: int):
    """The levels alone, of which ours come with the ponds."""
    height = _court(side, side)
    pooled(height[:100, :100])
    beside(
        f"filling {side} by {side} cells", lambda: pooled(height), f"pyflwdir {pyflwdir.__version__}",
        lambda: pyflwdir.dem.fill_depressions(height, outlets="edge"), most=0.6,
        rounds=1 if side == 7000 else 2, warmup=0,
    )  # fmt: skip


def test_ponds_of_the_largest_scan(within: Any):
    """49 million cells."""
    height = _court(7000, 7000)
    pooled(height[:100, :100])
    within("ponds of 7,000 by 7,000 cells", lambda: pooled(height), 12.0)


@numba.njit
def _hulls_of_every_window(z: Any, span: int) -> float:
    """Build the upper hull of each window of a line by itself (Andrew's monotone chain)."""
    hull = np.empty(span + 2, np.int64)
    worst = 0.0
    for first in range(max(0, len(z) - span)):
        top = 0
        hull[0] = first
        for i in range(first + 1, first + span + 1):
            while top and (z[hull[top]] - z[hull[top - 1]]) * (i - hull[top - 1]) <= (z[i] - z[hull[top - 1]]) * (
                hull[top] - hull[top - 1]
            ):
                top -= 1
            top += 1
            hull[top] = i
        for edge in range(top):
            a, b = hull[edge], hull[edge + 1]
            for k in range(a + 1, b):
                worst = max(worst, z[a] + (z[b] - z[a]) * (k - a) / (b - a) - z[k])
    return worst


@numba.njit
def _brute(height: Any, down: int, across: int, span: int) -> float:
    rows, cols = height.shape
    worst = 0.0
    for row in range(rows):
        for col in range(cols):
            if 0 <= row - down < rows and 0 <= col - across < cols:
                continue
            count = 0
            line = np.empty(max(rows, cols))
            r, c = row, col
            while 0 <= r < rows and 0 <= c < cols:
                line[count] = height[r, c]
                count += 1
                r, c = r + down, c + across
            worst = max(worst, _hulls_of_every_window(line[:count], span))
    return worst


def _every_window(height: np.ndarray, cell: float, length: float) -> float:
    return max(_brute(height, *d, math.floor(length / (cell * math.hypot(*d)) + 1e-9)) for d in DIRECTIONS)


def test_straightedge_over_a_court(beside: Any):
    """A court of 36 by 18 m in 5 cm cells, 16 directions: equal within a millionth of a millimetre."""
    height = _court(720, 360).astype(np.float64)
    assert worst_place(height, 0.05, 3.048).gap == pytest.approx(_every_window(height, 0.05, 3.048), abs=1e-9)
    beside(
        "straightedge over a court, 5 cm cells", lambda: worst_place(height, 0.05, 3.048),
        "each window's hull, compiled", lambda: _every_window(height, 0.05, 3.048), most=0.4, rounds=2,
    )  # fmt: skip


@pytest.mark.parametrize(("cell", "most"), [(0.02, 2.5), (0.01, 10.0)])
def test_straightedge_over_a_fine_court(within: Any, cell: float, most: float):
    """The same court at 2 and 1 cm."""
    height = _court(round(36 / cell), round(18 / cell))
    greatest_gap(height[:400, :400], (0, 1), 100.0, 0.0)
    within(f"straightedge over a court, {cell * 100:.0f} cm cells", lambda: worst_place(height, cell, 3.048), most)
