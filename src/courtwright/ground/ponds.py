"""The places that hold water, one by one: how deep, how much, and where each spills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.ground.filling import Filled, areas, filled
from courtwright.ground.kernels import pays
from courtwright.site.formats.raster import Heights

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ponds:
    """The connected areas of filled cells of a raster, deepest first.

    Parameters
    ----------
    number : ndarray of int, shape (rows, cols)
        The pond of each cell, from 1 on; 0 where it is dry.
    cells : ndarray of int, shape (ponds,)
        How many cells each covers. [-]
    depth : ndarray, shape (ponds,)
        Greatest depth. [m]
    depth_sum : ndarray, shape (ponds,)
        Sum of the depths of its cells; times the cell's area, the volume. [m]
    deepest, spill : ndarray of int, shape (ponds,)
        Flat index of the deepest cell, and of the cell that the water leaves by.
    """

    number: NDArray[np.int32] | NDArray[np.int64]
    cells: NDArray[np.int64]
    depth: Array
    depth_sum: Array
    deepest: NDArray[np.int64]
    spill: NDArray[np.int64]


#: From so many cells on compiled loops save more time than it takes to load them; loaded, they pay far sooner. [-]
COMPILED_FROM, LOADED_FROM = 2_000_000, 50_000


def standing_water(height: Heights, drains_at: Array | None = None) -> tuple[Heights, Ponds]:
    """Return the levels of a filled raster, and its ponds: by compiled loops where there are many cells.

    Parameters
    ----------
    height : ndarray of float32 or float64, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    drains_at : ndarray, shape (rows, cols), optional
        As for ``filled``. [m]

    Notes
    -----
    Both ways are exact and give the same. Only a pond that could leave by several cells of one level may be said to
    leave by another of them.
    """
    is_large = pays(height.size, COMPILED_FROM, LOADED_FROM)
    if not is_large or min(height.shape) < 3 or drains_at is not None:
        water = filled(np.asarray(height, dtype=np.float64), drains_at)
        return water.level, ponds(height, water)
    from courtwright.ground.kernels.water import pooled

    found = pooled(height)
    order = np.lexsort((found.deepest[1:], -found.depth_max[1:])) + 1
    number = np.zeros(len(order) + 3, dtype=np.int32)
    number[order] = np.arange(1, len(order) + 1)
    wet = found.level > height
    of_cell = np.where(wet, number[found.pond], np.int32(0))
    return found.level, Ponds(
        of_cell,
        found.cells[order].astype(np.int64),
        found.depth_max[order],
        found.depth_sum[order],
        found.deepest[order],
        found.spill[order],
    )


def ponds(height: Heights, water: Filled) -> Ponds:
    """Return the ponds of a filled raster, with no least depth.

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    water : Filled
        The same raster filled.
    """
    depth = np.nan_to_num(water.level - height)
    label, count = areas(depth > 0)
    if not count:
        none = np.zeros(0, dtype=np.int64)
        return Ponds(np.zeros(height.shape, dtype=np.int64), none, np.zeros(0), np.zeros(0), none, none)
    every = np.arange(1, count + 1)
    order, start = _deepest_first_of_each(label, depth, count)
    deepest = order[start]
    greatest = depth.flat[deepest]
    spill = _spills(label, water, deepest)
    ranked = np.lexsort((deepest, -greatest))
    new_number = np.zeros(count + 1, dtype=np.int64)
    new_number[1 + ranked] = every
    cells = np.bincount(label.ravel(), minlength=count + 1)[1:]
    depth_sum = np.bincount(label.ravel(), depth.ravel(), minlength=count + 1)[1:].astype(np.float64)
    return Ponds(new_number[label], cells[ranked], greatest[ranked], depth_sum[ranked], deepest[ranked], spill[ranked])


def _deepest_first_of_each(
    label: NDArray[np.int64], depth: Array, count: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    wet = np.flatnonzero(label)
    order = wet[np.lexsort((-depth.flat[wet], label.flat[wet]))]
    return order, np.searchsorted(label.flat[order], np.arange(1, count + 1))


def _spills(label: NDArray[np.int64], water: Filled, deepest: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return, for each pond, the first dry cell on its water's way out, or its own cell at a dam it tops.

    Where a pond leaves by several cells of one level, the one nearest its deepest cell.
    """
    cols = label.shape[1]
    wet = np.flatnonzero(label)
    onward = water.next_cell.flat[wet]
    leaves = (onward < 0) | (label.flat[onward] != label.flat[wet])
    wet, onward = wet[leaves], onward[leaves]
    pond = label.flat[wet] - 1
    spill = np.where(onward < 0, wet, onward)
    rows_off = spill // cols - deepest[pond] // cols
    cols_off = spill % cols - deepest[pond] % cols
    order = np.lexsort((rows_off**2 + cols_off**2, pond))
    first = np.searchsorted(pond[order], np.arange(len(deepest)))
    return spill[order[first]]


def outline_of(cells: NDArray[np.bool_], x0: float, y0: float, cell: float) -> Polygon:
    """Return the outline of some cells of a raster, holes filled; of the largest group when they do not touch.

    Parameters
    ----------
    cells : ndarray of bool, shape (rows, cols)
        Which cells.
    x0, y0 : float
        Place of node (0, 0). [m]
    cell : float
        Spacing of nodes. [m]

    Examples
    --------
    >>> outline_of(np.array([[True, True]]), 0.0, 0.0, 1.0).bounds
    (-0.5, -0.5, 1.5, 0.5)
    """
    edges = np.diff(cells.astype(np.int8), axis=1, prepend=0, append=0)
    rows, starts = np.nonzero(edges == 1)
    _, stops = np.nonzero(edges == -1)
    low = y0 + (rows - 0.5) * cell
    left, right = x0 + (starts - 0.5) * cell, x0 + (stops - 0.5) * cell
    merged = shapely.union_all(shapely.box(left, low, right, low + cell))
    return Polygon(_joined_at_corners(merged, cell).exterior)


def _joined_at_corners(parts: BaseGeometry, cell: float) -> Polygon:
    """Return cells as one polygon; those that touch only at corners by a bridge a thousandth of a cell wide."""
    if isinstance(parts, Polygon):
        return parts
    joined = parts.buffer(cell * 1e-3, join_style="mitre")
    return largest(joined)


def largest(shape: Polygon | MultiPolygon) -> Polygon:
    """Return a polygon, or the largest of several."""
    return max(shape.geoms, key=lambda part: part.area) if isinstance(shape, MultiPolygon) else shape
