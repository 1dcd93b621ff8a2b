"""Lays a straightedge at every place of every line of nodes: the largest gap, and where.

A straightedge at rest lies on an edge of the upper hull of what it spans. A line is cut into blocks of one
straightedge; every place of it meets at most two, so that its hull is a part of the hull that runs to the end of the
first, a part of the hull that runs from the start of the second, and one bridge between them. Each hull edge is looked
at once.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

#: Nodes whose lowest is known at once: a gap under an edge is at most its higher end less the lowest under it. [-]
_BLOCK = 16
#: Lines are shared out in so many parts, the same on every machine, so that ties fall alike. [-]
_PARTS = 64


@njit(cache=True)
def _gap(z: Any, lows: Any, i: int, j: int, best: float) -> Any:
    """Return the largest gap under the edge from node i to node j and its node; nothing that is not over ``best``."""
    top = max(z[i], z[j])
    first, last = (i + 1) // _BLOCK, (j - 1) // _BLOCK
    lowest = lows[first]
    for b in range(first + 1, last + 1):
        lowest = min(lowest, lows[b])
    if top - lowest <= best:
        return -1.0, 0
    slope = (z[j] - z[i]) / (j - i)
    most, at = best, -1
    for k in range(i + 1, j):
        gap = z[i] + slope * (k - i) - z[k]
        if gap > most:
            most, at = gap, k
    return (most, at) if at >= 0 else (-1.0, 0)


@njit(cache=True)
def _along(z: Any, lows: Any, count: int, span: int, after: Any, before: Any, best: float) -> Any:
    """Return the largest gap over ``best`` along a line of nodes and its node; ``best`` and -1 where there is none."""
    at = -1
    for b in range((count + _BLOCK - 1) // _BLOCK):
        low = np.inf
        for k in range(b * _BLOCK, min((b + 1) * _BLOCK, count)):
            low = min(low, z[k])
        lows[b] = low
    start = 0
    while start < count:
        end = min(start + span, count - 1)
        after[end] = end
        for i in range(end - 1, start - 1, -1):
            j = i + 1
            while after[j] != j and (z[after[j]] - z[i]) * (j - i) >= (z[j] - z[i]) * (after[j] - i):
                j = after[j]
            after[i] = j
            if j - i > 1:
                gap, k = _gap(z, lows, i, j, best)
                if gap > best:
                    best, at = gap, k
        stop = min(end + span, count - 1)
        if end + 1 <= stop:
            before[end + 1] = end + 1
        from_last, to_last = -1, -1
        for right in range(end + 1, stop + 1):
            if right > end + 1:
                j = right - 1
                while before[j] != j:
                    t = before[j]
                    if (z[t] - z[right]) * (right - j) < (z[j] - z[right]) * (right - t):
                        break
                    j = t
                before[right] = j
                if right - j > 1:
                    gap, k = _gap(z, lows, j, right, best)
                    if gap > best:
                        best, at = gap, k
            p, q = max(right - span, start), right
            while True:
                has_moved = False
                while after[p] != p and (z[after[p]] - z[p]) * (q - p) >= (z[q] - z[p]) * (after[p] - p):
                    p = after[p]
                    has_moved = True
                while before[q] != q and (z[before[q]] - z[q]) * (q - p) >= (z[p] - z[q]) * (q - before[q]):
                    q = before[q]
                    has_moved = True
                if not has_moved:
                    break
            if (p != from_last or q != to_last) and q - p > 1:
                gap, k = _gap(z, lows, p, q, best)
                if gap > best:
                    best, at = gap, k
            from_last, to_last = p, q
        start = end + 1
    return best, at


@njit(cache=True, parallel=True)
def _in_direction(height: Any, down: int, across: int, span: int, least: int, starts: Any, best: float) -> Any:
    rows, cols = height.shape
    most = np.full(_PARTS, best)
    place = np.full(_PARTS, -1, np.int64)
    count = len(starts)
    for part in prange(_PARTS):
        longest = max(rows, cols) + 2
        z, lows = np.empty(longest), np.empty(longest // _BLOCK + 2)
        after, before = np.empty(longest, np.int64), np.empty(longest, np.int64)
        for line in range(part * count // _PARTS, (part + 1) * count // _PARTS):
            row, col = starts[line] // cols, starts[line] % cols
            first, size = starts[line], 0
            while True:
                inside = 0 <= row < rows and 0 <= col < cols
                value = float(height[row, col]) if inside else np.nan
                if value == value:
                    if size == 0:
                        first = row * cols + col
                    z[size] = value
                    size += 1
                else:
                    # The straightedge lies wholly on the raster: a run that is too short for it has no place.
                    if size > least:
                        found, at = _along(z, lows, size, span, after, before, most[part])
                        if at >= 0:
                            most[part] = found
                            place[part] = first + at * (down * cols + across)
                    size = 0
                    if not inside:
                        break
                row, col = row + down, col + across
    return most, place


def greatest_gap(
    height: NDArray[Any], direction: tuple[int, int], nodes: float, best: float
) -> tuple[float, int] | None:
    """Return the largest gap over ``best`` in one direction and the flat index of its node; None where there is none.

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    direction : tuple of int, shape (2,)
        Rows (0 or more) and columns that the straightedge advances together.
    nodes : float
        Length of the straightedge in spacings of nodes along it. [-]
    best : float
        Smaller gaps are not looked for. [m]

    References
    ----------
    Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing Letters 9 (1979).
    """
    rows, cols = height.shape
    down, across = direction
    span, least = math.floor(nodes + 1e-9), math.ceil(nodes - 1e-9)
    if span < 2:
        return None
    row, col = np.arange(rows)[:, None], np.arange(cols)
    starts = np.flatnonzero((row < down) | ((col < across) if across > 0 else (col >= cols + across)))
    most, place = _in_direction(height, down, across, span, least, starts, best)
    part = int(np.argmax(most))
    return (float(most[part]), int(place[part])) if place[part] >= 0 else None
