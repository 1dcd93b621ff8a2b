"""Depressions of a height raster filled to where each spills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
_EIGHT = np.ones((3, 3), dtype=np.bool_)
_NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1))


@dataclass(frozen=True, slots=True)
class Filled:
    """A raster filled with water until it runs off.

    Parameters
    ----------
    level : ndarray, shape (rows, cols)
        The surface with its depressions filled; NaN where there is no data. [m]
    next_cell : ndarray of int, shape (rows, cols)
        Flat index of the cell that a full cell's water leaves by; -1 at outlets and where there is no data.
    """

    level: Array
    next_cell: NDArray[np.int64]


def areas(flags: Flags) -> tuple[NDArray[np.int64], int]:
    """Return the eight-connected areas of set flags, numbered from 1 (0: none), and how many there are."""
    number = np.zeros(flags.shape, dtype=np.int64)
    count = ndimage.label(flags, _EIGHT, output=number)
    return number, int(count)  # type: ignore[arg-type] – with an output array only the count is returned


def open_edges(height: Array) -> Array:
    """Return the level at which each cell drains off the raster: its own beside the border or no data, else inf. [m]

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    """
    return np.where(border_of(height), height, np.inf)


def border_of(height: Array) -> Flags:
    """Return the cells with data that touch, eight ways, the raster's border or a cell without data."""
    inside = np.isfinite(height)
    return inside & ~ndimage.binary_erosion(inside, _EIGHT)


def filled(height: Array, drains_at: Array | None = None) -> Filled:
    """Return a raster with its depressions filled: each cell's lowest level on any way out.

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    drains_at : ndarray, shape (rows, cols), optional
        Level at which water leaves the raster from a cell: its height, or more behind a dam; inf for none.
        Without it, ``open_edges``. A level below the cell's height counts as its height. [m]

    Returns
    -------
    Filled
        Exact: every level is one of the given heights or outlet levels.

    Notes
    -----
    The least highest point on the way from a cell to an outlet is the highest edge on the way between
    them in the minimum spanning tree of the eight-connected raster with one outlet node outside. An area
    without any outlet drains at the lowest cell of its border.

    References
    ----------
    Hu, "The maximum capacity route problem", Operations Research 9 (1961).
    Barnes, Lehman and Mulla, "Priority-flood: an optimal depression-filling and watershed-labeling
    algorithm for digital elevation models", Computers & Geosciences 62 (2014), gives the same levels.

    Examples
    --------
    >>> float(filled(np.array([[3.0, 3.0, 3.0], [3.0, 1.0, 2.0], [3.0, 3.0, 3.0]])).level[1, 1])
    2.0
    """
    inside = np.isfinite(height)
    drains_at = open_edges(height) if drains_at is None else np.where(inside, np.maximum(drains_at, height), np.inf)
    drains_at = _with_an_outlet_each(height, inside, drains_at)
    cells = np.full(height.shape, -1, dtype=np.int64)
    count = int(inside.sum())
    cells[inside] = np.arange(count)
    levels, rank_of_cell, rank_of_drain = _ranks(height[inside], drains_at[inside])
    start, end, weight = _steps(cells, rank_of_cell)
    outlets = np.flatnonzero(rank_of_drain)
    start = np.concatenate([start, outlets])
    end = np.concatenate([end, np.full(len(outlets), count)])
    weight = np.concatenate([weight, rank_of_drain[outlets]])
    rank, before = _highest_on_the_way(start, end, weight, count)
    level = np.full(height.shape, np.nan)
    level[inside] = levels[np.maximum(rank, rank_of_cell) - 1] if count else []
    next_cell = np.full(height.shape, -1, dtype=np.int64)
    next_cell[inside] = np.append(np.flatnonzero(inside), -1)[before]
    return Filled(level, next_cell)


def _with_an_outlet_each(height: Array, inside: Flags, drains_at: Array) -> Array:
    """Return the outlet levels, with one added for every connected area that has none."""
    area, count = areas(inside)
    has_outlet = np.zeros(count + 1, dtype=np.bool_)
    has_outlet[area[np.isfinite(drains_at)]] = True
    has_outlet[0] = True
    for closed in np.flatnonzero(~has_outlet):
        lowest = np.where((area == closed) & border_of(height), height, np.inf).argmin()
        drains_at.flat[lowest] = height.flat[lowest]
    return drains_at


def _ranks(height: Array, drains_at: Array) -> tuple[Array, NDArray[np.int64], NDArray[np.int64]]:
    """Return the sorted levels, and the ranks from 1 of cells and outlets among them (0: no outlet).

    Ranks stand for levels in the graph, where a weight of zero would mean no edge.
    """
    drains = np.isfinite(drains_at)
    levels, rank = np.unique(np.concatenate([height, drains_at[drains]]), return_inverse=True)
    of_drain = np.zeros(len(height), dtype=np.int64)
    of_drain[drains] = rank[len(height) :] + 1
    return levels, rank[: len(height)] + 1, of_drain


def _steps(
    cells: NDArray[np.int64], rank: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return every step between neighbours once: from, to, and the higher rank of the two."""
    starts: list[NDArray[np.int64]] = []
    ends: list[NDArray[np.int64]] = []
    for down, across in _NEIGHBOURS:
        a = cells[: cells.shape[0] - down, max(0, -across) : cells.shape[1] - max(0, across)].ravel()
        b = cells[down:, max(0, across) : cells.shape[1] + min(0, across)].ravel()
        both = (a >= 0) & (b >= 0)
        starts.append(a[both])
        ends.append(b[both])
    start, end = np.concatenate(starts), np.concatenate(ends)
    return start, end, np.maximum(rank[start], rank[end])


def _highest_on_the_way(
    start: NDArray[np.int64], end: NDArray[np.int64], weight: NDArray[np.int64], outside: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return, for each cell, the highest rank on its way to the node ``outside``, and its next node on that way."""
    graph = csr_matrix((weight.astype(np.float64), (start, end)), shape=(outside + 1, outside + 1))
    tree = minimum_spanning_tree(graph)
    _, before = breadth_first_order(tree, outside, directed=False)
    before = before.astype(np.int64)
    before[outside] = outside
    highest = _weights_to(tree, before)
    jump = before.copy()
    while (jump != outside).any():
        highest = np.maximum(highest, highest[jump])
        jump = jump[jump]
    return highest[:outside], before[:outside]


def _weights_to(tree: csr_matrix, before: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the weight of each node's edge to the node before it."""
    edges = tree.tocoo()
    found = np.zeros(len(before), dtype=np.int64)
    forward = before[edges.col] == edges.row
    found[edges.col[forward]] = edges.data[forward]
    found[edges.row[~forward]] = edges.data[~forward]
    return found
