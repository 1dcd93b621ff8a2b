"""The places of a pad that a new surface is reckoned at: the nodes of its heights, and its edge."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.ground.heights import Heights, lattice_points
from courtwright.ground.reading import HeightGrid
from courtwright.ground.regrade.plane import Ground

Array = NDArray[np.float64]


def ground_of(found: Heights, outline: Polygon) -> Ground:
    """Return a pad as it lies: the nodes of its heights with what each stands for, and its edge.

    Parameters
    ----------
    found : Heights
        The pad's heights.
    outline : Polygon
        The pad, or a part of it. [m]

    Notes
    -----
    A node stands for the part of its cell that lies on the pad. What lies in cells whose node is off the pad is shared
    out among all. The edge has to be covered and stands for no area.
    """
    grid = found.grid
    places = lattice_points(*axes_of(grid))
    height = grid.height.ravel()
    kept = np.isfinite(height) & _within(outline, places)
    places, height = places[kept], height[kept]
    area = _cell_areas(outline, places, grid.cell)
    edge = edge_places(outline, grid.cell)
    return Ground(
        np.concatenate([places[:, 0], edge[:, 0]]),
        np.concatenate([places[:, 1], edge[:, 1]]),
        np.concatenate([height, found.surface.height(edge)]),
        np.concatenate([area * (outline.area / area.sum()), np.zeros(len(edge))]),
    )


def axes_of(grid: HeightGrid) -> tuple[Array, Array]:
    """Return the columns and rows of a grid. [m]"""
    rows, cols = grid.height.shape
    return grid.x0 + grid.cell * np.arange(cols), grid.y0 + grid.cell * np.arange(rows)


def edge_places(outline: Polygon, spacing: float) -> Array:
    """Return places along a pad's edge, its corners among them, shape (n, 2). [m]

    Parameters
    ----------
    outline : Polygon
        The pad.
    spacing : float
        Largest distance of two. [m]
    """
    lines = shapely.segmentize(outline.boundary, spacing)
    return np.unique(shapely.get_coordinates(lines), axis=0)


def _within(outline: Polygon, places: Array) -> NDArray[np.bool_]:
    widened = outline.buffer(1e-7, join_style="mitre")
    shapely.prepare(widened)
    return np.asarray(shapely.intersects_xy(widened, places[:, 0], places[:, 1]))


def _cell_areas(outline: Polygon, places: Array, cell: float) -> Array:
    half = cell / 2
    cells = shapely.box(*(places - half).T, *(places + half).T)
    area = np.full(len(places), cell**2)
    shapely.prepare(outline)
    cut = ~shapely.contains_properly(outline, cells)
    area[cut] = shapely.area(shapely.intersection(outline, cells[cut]))
    return area
