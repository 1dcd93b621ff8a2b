"""Nodes of lattices: where they stand, and which lie on a pad."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

CELL_LIMIT = 40_000
#: A scan shows dips of half a metre, which nodes as fine as these still meet.
SCAN_CELL_LIMIT = 170_000
#: Spacing of nodes, in parts of the straightedge, so that it spans a whole number of them; the first that fits.
_PARTS_OF_STRAIGHTEDGE = (12, 10, 8, 6, 5, 4, 3, 2, 1)
_FINER_PARTS = (24, 20, 18, 16, 15, 14)
#: Each wider spacing for a pad that is no court's, in parts of the last.
_WIDER = 1.05


def cell_for(width: float, depth: float, is_scanned: bool = False) -> float:
    """Return the spacing of nodes for a pad of this size: parts of a straightedge, at most 40,000 nodes. [m]

    Parameters
    ----------
    width, depth : float
        Sides of the pad's bounding box. [m]
    is_scanned : bool
        The shots stand as densely as nodes: then down to half that spacing, at most 170,000 nodes.

    Examples
    --------
    A 156 by 120 ft battery, the same scanned, and a square kilometre:

    >>> round(cell_for(47.5488, 36.576), 4), cell_for(47.5488, 36.576, is_scanned=True), round(cell_for(1e3, 1e3), 2)
    (0.254, 0.127, 5.21)
    """
    straightedge = tolerances().straightedge
    most = SCAN_CELL_LIMIT if is_scanned else CELL_LIMIT
    parts = (*_FINER_PARTS, *_PARTS_OF_STRAIGHTEDGE) if is_scanned else _PARTS_OF_STRAIGHTEDGE
    whole_parts = (straightedge / part for part in parts)
    wider = (straightedge * _WIDER**power for power in itertools.count(1))
    sizes = itertools.chain(whole_parts, wider)
    return next(cell for cell in sizes if _nodes(width, cell) * _nodes(depth, cell) <= most)


def _nodes(span: float, cell: float) -> int:
    return math.floor(span / cell + 1e-9) + 1


def lattice(low: float, high: float, cell: float) -> Array:
    """Return nodes spaced ``cell`` [m] that lie symmetrically between two ends. [m]

    Examples
    --------
    >>> lattice(0.0, 1.1, 0.5).round(2)
    array([0.05, 0.55, 1.05])
    """
    count = _nodes(high - low, cell)
    return np.asarray((low + high) / 2 + (np.arange(count) - (count - 1) / 2) * cell, dtype=np.float64)


def lattice_points(x: Array, y: Array) -> Array:
    """Return the nodes of a lattice row by row, shape (rows · cols, 2). [m]"""
    across, up = np.meshgrid(x, y)
    return np.column_stack([across.ravel(), up.ravel()])


def nodes_on(outline: Polygon, x: Array, y: Array) -> NDArray[np.bool_]:
    """Return which nodes of a lattice lie on the pad, its border included, shape (rows, cols)."""
    widened = outline.buffer(1e-7, join_style="mitre")
    points = lattice_points(x, y)
    shapely.prepare(widened)
    return shapely.intersects_xy(widened, points[:, 0], points[:, 1]).reshape(len(y), len(x))
