"""Carries a grid a node beyond the pad, so that lines through it end at the pad's edge and not at the last node."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from courtwright.ground.reading import HeightGrid

Array = NDArray[np.float64]


def beyond(values: Array) -> Array:
    """Return values a node wider all round; what is missing lies as far off the plane of all as the nearest node does.

    Parameters
    ----------
    values : ndarray, shape (rows, cols)
        NaN off the pad; some finite. [any]

    Returns
    -------
    ndarray, shape (rows + 2, cols + 2)
        All finite. [same as values]

    Examples
    --------
    A plane goes on as it is:

    >>> wider = beyond(np.add.outer(np.arange(3.0), 10 * np.arange(4.0)))
    >>> bool(np.allclose(wider, np.add.outer(np.arange(-1.0, 4.0), 10 * np.arange(-1.0, 5.0))))
    True
    """
    wider = np.pad(values, 1, constant_values=np.nan)
    there = np.isfinite(wider)
    index = np.indices(wider.shape)
    row, col = index[0], index[1]
    terms = np.column_stack([np.ones(int(there.sum())), row[there], col[there]])
    base, down, across = np.linalg.lstsq(terms, wider[there], rcond=None)[0]
    plane = base + down * row + across * col
    nearest = distance_transform_edt(~there, return_distances=False, return_indices=True)
    off = np.where(there, wider - plane, 0.0)[tuple(np.asarray(nearest))]
    return np.where(there, wider, plane + off)


def grid_beyond(grid: HeightGrid) -> HeightGrid:
    """Return a grid that reaches a node beyond the pad."""
    height, sd = beyond(grid.height), np.maximum(beyond(grid.sd), 0.0)
    return HeightGrid(grid.x0 - grid.cell, grid.y0 - grid.cell, grid.cell, height, sd, grid.shots)
