"""Lines of equal value through a grid."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, line_merge, multilinestrings

#: The corners of the two triangles of a cell, as (row, column) steps.
#: Ends that neighbours work out apart are the same to this many digits of a metre.
_DIGITS = 7
_TRIANGLES = (((0, 0), (0, 1), (1, 1)), ((0, 0), (1, 1), (1, 0)))


def contour(values: NDArray[np.float64], level: float, x0: float, y0: float, cell: float) -> MultiLineString:
    """Return where a grid, taken as triangles, has the value ``level``.

    Parameters
    ----------
    values : ndarray, shape (rows, cols)
        Values at the nodes; NaN where there are none. [any]
    level : float
        The value. [same as values]
    x0, y0 : float
        Place of node (0, 0). [m]
    cell : float
        Spacing of the nodes. [m]

    Returns
    -------
    MultiLineString
        Joined where the lines meet; empty where the grid nowhere has the value. [m]

    Examples
    --------
    A plane that rises by 1 a metre has the value 1.5 along a straight line:

    >>> contour(np.tile(np.arange(4.0), (3, 1)), 1.5, 0.0, 0.0, 1.0).bounds
    (1.5, 0.0, 1.5, 2.0)
    """
    rows, cols = values.shape
    row, col = np.mgrid[0 : max(rows - 1, 0), 0 : max(cols - 1, 0)]
    segments: list[NDArray[np.float64]] = []
    for triangle in _TRIANGLES:
        z = np.stack([values[row + dr, col + dc] for dr, dc in triangle], axis=-1).reshape(-1, 3)
        x = np.stack([x0 + (col + dc) * cell for _, dc in triangle], axis=-1).reshape(-1, 3)
        y = np.stack([y0 + (row + dr) * cell for dr, _ in triangle], axis=-1).reshape(-1, 3)
        segments.append(_crossings(z, x, y, level))
    found = np.concatenate(segments)
    if len(found) == 0:
        return MultiLineString()
    joined = line_merge(multilinestrings(list(np.round(found, _DIGITS))))
    return MultiLineString([joined]) if isinstance(joined, LineString) else MultiLineString(joined)


def _crossings(
    z: NDArray[np.float64], x: NDArray[np.float64], y: NDArray[np.float64], level: float
) -> NDArray[np.float64]:
    """Return one segment, shape (n, 2, 2), for each triangle that the level cuts."""
    above = z > level
    cut = ~np.isnan(z).any(axis=1) & (above.any(axis=1) != above.all(axis=1))
    z, x, y, above = z[cut], x[cut], y[cut], above[cut]
    # The corner that stands alone on its side of the level, and its two neighbours.
    alone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    n = np.arange(len(z))
    ends: list[NDArray[np.float64]] = []
    for step in (1, 2):
        other = (alone + step) % 3
        share = (level - z[n, alone]) / (z[n, other] - z[n, alone])
        ends.append(
            np.stack(
                [
                    x[n, alone] + share * (x[n, other] - x[n, alone]),
                    y[n, alone] + share * (y[n, other] - y[n, alone]),
                ],
                axis=-1,
            )
        )
    segments = np.stack(ends, axis=1)
    return segments[np.abs(segments[:, 0] - segments[:, 1]).max(axis=1) > 1e-9]
