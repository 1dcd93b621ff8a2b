"""Fills a raster and tells its ponds in one pass: a queue of buckets, each emptied in order of height.

Every cell is taken once, at the level at which water first finds a way out past it. A bucket holds a cell or two where
heights are all different; where many are equal, equals need no order. So the order is exact at a bucket queue's cost.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

#: Buckets per cell, and at most so many: four bytes each. [-]
_BUCKETS_PER_CELL = 1.0
_MOST_BUCKETS = 1 << 27
_UNSEEN = -1
_NO_DATA = -2


@njit(cache=True)
def _sift_up(heap: Any, keys: Any, at: int) -> None:
    node, key = heap[at], keys[at]
    while at > 0:
        above = (at - 1) >> 1
        if keys[above] <= key:
            break
        heap[at], keys[at] = heap[above], keys[above]
        at = above
    heap[at], keys[at] = node, key


@njit(cache=True)
def _sift_down(heap: Any, keys: Any, size: int) -> None:
    node, key = heap[0], keys[0]
    at = 0
    while True:
        below = 2 * at + 1
        if below >= size:
            break
        if below + 1 < size and keys[below + 1] < keys[below]:
            below += 1
        if keys[below] >= key:
            break
        heap[at], keys[at] = heap[below], keys[below]
        at = below
    heap[at], keys[at] = node, key


@njit(cache=True)
def _begin(z: Any, pond: Any) -> Any:
    """Mark what has no height; return the lowest and the highest that there is."""
    low, high = np.inf, -np.inf
    for i in range(len(z)):
        v = float(z[i])
        if v == v:
            low, high = min(low, v), max(high, v)
        else:
            pond[i] = _NO_DATA
    return low, high


@njit(cache=True)
def _open(z: Any, pond: Any, cols: int, step: Any, low: float, scale: float, head: Any, after: Any) -> None:
    """Put every cell beside no data into its bucket: there water leaves."""
    for i in range(cols, len(z) - cols):
        if pond[i] != _UNSEEN:
            continue
        for s in step:
            if pond[i + s] == _NO_DATA:
                pond[i] = 0
                b = int((float(z[i]) - low) * scale)
                after[i] = head[b]
                head[b] = i
                break


@njit(cache=True)
def _gather(node: int, z: Any, dam_levels: Any, after: Any, heap: Any, keys: Any) -> int:
    """Take a bucket's cells and dams into the heap; return how many there are."""
    size, count = 0, len(z)
    while node >= 0:
        heap[size] = node
        keys[size] = float(z[node]) if node < count else dam_levels[node - count]
        _sift_up(heap, keys, size)
        size += 1
        node = after[node]
    return size


@njit(cache=True)
def _put(
    j: int, key: float, now: int, low: float, scale: float, head: Any, after: Any, heap: Any, keys: Any, size: int
) -> int:
    """Put a cell into its bucket, or into the heap of the bucket that is being emptied; return the heap's size."""
    to = int((key - low) * scale)
    if to == now:
        heap[size], keys[size] = j, key
        _sift_up(heap, keys, size)
        return size + 1
    after[j] = head[to]
    head[to] = j
    return size


@njit(cache=True)
def _flood(
    z: Any, level: Any, pond: Any, own: int, first: int, at: float, step: Any, stack: Any,
    now: int, low: float, scale: float, head: Any, after: Any, heap: Any, keys: Any, size: int,
) -> Any:  # fmt: skip
    """Fill a hollow to a level; return its depths' sum, the greatest, its cell, how many cells, and the heap's size."""
    total, greatest, place, wet = 0.0, 0.0, first, 0
    pond[first] = own
    stack[0] = first
    top = 1
    while top > 0:
        top -= 1
        g = stack[top]
        depth = at - float(z[g])
        level[g] = at
        total += depth
        wet += 1
        if depth > greatest or (depth == greatest and g < place):
            greatest, place = depth, g
        for s in step:
            h = g + s
            if pond[h] != _UNSEEN:
                continue
            pond[h] = own
            if float(z[h]) < at:
                stack[top] = h
                top += 1
            else:
                size = _put(h, float(z[h]), now, low, scale, head, after, heap, keys, size)
    return total, greatest, place, wet, size


@njit(cache=True)
def _pooled(z: Any, cols: int, dams: Any, dam_levels: Any, is_open: bool, buckets: int) -> Any:
    count = len(z)
    pond = np.full(count, _UNSEEN, np.int32)
    low, high = _begin(z, pond)
    for d in range(len(dams)):
        high = max(high, dam_levels[d])
    scale = (buckets - 1) / (high - low) if high > low else 0.0
    head = np.full(buckets, -1, np.int32)
    after = np.empty(count + len(dams), np.int32)
    level = z.copy()
    step = (-cols - 1, -cols, -cols + 1, -1, 1, cols - 1, cols, cols + 1)
    if is_open:
        _open(z, pond, cols, step, low, scale, head, after)
    for d in range(len(dams)):
        b = int((dam_levels[d] - low) * scale)
        after[count + d] = head[b]
        head[b] = count + d
    most = count // 2 + 2
    spill, down = np.empty(most, np.int32), np.empty(most, np.int32)
    deepest, cells = np.empty(most, np.int32), np.empty(most, np.int32)
    depth_sum, depth_max = np.empty(most), np.empty(most)
    ponds = 1
    stack = np.empty(count, np.int32)
    heap, keys = np.empty(count + len(dams), np.int32), np.empty(count + len(dams))
    for b in range(buckets):
        size = _gather(head[b], z, dam_levels, after, heap, keys)
        while size > 0:
            node, key = heap[0], keys[0]
            size -= 1
            if size > 0:
                heap[0], keys[0] = heap[size], keys[size]
                _sift_down(heap, keys, size)
            i, is_topped = node, False
            if node >= count:
                # What holds water at a cell is topped: the water stands on the cell itself, or runs off it.
                i = dams[node - count]
                if pond[i] != _UNSEEN:
                    continue
                is_topped = float(z[i]) < key
                if not is_topped:
                    pond[i] = 0
            onward = np.int32(0) if is_topped else pond[i]
            for s in step:
                j = i if is_topped else i + s
                if pond[j] != _UNSEEN:
                    continue
                if float(z[j]) >= key:
                    pond[j] = onward
                    size = _put(j, float(z[j]), b, low, scale, head, after, heap, keys, size)
                    continue
                # Lower than all that is left: a hollow, full to here.
                own = ponds
                ponds += 1
                spill[own], down[own] = i, onward
                depth_sum[own], depth_max[own], deepest[own], cells[own], size = _flood(
                    z, level, pond, own, j, key, step, stack, b, low, scale, head, after, heap, keys, size
                )
    at = slice(0, ponds)
    return level, pond, spill[at], down[at], deepest[at], cells[at], depth_sum[at], depth_max[at]


@dataclass(frozen=True, slots=True)
class Pooled:
    """A filled raster of n cells and its k ponds, from 1 on; entry 0 of each array of ponds means nothing.

    Parameters
    ----------
    level : ndarray, shape (rows, cols)
        The surface with its depressions filled; NaN where there is no data. [m]
    pond : ndarray of int, shape (rows, cols)
        The pond that each cell lies in or drains into next; 0: it drains off; -2: no data.
    spill, down, deepest, cells : ndarray of int, shape (k + 1,)
        Flat index of the dry cell at which each pond spills (its own cell behind a dam), the pond that it spills
        into (0: off the raster), flat index of its deepest cell, and how many cells it covers.
    depth_sum, depth_max : ndarray, shape (k + 1,)
        Sum and greatest of its depths. [m]
    """

    level: NDArray[np.float64] | NDArray[np.float32]
    pond: NDArray[np.int32]
    spill: NDArray[np.int64]
    down: NDArray[np.int32]
    deepest: NDArray[np.int64]
    cells: NDArray[np.int32]
    depth_sum: NDArray[np.float64]
    depth_max: NDArray[np.float64]


def pooled(height: NDArray[Any], drains_at: NDArray[np.float64] | None = None) -> Pooled:
    """Return a raster with its depressions filled, and its ponds.

    Parameters
    ----------
    height : ndarray of float32 or float64, shape (rows, cols)
        Heights, at least three rows and columns; NaN where there is no data. [m]
    drains_at : ndarray, shape (rows, cols), optional
        As for ``ground.filling.filled``, with an outlet in every connected area. [m]

    Notes
    -----
    Exact. Where several cells of one level would let a pond's water off, the first that the queue comes to is named.

    References
    ----------
    Barnes, Lehman and Mulla, "Priority-flood: an optimal depression-filling and watershed-labeling algorithm for
    digital elevation models", Computers & Geosciences 62 (2014).
    """
    rows, cols = height.shape
    # A rim without data: then every cell has eight neighbours.
    rimmed = np.full((rows + 2, cols + 2), np.nan, dtype=height.dtype)
    rimmed[1:-1, 1:-1] = height
    dams, levels = np.empty(0, dtype=np.int64), np.empty(0)
    if drains_at is not None:
        rows_of, cols_of = np.nonzero(np.isfinite(drains_at) & np.isfinite(height))
        dams = (rows_of + 1) * (cols + 2) + cols_of + 1
        levels = np.maximum(drains_at, height)[rows_of, cols_of].astype(np.float64)
    buckets = int(min(max(height.size * _BUCKETS_PER_CELL, 1024), _MOST_BUCKETS))
    level, pond, *of_ponds = _pooled(rimmed.ravel(), cols + 2, dams, levels, drains_at is None, buckets)
    spill, down, deepest, cells, depth_sum, depth_max = of_ponds
    inner = (slice(1, -1), slice(1, -1))
    return Pooled(
        level=np.ascontiguousarray(level.reshape(rimmed.shape)[inner]),
        pond=np.ascontiguousarray(pond.reshape(rimmed.shape)[inner]),
        spill=_without_rim(spill, cols),
        down=down,
        deepest=_without_rim(deepest, cols),
        cells=cells,
        depth_sum=depth_sum,
        depth_max=depth_max,
    )


def _without_rim(flat: NDArray[np.int32], cols: int) -> NDArray[np.int64]:
    """Return flat indices of a raster by those of the same raster with a rim."""
    row, col = np.divmod(flat.astype(np.int64), cols + 2)
    return (row - 1) * cols + col - 1
