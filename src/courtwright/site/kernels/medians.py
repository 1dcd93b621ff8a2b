"""Medians of many small groups of heights: the ground of squares, and what is counted by steps."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit


@njit(cache=True)
def square_medians(lowest: Any, times: int, ground: Any) -> None:
    """Set each square of ``ground`` to the median of its ``times`` by ``times`` cells that are known; NaN without any.

    Shapes: lowest (rows, cols), infinite where nothing is known; ground (rows, cols) of squares. [m]
    """
    rows, cols = lowest.shape
    held = np.empty(times * times)
    for r in range(ground.shape[0]):
        for c in range(ground.shape[1]):
            count = 0
            for row in range(r * times, min((r + 1) * times, rows)):
                for col in range(c * times, min((c + 1) * times, cols)):
                    if np.isfinite(lowest[row, col]):
                        held[count] = lowest[row, col]
                        count += 1
            ground[r, c] = np.median(held[:count]) if count else np.nan


@njit(cache=True)
def robust_means(count: Any, total: Any, step: float, deviations: float, least_off: float, above: Any) -> None:
    """Set the mean of what lies near the median of each group that is counted by steps.

    Shapes: count and total (groups, steps), [-] and [m]; above (groups,) [m]. Near is within ``deviations`` median
    deviations [-], or ``least_off`` [m].
    """
    groups, steps = count.shape
    for i in range(groups):
        number = 0
        for k in range(steps):
            number += count[i, k]
        running, middle = 0, 0
        while running + count[i, middle] < number - running - count[i, middle]:
            running += count[i, middle]
            middle += 1
        # The steps about the median, nearest first, until they hold half of all.
        off, held = 0, int(count[i, middle])
        while 2 * held < number:
            off += 1
            if middle >= off:
                held += count[i, middle - off]
            if middle + off < steps:
                held += count[i, middle + off]
        near = max(deviations * off * step, least_off) + 1e-9
        mass, heights = 0, 0.0
        for k in range(steps):
            if abs(k - middle) * step <= near:
                mass += count[i, k]
                heights += total[i, k]
        above[i] = heights / mass
