"""How much ground uphill of a pad sends its water onto it, from shots and marks around the pad."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.ground.edges import edge_stretches, low_sides
from courtwright.ground.filling import Filled, border_of, filled
from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Cells = NDArray[np.int64]
Points = NDArray[np.object_]

#: The surveyed ground is cut into about so many cells, but none is smaller than this. [-], [m]
_CELLS, _LEAST_CELL = 60_000, 0.1
#: So much of the high side must be known, and shots must reach this far beyond it. [-], [m]
_ENOUGH, _BEYOND = 0.9, 1.0
_EIGHT = [(down, across) for down in (-1, 0, 1) for across in (-1, 0, 1) if down or across]


@dataclass(frozen=True, slots=True)
class RunOn:
    """The ground that sends its water onto a pad.

    Parameters
    ----------
    area : float or None
        None where nobody surveyed the high side. [m²]
    is_least : bool
        Whether it reaches the end of the shots, so that it may be more.
    """

    area: float | None
    is_least: bool = False


def run_on(pad: Pad, fall: tuple[float, float] | None) -> RunOn:
    """Return the ground that sends its water onto a pad.

    Parameters
    ----------
    pad : Pad
        With shots on it and around it, edge marks and drains.
    fall : tuple of float, shape (2,), or None
        Unit vector of the pad's fall; None when it has none that is known: then every side may be the high one. [-]

    Notes
    -----
    Between the shots the ground is taken as triangles. Its hollows are filled; then each cell's water goes to the
    steepest of its eight neighbours (O'Callaghan and Mark, "The extraction of drainage networks from digital elevation
    data", 1984). What reaches the pad counts, unless a working drain takes it or the ground beside
    that edge lies below.
    """
    high: BaseGeometry = low_sides(pad.outline, (-fall[0], -fall[1])) if fall else pad.outline.boundary
    clear = shapely.union_all([s.line for s in edge_stretches(pad) if s.is_clear])
    if fall and high.intersection(clear.buffer(1e-6)).length >= _ENOUGH * high.length:
        return RunOn(0.0)
    shots = _around(pad)
    if shots is None or not _reaches_beyond(pad.outline, high, clear, shots):
        return RunOn(None)
    return _drained(pad, clear, shots)


def _around(pad: Pad) -> Array | None:
    """Return all finite shots when three or more of them are of the ground around the pad."""
    if pad.shots is None:
        return None
    xyz = np.vstack([pad.shots.xyz, pad.shots.around])
    xyz = xyz[np.isfinite(xyz).all(axis=1)]
    off = ~shapely.dwithin(pad.outline, shapely.points(xyz[:, :2]), tolerances().shot_reach)
    return xyz if int(off.sum()) >= 3 else None


def _reaches_beyond(outline: Polygon, high: BaseGeometry, clear: BaseGeometry, xyz: Array) -> bool:
    """Tell whether the shots tell of the ground outside nearly all of the high side that is not clear."""
    hull = MultiPoint(xyz[:, :2]).convex_hull.buffer(1e-6)
    asked = high.difference(clear.buffer(1e-6))
    strip = asked.buffer(_BEYOND, cap_style="flat").difference(outline)
    return bool(strip.intersection(hull).area >= _ENOUGH * strip.area)


def _drained(pad: Pad, clear: BaseGeometry, xyz: Array) -> RunOn:
    x, y, cell = _centres(xyz)
    places = np.column_stack([axis.ravel() for axis in np.meshgrid(x, y)])
    height = _between(xyz, places).reshape(len(y), len(x))
    points: Points = np.asarray(shapely.points(places), dtype=np.object_)
    shapely.prepare(pad.outline)
    on_pad: Flags = np.asarray(shapely.intersects(pad.outline, points))
    to = _next_cells(height, filled(height), cell)
    _take_away(to, pad.of_kind("drain"), points, cell)
    enters = ~on_pad & on_pad[to]
    beside: Flags = np.asarray(shapely.dwithin(clear, points, cell))
    here = np.arange(len(to))
    stays = on_pad | (enters & beside)
    to = np.where(stays, here, to)
    while not np.array_equal(to, to[to]):
        to = to[to]
    counts = ~on_pad & on_pad[to] & np.isfinite(height.ravel())
    return RunOn(float(counts.sum()) * cell**2, bool((counts & border_of(height).ravel()).any()))


def _centres(xyz: Array) -> tuple[Array, Array, float]:
    low, high = xyz[:, :2].min(axis=0), xyz[:, :2].max(axis=0)
    size = high - low
    cell = max(_LEAST_CELL, math.sqrt(float(size.prod()) / _CELLS))
    cols, rows = (max(2, math.ceil(float(side) / cell)) for side in size)
    x, y = (low[i] + (np.arange(count) + 0.5) * cell for i, count in enumerate((cols, rows)))
    return x, y, cell


def _between(xyz: Array, places: Array) -> Array:
    from scipy.interpolate import LinearNDInterpolator  # only a pad that is surveyed all round pays for it

    where, first = np.unique(xyz[:, :2], axis=0, return_index=True)
    return np.asarray(LinearNDInterpolator(where, xyz[first, 2])(places), dtype=np.float64)


def _next_cells(height: Array, water: Filled, cell: float) -> Cells:
    """Return the flat index of the cell that each cell's water goes to; its own where it leaves."""
    rows, cols = height.shape
    level = np.pad(water.level, 1, constant_values=np.nan)
    steepest, to = np.zeros(height.shape), np.where(water.next_cell < 0, -1, water.next_cell)
    here = np.arange(height.size).reshape(height.shape)
    for down, across in _EIGHT:
        other = level[1 + down : 1 + down + rows, 1 + across : 1 + across + cols]
        drop = (water.level - other) / (cell * math.hypot(down, across))
        steeper = drop > steepest + 1e-12
        steepest = np.where(steeper, drop, steepest)
        to = np.where(steeper, here + down * cols + across, to)
    return np.where(to < 0, here, to).ravel()


def _take_away(to: Cells, drains: tuple[Mark, ...], points: Points, cell: float) -> None:
    """Let working drains keep what reaches them."""
    for drain in drains:
        if drain.properties.get("works") is True:
            taken = np.flatnonzero(shapely.dwithin(drain.geometry, points, cell * math.sqrt(0.5)))
            to[taken] = taken
