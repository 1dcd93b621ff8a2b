"""The one plane over a pad's heights that needs the least asphalt."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from courtwright.errors import OutOfRangeError
from courtwright.ground.regrade.annulus import Least, Rows, least_between, once, together
from courtwright.says import say

Array = NDArray[np.float64]

#: What is fixed may be missed by a hair, so that rounding finds no contradiction. [m]
_HAIR = 1e-6
#: So many parts of the ground each name their highest place in a round.
_PARTS = 16
#: From so many places on, every so many-th is looked at first. [-]
_MANY, _SOME = 60_000, 20_000
#: So many places at a time stay near the processor.
_BLOCK = 16_384
#: Of very many places, those this far under the highest are looked at again. [m]
_MARGIN = 0.0015


@dataclass(frozen=True, slots=True)
class Ground:
    """Places of a pad with their heights.

    Parameters
    ----------
    x, y, z : ndarray, shape (n,)
        Place and height; only finite. [m]
    area : ndarray, shape (n,)
        What of the pad each place stands for; nought for one that only has to be covered. [m²]
    """

    x: Array
    y: Array
    z: Array
    area: Array

    @property
    def middle(self) -> Array:
        """Mean of the places by area, shape (2,). [m]"""
        return np.array([self.area @ self.x, self.area @ self.y]) / self.area.sum()

    def above(self, plane: Plane) -> Array:
        """Return how far a plane lies above each place, shape (n,). [m]"""
        return plane.at(self.x, self.y) - self.z

    def taken(self, here: NDArray[np.int64]) -> Ground:
        """Return some of the places, by their index."""
        return Ground(self.x[here], self.y[here], self.z[here], self.area[here])


@dataclass(frozen=True, slots=True)
class Plane:
    """``height = level + gradient · place``: its height at the frame's origin [m], and rise along x and y [m/m]."""

    level: float
    gradient: tuple[float, float]

    def at(self, x: Array, y: Array) -> Array:
        """Return the heights at places. [m]"""
        return self.level + self.gradient[0] * x + self.gradient[1] * y


def _nowhere() -> Array:
    return np.empty(0)


@dataclass(frozen=True, slots=True)
class Fixed:
    """Places at which the new surface is held between two heights.

    Parameters
    ----------
    x, y : ndarray, shape (n,)
        Where. [m]
    low, high : ndarray, shape (n,)
        Least and most height; infinite where it is free. [m]
    """

    x: Array = field(default_factory=_nowhere)
    y: Array = field(default_factory=_nowhere)
    low: Array = field(default_factory=_nowhere)
    high: Array = field(default_factory=_nowhere)


@dataclass(frozen=True, slots=True)
class LeastPlane:
    """A plane, and how deep the ground is milled at most so that the least thickness finds room under it. [m]"""

    plane: Plane
    milled: float


@dataclass(frozen=True, slots=True)
class Contradiction:
    """No plane meets all that is fixed: the nearest misses by this much. [m]"""

    miss: float


def least_plane(
    ground: Ground, least: float, low: float, high: float, fixed: Fixed | None = None
) -> LeastPlane | Contradiction:
    """Return the plane that needs the least asphalt.

    Parameters
    ----------
    ground : Ground
        The pad as it lies.
    least : float
        Least thickness of new asphalt. [m]
    low, high : float
        Least and most slope of the plane. [m/m]
    fixed : Fixed, optional
        What the plane has to meet.

    Returns
    -------
    LeastPlane or Contradiction
        The plane lies at least ``least`` above the ground everywhere. Where what is fixed does not let it, the
        ground has to be milled; then it is the plane that needs the shallowest milling, and of those the lowest.

    Notes
    -----
    For a given gradient the lowest plane touches the ground's highest place, seen along it, so that the mean thickness
    is the highest of as many linear functions of the gradient as there are places: ``annulus.least_between``. Only
    functions that are ever the highest are looked at, found by rounds over all places.
    """
    held = fixed or Fixed()
    milled = 0.0
    if np.isfinite(held.high).any():
        miss = _least_miss(held, low, high)
        if miss > _HAIR:
            return Contradiction(miss / 2)
        milled = _least_milling(ground, least, held, low, high)
    plane = _Task(ground, least - milled, held, ground.middle).solved(low, high)
    if plane is None:
        raise OutOfRangeError(say("regrade.no-end", rounds=0))
    return LeastPlane(plane, milled)


@dataclass(frozen=True, slots=True)
class _Near:
    """The places that can be the highest as long as the gradient is within a reach of one. [m/m]"""

    gradient: Array
    reach: float
    ground: Ground


@dataclass(frozen=True, slots=True)
class _Task:
    """Ground to be covered and places to be met."""

    ground: Ground
    least: float
    fixed: Fixed
    middle: Array
    near: _Near | None = None

    def rows_at(self, gradient: Array) -> Rows:
        """Return the mean heights of planes through the highest places, and the most broken limit."""
        tops, held = self.tops(gradient), self.fixed
        from_below = np.isfinite(held.low)
        x = np.concatenate([tops.x, held.x[from_below]])
        y = np.concatenate([tops.y, held.y[from_below]])
        z = np.concatenate([tops.z + self.least, held.low[from_below]])
        goals = Rows.to_lower(z, self.middle - np.column_stack([x, y]))
        if not np.isfinite(held.high).any():
            return goals
        top = int((z - gradient[0] * x - gradient[1] * y).argmax())
        roof = int((held.high - gradient[0] * held.x - gradient[1] * held.y).argmin())
        lean = np.array([[held.x[roof] - x[top], held.y[roof] - y[top]]])
        # What is met with a hair's room is met.
        return together(goals, Rows.to_keep(np.array([z[top] - held.high[roof] - 2 * _HAIR]), lean))

    def level_of(self, gradient: Array) -> float:
        """Return the height at the origin of the lowest plane of a gradient. [m]"""
        rest = _along(self.tops(gradient), gradient).max() + self.least
        held = self.fixed.low - gradient[0] * self.fixed.x - gradient[1] * self.fixed.y
        return float(max(rest, held.max(initial=-np.inf)))

    def solved(self, low: float, high: float) -> Plane | None:
        """Return the plane; of very many places a part is asked first, which places matter."""
        if len(self.ground.z) <= _MANY:
            return self._plane(least_between(self.rows_at, low, high))
        step = len(self.ground.z) // _SOME
        part = replace(self, ground=self.ground.taken(np.arange(0, len(self.ground.z), step)))
        known: list[Rows] = []

        def rows_of_part(gradient: Array) -> Rows:
            known.append(part.rows_at(gradient))
            return known[-1]

        # The middle stays that of all places, so that the part's functions are some of the whole's own.
        rough = least_between(rows_of_part, low, high)
        if rough is None:
            return None
        highest = float(_along(part.ground, rough.gradient).max())
        close = replace(self, near=self._near(rough.gradient, highest))
        return close._plane(least_between(close.rows_at, low, high, once(together(*known))))

    def _plane(self, found: Least | None) -> Plane | None:
        if found is None:
            return None
        x, y = found.gradient
        return Plane(self.level_of(found.gradient), (float(x), float(y)))

    def _near(self, gradient: Array, highest: float) -> _Near:
        """Return the places that can be the highest near a gradient: no other is within a margin of a high one there.

        A change of gradient lifts a place over another by at most itself times their distance.
        """
        ground, kept = self.ground, list[NDArray[np.int64]]()
        lowest, farthest = np.full(2, np.inf), np.full(2, -np.inf)
        for start, rest in _blocks_along(ground, gradient):
            kept.append(np.flatnonzero(rest >= highest - _MARGIN) + start)
            for axis, places in enumerate((ground.x, ground.y)):
                here = places[start : start + len(rest)]
                lowest[axis] = min(lowest[axis], here.min())
                farthest[axis] = max(farthest[axis], here.max())
        return _Near(gradient, _MARGIN / math.hypot(*(farthest - lowest)), ground.taken(np.concatenate(kept)))

    def tops(self, gradient: Array) -> Ground:
        """Return the highest place of each part of the ground, seen along a gradient."""
        near = self.near
        ground = near.ground if near and np.hypot(*(gradient - near.gradient)) <= near.reach else self.ground
        rest = _along(ground, gradient)
        size = max(1, -(-len(rest) // _PARTS))
        whole = len(rest) // size * size
        here = rest[:whole].reshape(-1, size).argmax(axis=1) + np.arange(0, whole, size)
        return ground.taken(here if whole == len(rest) else np.append(here, whole + int(rest[whole:].argmax())))


def _along(ground: Ground, gradient: Array) -> Array:
    """Return how high places are, seen along a gradient. [m]"""
    rest = np.empty(len(ground.z))
    for start, block in _blocks_along(ground, gradient):
        rest[start : start + len(block)] = block
    return rest


def _blocks_along(ground: Ground, gradient: Array) -> Iterator[tuple[int, Array]]:
    """Yield the same by blocks, with where each begins; a block is overwritten by the next."""
    rest, turned = np.empty(_BLOCK), np.empty(_BLOCK)
    for start in range(0, len(ground.z), _BLOCK):
        block = slice(start, start + _BLOCK)
        here = rest[: len(ground.z) - start]
        np.multiply(ground.x[block], -gradient[0], out=here)
        here += ground.z[block]
        here -= np.multiply(ground.y[block], gradient[1], out=turned[: len(here)])
        yield start, here


def _least_miss(held: Fixed, low: float, high: float) -> float:
    """Return by how much the heights held from below pass those held from above, at least; nought: not at all. [m]"""
    under, over = np.isfinite(held.low), np.isfinite(held.high)
    if not under.any():
        return 0.0
    level = (held.low[under][:, None] - held.high[over][None, :]).ravel()
    lean = [(axis[over][None, :] - axis[under][:, None]).ravel() for axis in (held.x, held.y)]
    rows = Rows.to_lower(level, np.column_stack(lean))
    found = least_between(lambda gradient: _highest_rows(rows, gradient), low, high)
    return found.value if found else 0.0


def _highest_rows(rows: Rows, gradient: Array) -> Rows:
    best = np.argsort(-rows.at(gradient))[:_PARTS]
    return Rows(rows.level[best], rows.lean[best], rows.limits[best])


def _least_milling(ground: Ground, least: float, held: Fixed, low: float, high: float) -> float:
    """Return how deep has to be milled at the deepest place so that a plane meets what is fixed. [m]"""
    over = np.isfinite(held.high)
    pairs = Fixed(held.x[over], held.y[over], held.low[over], held.high[over])
    under = np.isfinite(held.low)
    task = _Task(ground, least, Fixed(), ground.middle)

    def rows_at(gradient: Array) -> Rows:
        tops = task.tops(gradient)
        roof = int((pairs.high - gradient[0] * pairs.x - gradient[1] * pairs.y).argmin())
        level = tops.z + least - pairs.high[roof]
        rows = Rows.to_lower(level, np.column_stack([pairs.x[roof] - tops.x, pairs.y[roof] - tops.y]))
        # Nothing to mill is the least there is.
        rows = together(rows, Rows.to_lower(np.zeros(1), np.zeros((1, 2))))
        if not under.any():
            return rows
        x, y, z = held.x[under], held.y[under], held.low[under]
        floor = int((z - gradient[0] * x - gradient[1] * y).argmax())
        keeps = np.array([[pairs.x[roof] - x[floor], pairs.y[roof] - y[floor]]])
        return together(rows, Rows.to_keep(np.array([z[floor] - pairs.high[roof] - _HAIR]), keeps))

    found = least_between(rows_at, low, high)
    return 0.0 if found is None or found.value < _HAIR else found.value
