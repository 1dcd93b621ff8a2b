"""The least of the highest of many planes over all slopes between a least and a most: exactly, in any direction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from courtwright.errors import OutOfRangeError
from courtwright.ground.regrade.corner import Corner, first_corner, lowest_corner
from courtwright.says import say

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: No row may be missed by more than this, nor a limit be passed by more. [m]
MISS = 1e-8
_EXACT = 1e-10
_MOST_ROUNDS = 500
_SQUARE = np.array([[0.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])
_ALL_AROUND = np.array([np.cos(np.arange(16) * np.pi / 8), np.sin(np.arange(16) * np.pi / 8)])
_ALONG_THE_AXES = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])


@dataclass(frozen=True, slots=True)
class Rows:
    """Linear functions of a gradient: ``level + lean · gradient``.

    Parameters
    ----------
    level : ndarray, shape (n,)
        Value without slope. [m]
    lean : ndarray, shape (n, 2)
        Change with the gradient. [m]
    limits : ndarray of bool, shape (n,)
        Whether the function must not be above nought; the highest of the others is what is made least.
    """

    level: Array
    lean: Array
    limits: Flags

    @classmethod
    def to_lower(cls, level: Array, lean: Array) -> Rows:
        """Return functions of which the highest is made least."""
        return cls(level, lean, np.zeros(len(level), dtype=np.bool_))

    @classmethod
    def to_keep(cls, level: Array, lean: Array) -> Rows:
        """Return functions that must not be above nought."""
        return cls(level, lean, np.ones(len(level), dtype=np.bool_))

    def at(self, gradient: Array) -> Array:
        """Return every function's value. ``gradient`` has shape (2,) [m/m], the values shape (n,). [m]"""
        return self.level + self.lean @ gradient

    def half_spaces(self, half: float) -> tuple[Array, Array]:
        """Return what lies above the functions and in the square of gradients up to ``half``, as ``Corner`` has it."""
        normals = np.empty((len(self.level) + 4, 3))
        normals[:4] = _SQUARE
        normals[4:, 0] = ~self.limits
        np.negative(self.lean, out=normals[4:, 1:])
        return normals, np.concatenate([np.full(4, -half), self.level])

    def where(self, kept: Flags) -> Rows:
        """Return some of the functions."""
        return Rows(self.level[kept], self.lean[kept], self.limits[kept])


def together(*parts: Rows) -> Rows:
    """Return functions in one."""
    return Rows(
        np.concatenate([part.level for part in parts]),
        np.concatenate([part.lean for part in parts]),
        np.concatenate([part.limits for part in parts]),
    )


def once(rows: Rows) -> Rows:
    """Return functions with each of them once."""
    table = np.column_stack([rows.level, rows.lean, rows.limits])
    _, first = np.unique(table, axis=0, return_index=True)
    return Rows(rows.level[first], rows.lean[first], rows.limits[first])


@dataclass(frozen=True, slots=True)
class Least:
    """The gradient that makes the highest function least [m/m], and its value there [m]."""

    gradient: Array
    value: float


def least_between(rows_at: Callable[[Array], Rows], low: float, high: float, known: Rows | None = None) -> Least | None:
    """Return the gradient between two slopes at which the highest of many functions is least; None: none is allowed.

    Parameters
    ----------
    rows_at : callable
        Returns, at a gradient, the highest functions and the most broken limits, all or some of them.
    low, high : float
        Least and most slope. [m/m]
    known : Rows, optional
        Functions among which the highest may be; at nought and along both axes unless given.

    Notes
    -----
    Gradients between two slopes are no convex set, but two cases cover all. First the least over all gradients is
    found, a linear programme. If it is too flat, the least allowed one lies on the circle of the least slope: on the
    way from any steeper one to it the highest function does not rise, and the way crosses the circle. If it is too
    steep, the least allowed one lies on the circle of the most slope for the same reason. On a circle every function
    is a wave of one period, so that the least of their highest is where one is lowest, two cross, or a limit is
    reached: all these places are looked at. Functions are added while any is missed by over 10 nm, so that the answer
    is exact in every direction.
    """
    rows = known or together(*(rows_at(start) for start in (np.zeros(2), *high * _ALONG_THE_AXES)))
    corner: Corner | None = None
    for _ in range(_MOST_ROUNDS):
        anywhere, corner = _in_any_slope(rows, high, corner)
        found = None if anywhere is None else _between(anywhere, rows, low, high)
        if found is None:
            return None
        more = rows_at(found.gradient)
        missed = more.at(found.gradient) - np.where(more.limits, 0.0, found.value) > MISS
        if not missed.any():
            return found
        rows = together(rows, more.where(missed))
    raise OutOfRangeError(say("regrade.no-end", rounds=_MOST_ROUNDS))


def _between(anywhere: Least, rows: Rows, low: float, high: float) -> Least | None:
    slope = float(np.hypot(*anywhere.gradient))
    if slope < low - _EXACT:
        return _on_circle(rows, low)
    return _on_circle(rows, high) if slope > high + _EXACT else anywhere


def _in_any_slope(rows: Rows, high: float, start: Corner | None) -> tuple[Least | None, Corner | None]:
    """Return the least over the square around the circle of the most slope, and its corner to go on from."""
    normals, bounds = rows.half_spaces(high)
    if start is None:
        first = int(np.where(rows.limits, -np.inf, rows.level).argmax())
        start = first_corner(float(rows.level[first]), rows.lean[first], high)
    corner = lowest_corner(normals, bounds, start, _EXACT)
    if corner is None:
        return _by_solver(rows, high), None
    place = corner.place
    return Least(place[1:], float(place[0])), corner


def _by_solver(rows: Rows, high: float) -> Least | None:
    """Return the same by a linear programme, where corners lead nowhere: it also knows when there is nothing."""
    from scipy.optimize import linprog  # only who regrades waits for it

    matrix = np.column_stack([np.where(rows.limits, 0.0, -1.0), rows.lean])
    found = linprog(
        [1.0, 0.0, 0.0],
        matrix,
        -rows.level,
        bounds=[(None, None), (-high, high), (-high, high)],
        method="highs",
        options={"primal_feasibility_tolerance": _EXACT, "dual_feasibility_tolerance": _EXACT},
    )
    return None if found.x is None else Least(np.asarray(found.x[1:]), float(found.x[0]))


def _on_circle(rows: Rows, slope: float) -> Least | None:
    """Return the least over all gradients of one slope: of the functions that are highest somewhere, then of more."""
    around = rows.level[:, None] + slope * rows.lean @ _ALL_AROUND
    chosen = np.zeros(len(rows.level), dtype=np.bool_)
    for kind in (rows.limits, ~rows.limits):
        if kind.any():
            chosen[np.where(kind[:, None], around, -np.inf).argmax(axis=0)] = True
    while True:
        found = _on_circle_of(rows.where(chosen), slope)
        if found is None:
            return None
        passed = np.where(chosen, -np.inf, rows.at(found.gradient) - np.where(rows.limits, 0.0, found.value))
        worst = int(passed.argmax())
        if passed[worst] <= MISS / 2:
            return found
        chosen[worst] = True


def _on_circle_of(rows: Rows, slope: float) -> Least | None:
    """Return the least over all gradients of one slope, by every place where it can be."""
    goals, limits = rows.where(~rows.limits), rows.where(rows.limits)
    first, second = np.triu_indices(len(goals.level), 1)
    turns = np.concatenate(
        [
            np.arctan2(-goals.lean[:, 1], -goals.lean[:, 0]),
            _noughts(goals.level[first] - goals.level[second], goals.lean[first] - goals.lean[second], slope),
            _noughts(limits.level, limits.lean, slope),
        ]
    )
    gradients = slope * np.column_stack([np.cos(turns), np.sin(turns)])
    value = (goals.level[:, None] + goals.lean @ gradients.T).max(axis=0)
    if len(limits.level):
        broken = (limits.level[:, None] + limits.lean @ gradients.T).max(axis=0) > MISS / 2
        value = np.where(broken, np.inf, value)
    best = int(value.argmin())
    return Least(gradients[best], float(value[best])) if np.isfinite(value[best]) else None


def _noughts(level: Array, lean: Array, slope: float) -> Array:
    """Return the directions in which functions are nought on a circle. [rad]"""
    size = slope * np.hypot(lean[:, 0], lean[:, 1])
    crosses = (size > 0) & (np.abs(level) <= size)
    half = np.arccos(-level[crosses] / size[crosses])
    towards = np.arctan2(lean[crosses, 1], lean[crosses, 0])
    return np.concatenate([towards - half, towards + half])
