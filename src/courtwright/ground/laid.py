"""A straightedge where its gap is largest: where it lies, what it rests on, and the surface under it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from courtwright.ground.flatness import DIRECTIONS

Array = NDArray[np.float64]

#: Of the surface before and behind the straightedge so much is told, in parts of it. [-]
_AROUND = 0.12
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Laid:
    """A straightedge at rest on a line of nodes.

    Parameters
    ----------
    length : float
        Its length. [m]
    rows, cols : ndarray, shape (n,)
        The nodes of its line, some before and behind it among them. [-]
    along : ndarray, shape (n,)
        Their distance from its first end. [m]
    height : ndarray, shape (n,)
        Of the surface at the nodes. [m]
    level, rise : float
        Height of its underside at its first end [m], and how it rises from there [m/m].
    rests : tuple of float, shape (2,)
        Distances from its first end of the two places that carry it. [m]
    gap, gap_along : float
        The largest gap under it, and that place's distance from its first end. [m]
    """

    length: float
    rows: NDArray[np.int64]
    cols: NDArray[np.int64]
    along: Array
    height: Array
    level: float
    rise: float
    rests: tuple[float, float]
    gap: float
    gap_along: float

    @property
    def below(self) -> Array:
        """How far the surface lies below its underside, drawn on in a straight line beyond its ends, shape (n,). [m]"""
        return self.level + self.rise * self.along - self.height

    def node_at(self, along: float) -> tuple[float, float]:
        """Return row and column at a distance [m] from its first end, both between nodes. [-]"""
        return float(np.interp(along, self.along, self.rows)), float(np.interp(along, self.along, self.cols))


def direction_of(bearing: float) -> tuple[int, int]:
    """Return which of ``DIRECTIONS`` lies at a bearing from +y, on a grid whose rows grow with y. [rad]

    Examples
    --------
    >>> direction_of(0.0), direction_of(math.pi / 2)
    ((1, 0), (0, 1))
    """

    def off(direction: tuple[int, int]) -> float:
        turn = abs(math.atan2(direction[1], direction[0]) - bearing) % math.pi
        return min(turn, math.pi - turn)

    return min(DIRECTIONS, key=off)


def laid_straightedge(
    height: NDArray[np.floating], cell: float, straightedge: float, at: tuple[int, int], direction: tuple[int, int]
) -> Laid | None:
    """Return the straightedge under which the gap over a node is largest.

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    cell : float
        Spacing of nodes. [m]
    straightedge : float
        Its length. [m]
    at, direction : tuple of int, shape (2,)
        Row and column of the node, and how both advance along the straightedge, as ``largest_gaps`` gives them. [-]

    Returns
    -------
    Laid or None
        None where it has no room. It lies on the highest chord over the node, as near its middle as the data let it.

    Notes
    -----
    The highest of all chords no longer than the straightedge is an edge of the upper hull wherever the straightedge
    covers it, so that no node stands above it.
    """
    step = cell * math.hypot(*direction)
    longest, room = math.floor(straightedge / step + _ROUNDING), math.ceil(straightedge / step - _ROUNDING)
    behind, ahead = _run(height, at, (-direction[0], -direction[1])), _run(height, at, direction)
    if behind + ahead < room or longest < 2:
        return None
    nodes = np.arange(-behind, ahead + 1)
    rows, cols = at[0] + nodes * direction[0], at[1] + nodes * direction[1]
    line = height[rows, cols].astype(np.float64)
    first, last = _highest_chord(line, behind, longest)
    rise = (line[last + behind] - line[first + behind]) / (last - first)
    reach = straightedge / step
    start = min(max((first + last - reach) / 2, -behind), ahead - reach)
    kept = (nodes >= _before(start, reach)) & (-nodes >= _before(-start - reach, reach))
    along: Array = (nodes - start).astype(np.float64) * step
    level = line[first + behind] + rise * (start - first)
    under = (nodes >= first) & (nodes <= last)
    gaps = np.where(under, level + rise * (nodes - start) - line, -np.inf)
    most = int(gaps.argmax())
    return Laid(
        length=straightedge,
        rows=rows[kept],
        cols=cols[kept],
        along=along[kept],
        height=line[kept],
        level=float(level),
        rise=float(rise / step),
        rests=((first - start) * step, (last - start) * step),
        gap=float(gaps[most]),
        gap_along=float(along[most]),
    )


def _before(start: float, reach: float) -> float:
    """Return from which node on the surface is told: what stands before the straightedge, a node at the least."""
    return min(start - _AROUND * reach, math.floor(start + _ROUNDING)) - _ROUNDING


def _run(height: NDArray[np.floating], at: tuple[int, int], step: tuple[int, int]) -> int:
    """Return how many steps may be taken from a node before the data end."""
    rows, cols = height.shape
    taken = 0
    row, col = at[0] + step[0], at[1] + step[1]
    while 0 <= row < rows and 0 <= col < cols and np.isfinite(height[row, col]):
        taken, row, col = taken + 1, row + step[0], col + step[1]
    return taken


def _highest_chord(line: Array, middle: int, longest: int) -> tuple[int, int]:
    """Return the ends, from the node ``middle``, of the highest chord over it of at most ``longest`` steps."""
    before = np.arange(1, min(middle, longest - 1) + 1)
    after = np.arange(1, min(len(line) - 1 - middle, longest - 1) + 1)
    if len(before) == 0 or len(after) == 0:
        return _beside(middle, len(line), longest)
    low, high = line[middle - before][:, None], line[middle + after][None, :]
    over = low + (high - low) * (before[:, None] / (before[:, None] + after[None, :]))
    over[before[:, None] + after[None, :] > longest] = -np.inf
    i, j = np.unravel_index(int(over.argmax()), over.shape)
    return -int(before[i]), int(after[j])


def _beside(middle: int, count: int, longest: int) -> tuple[int, int]:
    """Return a chord for a node at the end of its line, over which there is no gap."""
    first = max(-middle, -longest)
    return first, min(count - 1 - middle, first + longest)
