"""Pads whose heights are known by formula, each with its reading."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from shapely import Point, Polygon, box, intersects_xy
from shapely.affinity import rotate

from courtwright.ground.read import flatness
from courtwright.ground.reading import HeightGrid, LowSpot, PadReading
from courtwright.ground.regrade.nodes import axes_of
from courtwright.ground.regrade.plane import Ground, Plane
from courtwright.ground.regrade.read import PadRegrade, Part, Stake, Surface
from courtwright.site.record import Court, Pad, Shots
from tests.offer import pads

Shape = Callable[[np.ndarray, np.ndarray], np.ndarray]
#: A pit of this depth at each of these places, so wide. [m]
PITS = ((8.0, 5.0, 0.030), (26.0, 13.0, 0.018))
RADIUS = 2.2


def pitted(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return a pad that falls by half a percent, with round pits. [m]"""
    z = 30.0 - 0.005 * y
    for px, py, depth in PITS:
        r2 = ((x - px) ** 2 + (y - py) ** 2) / RADIUS**2
        z = np.where(r2 < 1, 30.0 - 0.005 * py - depth * (1 - r2), z)
    return z


def grid_of(outline: Polygon, shape: Shape, cell: float = 0.25, sd: float = 0.002) -> HeightGrid:
    """Return the heights of a formula on a pad's grid, NaN off it."""
    left, low, right, high = outline.bounds
    x, y = np.meshgrid(np.arange(left, right + 1e-9, cell), np.arange(low, high + 1e-9, cell))
    on = intersects_xy(outline.buffer(1e-6), x, y)
    height = np.where(on, shape(x, y), np.nan)
    return HeightGrid(left, low, cell, height, np.where(on, sd, np.nan), 60)


def surveyed(outline: Polygon | None = None, shape: Shape = pitted, **grid: float) -> tuple[Pad, PadReading]:
    """Return a pad with two courts, shots every 3 m, two pits as low spots, and the flatness of its grid."""
    outline = outline or box(0, 0, 36, 18)
    heights = grid_of(outline, shape, **grid)
    left, low, right, high = outline.bounds
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(left, right + 1e-9, 3), np.arange(low, high + 1e-9, 3)))
    on = intersects_xy(outline.buffer(1e-6), x, y)
    x, y = x[on], y[on]
    shots = Shots(np.column_stack([x, y, shape(x, y)]), tuple(f"p{i}" for i in range(len(x))), "made.csv")
    spots = tuple(
        LowSpot(f"low-{i}", 9.0, depth, 0.1, None, (px, py), 0.97 - 0.5 * i, Point(px, py).buffer(1.5))
        for i, (px, py, depth) in enumerate(PITS)
    )
    courts = (Court("1", "pickleball", (10.0, 9.0), 0.0), Court("2", "pickleball", (24.0, 9.0), 0.0))
    pad = Pad("made", outline, courts=courts, shots=shots)
    _, bare = pads.empty()
    reading = replace(
        bare,
        id="made",
        area=outline.area,
        heights=heights,
        courts=tuple(pads.plane(court, 0.005, math.pi) for court in courts),
        low_spots=tuple(spot for spot in spots if outline.contains(spot.outline)),
        flatness=flatness(heights),
    )
    return pad, reading


def turned() -> tuple[Pad, PadReading]:
    """Return an L-shaped pad that lies aslant, with a wave on it."""
    ell = Polygon([(0, 0), (30, 0), (30, 12), (13, 12), (13, 26), (0, 26)])
    return surveyed(rotate(ell, 20, origin=(0, 0)), lambda x, y: 100 - 0.008 * x + 0.02 * np.sin(x / 4) * np.cos(y / 3))


def tiny() -> tuple[Pad, PadReading]:
    """Return a pad hardly longer than the straightedge."""
    return surveyed(box(0, 0, 4, 3), lambda x, y: 10 - 0.01 * x + 0.01 * np.sin(2 * x) * np.cos(y))


def large() -> tuple[Pad, PadReading]:
    """Return four courts side by side at as many nodes as a pad may have."""
    return surveyed(box(0, 0, 47.5488, 36.576), lambda x, y: 99 + 0.02 * np.sin(x / 2) * np.cos(y / 3), cell=0.2095)


def resurfaced(
    pad: Pad, reading: PadReading, *planes: Plane, milled: float = 0.0, every: float = 3.0, first: float = 0.5
) -> PadRegrade:
    """Return a new surface of given planes over a pad, staked out."""
    grid = reading.heights
    assert grid is not None
    x, y = (axis.ravel() for axis in np.meshgrid(*axes_of(grid)))
    z = grid.height.ravel()
    there = np.isfinite(z)
    ground = Ground(x[there], y[there], z[there], np.full(int(there.sum()), grid.cell**2))
    named = [(court.id,) for court in pad.courts] if len(planes) > 1 else [()]
    parts = tuple(Part(plane, courts) for plane, courts in zip(planes, named, strict=True))
    above = np.min([ground.above(plane) for plane in planes], axis=0)
    surface = Surface(parts, milled, 1.0, 0.1, 2.4, 0.038 if milled else float(above.min()), float(above.max()))
    left, low, right, high = pad.outline.bounds
    places = [
        (float(px), float(py))
        for py in np.arange(low + first, high + 1e-6, every)
        for px in np.arange(left + first, right + 1e-6, every)
        if intersects_xy(pad.outline.buffer(1e-6), px, py)
    ]
    return PadRegrade(
        pad.id,
        pad.outline,
        surface,
        ground,
        grid,
        _stakes(surface, grid, list(pad.outline.exterior.coords)[:-1], "E"),
        _stakes(surface, grid, places, "S"),
    )


def _stakes(surface: Surface, grid: HeightGrid, places: list[tuple[float, float]], letter: str) -> tuple[Stake, ...]:
    found = []
    for i, (px, py) in enumerate(places, start=1):
        rows, cols = grid.height.shape
        row = min(max(round((py - grid.y0) / grid.cell), 0), rows - 1)
        col = min(max(round((px - grid.x0) / grid.cell), 0), cols - 1)
        height = grid.height[row, col] if np.isfinite(grid.height[row, col]) else float(np.nanmean(grid.height))
        design = float(surface.at(np.array([px]), np.array([py]))[0])
        found.append(Stake(f"{letter}{i}", px, py, float(height), design))
    return tuple(found)
