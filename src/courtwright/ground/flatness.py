"""The largest gap under a straightedge laid anywhere on a surface."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from courtwright.ground.kernels import pays
from courtwright.site.formats.raster import Heights

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: How many lattice directions there are whose steps are at most 1, 2, … nodes a side.
COUNTS = (4, 8, 16, 24, 40, 48)


def directions(count: int) -> tuple[tuple[int, int], ...]:
    """Return the lattice directions (rows, columns) with the shortest steps, shortest first: each line of nodes once.

    Parameters
    ----------
    count : int
        How many, one of ``COUNTS``. [-]

    Examples
    --------
    >>> directions(8)
    ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (1, -2), (2, -1))
    """
    found = [(0, 1), (1, 0), (1, 1), (1, -1)]
    for long in range(2, COUNTS.index(count) + 2):
        for short in (side for side in range(1, long) if math.gcd(side, long) == 1):
            found += [(short, long), (long, short), (short, -long), (long, -short)]
    return tuple(found)


#: The directions in which a straightedge is laid unless others are asked for: every 14° to 19°.
DIRECTIONS = directions(16)


@dataclass(frozen=True, slots=True)
class Gaps:
    """The largest gap over every node of a raster.

    Parameters
    ----------
    gap : ndarray, shape (rows, cols)
        Largest gap of any straightedge that spans the node; 0 where none does, NaN where there is no data. [m]
    greatest : float
        The largest of all. [m]
    at : tuple of int, shape (2,)
        Its row and column.
    direction : tuple of int, shape (2,)
        Rows and columns that the straightedge advances together.
    """

    gap: Array
    greatest: float
    at: tuple[int, int]
    direction: tuple[int, int]


def largest_gaps(
    height: Array, cell: float, straightedge: float, laid: tuple[tuple[int, int], ...] = DIRECTIONS
) -> Gaps | None:
    """Return the largest gaps under a straightedge, any place, in some lattice directions.

    Parameters
    ----------
    height : ndarray, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    cell : float
        Spacing of nodes. [m]
    straightedge : float
        Its length. It lies wholly on the raster and rests on the surface's upper hull. [m]
    laid : tuple of (int, int)
        The directions (rows, columns) in which it is laid.

    Returns
    -------
    Gaps or None
        None where the raster has no room for the straightedge, or its nodes are too wide apart to show a gap.

    Notes
    -----
    The straightedge touches at nodes, so it spans whole numbers of them: on a lattice that does not divide
    it, it counts as up to a node shorter. Under a straightedge at rest the gap over a node is that of the
    highest chord between two nodes that it covers; over all its positions, that of the highest chord no
    longer than it. So no hull need be built: every chord is tried, at a cost of half the square of
    the nodes to a straightedge.

    Examples
    --------
    Two bumps 2 m apart, with 12 mm of air between them:

    >>> profile = np.zeros((1, 9)); profile[0, [2, 6]] = 0.012
    >>> round(largest_gaps(profile, 0.5, 3.0).greatest * 1000, 1)
    12.0
    """
    best: Gaps | None = None
    gap = np.where(np.isfinite(height), 0.0, np.nan)
    for direction in laid:
        found = _along(height, direction, straightedge / (cell * math.hypot(*direction)))
        if found is None:
            continue
        place = np.unravel_index(int(np.nanargmax(found)), found.shape)
        np.fmax(gap, found, out=gap)
        greatest = float(found[place])
        if best is None or greatest > best.greatest:
            best = Gaps(gap, greatest, (int(place[0]), int(place[1])), direction)
    return best


#: So many chords tried one by one take as long as loading the loops that try only hull edges. [-]
COMPILED_FROM = 2e8


@dataclass(frozen=True, slots=True)
class WorstPlace:
    """The largest gap of all: how large, at which row and column, in which lattice direction. [m]"""

    gap: float
    at: tuple[int, int]
    direction: tuple[int, int]


def worst_place(
    height: Heights, cell: float, straightedge: float, laid: tuple[tuple[int, int], ...] = DIRECTIONS
) -> WorstPlace | None:
    """Return the largest gap under a straightedge alone: on a fine raster a small part of the work.

    Parameters
    ----------
    height, cell, straightedge
        As for ``largest_gaps``.
    laid : tuple of (int, int)
        The lattice directions in which it is laid.

    Returns
    -------
    WorstPlace or None
        None where ``largest_gaps`` gives none, and where no gap is over zero.

    Notes
    -----
    By compiled loops where many chords would have to be tried: the gaps under the edges of the upper hull alone.
    """
    chords = height.size * (straightedge / cell) ** 2
    if not pays(chords, COMPILED_FROM, COMPILED_FROM / 50):
        found = largest_gaps(np.asarray(height, dtype=np.float64), cell, straightedge, laid)
        return WorstPlace(found.greatest, found.at, found.direction) if found and found.greatest > 0 else None
    from courtwright.ground.kernels.straightedge import greatest_gap

    level = _without_plane(height)
    worst: WorstPlace | None = None
    for direction in laid:
        steps = straightedge / (cell * math.hypot(*direction))
        one = greatest_gap(level, direction, steps, worst.gap if worst else 0.0)
        if one is not None:
            row, col = divmod(one[1], height.shape[1])
            worst = WorstPlace(one[0], (row, col), direction)
    return worst


def _without_plane(height: Heights) -> Array:
    """Return heights above their own plane: no gap changes, and fewer need to be looked at."""
    row, col = np.arange(height.shape[0])[:, None], np.arange(height.shape[1])
    there = np.flatnonzero(np.isfinite(height))[:: max(1, height.size // 20_000)]
    rows, cols = np.divmod(there, height.shape[1])
    terms = np.column_stack([np.ones(len(there)), rows, cols])
    base, down, across = np.linalg.lstsq(terms, height.flat[there].astype(np.float64), rcond=None)[0]
    return np.asarray(height, dtype=np.float64) - (base + down * row + across * col)


def _along(height: Array, direction: tuple[int, int], nodes: float) -> Array | None:
    """Return the largest gap at each node in one direction, for a straightedge of so many node spacings."""
    spans = math.floor(nodes + 1e-9)
    reaches = _all_there(np.isfinite(height), direction, math.ceil(nodes - 1e-9))
    if spans < 2 or not reaches.any():
        return None
    gap = np.where(np.isfinite(height), 0.0, np.nan)
    rests = _room_for_longest(reaches, direction, math.ceil(nodes - 1e-9) - spans)
    for span in range(spans, 1, -1):
        if span < spans:
            rests = rests | _shifted(rests, direction, 1)
        _raise_by_chords(gap, height, direction, span, rests)
    return gap


def _all_there(there: Flags, direction: tuple[int, int], spans: int) -> Flags:
    """Return the nodes from which all of ``spans`` steps lie on the raster."""
    found = there.copy()
    for step in range(1, spans + 1):
        found &= _shifted(there, direction, -step)
    return found


def _room_for_longest(reaches: Flags, direction: tuple[int, int], spare: int) -> Flags:
    """Return the starts of the longest chords: with a spare step, either end of the straightedge may take it."""
    return reaches | _shifted(reaches, direction, 1) if spare else reaches


def _shifted(flags: Flags, direction: tuple[int, int], steps: int) -> Flags:
    """Return the flags moved ``steps`` along a direction, false coming in at the border."""
    moved = np.zeros_like(flags)
    to, start = _windows(flags.shape, (direction[0] * steps, direction[1] * steps))
    moved[to] = flags[start]
    return moved


def _windows(shape: tuple[int, ...], move: tuple[int, int]) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Return where nodes come to lie that are moved by (rows, columns), and where they come from."""
    to = tuple(slice(max(0, m), max(0, min(n, n + m))) for m, n in zip(move, shape, strict=True))
    start = tuple(slice(max(0, -m), max(0, min(n, n - m))) for m, n in zip(move, shape, strict=True))
    return (to[0], to[1]), (start[0], start[1])


def _raise_by_chords(gap: Array, height: Array, direction: tuple[int, int], span: int, rests: Flags) -> None:
    """Raise the gaps to those under every chord of ``span`` steps whose start ``rests``."""
    far, near = _windows(gap.shape, (direction[0] * span, direction[1] * span))
    left, right, allowed = height[near], height[far], rests[near]
    everywhere = bool(allowed.all())
    rise = right - left
    for step in range(1, span):
        over = tuple(
            slice(part.start + m * step, part.stop + m * step) for part, m in zip(near, direction, strict=True)
        )
        chord = rise * (step / span)
        chord += left
        chord -= height[over]
        if not everywhere:
            chord[~allowed] = 0.0
        np.maximum(gap[over], chord, out=gap[over])
