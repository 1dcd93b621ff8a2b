"""Locates points from tape distances: two tapes and a side, or least squares from three or more."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Side = Literal["left", "right"]

#: A residual so many times its own doubt is a blunder: one in a thousand by chance (Baarda 1968; from memory). [-]
BLUNDER = 3.29
#: Another place fits as well when its squares exceed the best by less than chance explains, chi-squared at 0.999. [-]
_AS_WELL = 10.83
#: Places nearer than this are one. [m]
_ONE_PLACE = 1e-3
_ROUNDS = 60
_STEP = 1e-11
#: Pairs of so many tapes are tried as a start. [-]
_STARTS = 8


@dataclass(frozen=True, slots=True)
class Tie:
    """One tape: from where, how long [m], and on which side of the line of the first two tapes the point lies."""

    point: str
    start: str
    distance: float
    side: Side | None = None
    line: int = 0


@dataclass(frozen=True, slots=True)
class Fix:
    """A known point: its place [m] and the covariance of that, shape (2, 2) [m²]."""

    xy: tuple[float, float]
    covariance: Array


@dataclass(frozen=True, slots=True)
class Located:
    """A point found.

    Parameters
    ----------
    point : str
        Its name.
    fix : Fix
        Where it is, and how well that is known.
    ties : tuple of Tie
        The tapes that began at a place that is known.
    residuals : tuple of float
        Taped less computed, of every tape in its order. [m]
    bad : tuple of int
        Which tapes are blunders and were left out. [-]
    at_odds : bool
        Whether the tapes disagree by more than chance, and too few are left to tell which.
    """

    point: str
    fix: Fix
    ties: tuple[Tie, ...]
    residuals: tuple[float, ...]
    bad: tuple[int, ...] = ()
    at_odds: bool = False

    @property
    def residual(self) -> float:
        """The largest residual of the tapes that were used. [m]"""
        return max((abs(r) for i, r in enumerate(self.residuals) if i not in self.bad), default=0.0)

    @property
    def deviation(self) -> float:
        """Standard deviation of the place, both directions together. [m]"""
        return math.sqrt(float(np.trace(self.fix.covariance)))

    @property
    def ellipse(self) -> tuple[float, float, float]:
        """Half axes of the standard error ellipse, longer first [m], and the bearing of the longer from +y [rad]."""
        if not np.isfinite(self.fix.covariance).all():
            return math.inf, math.inf, 0.0
        values, vectors = np.linalg.eigh(self.fix.covariance)
        small, large = (math.sqrt(max(float(v), 0.0)) for v in values)
        return large, small, math.atan2(float(vectors[0, 1]), float(vectors[1, 1])) % math.pi


@dataclass(frozen=True, slots=True)
class Lost:
    """A point that was not found, why, and by how much its tapes miss each other [m]."""

    point: str
    why: Literal["one-tape", "side", "apart", "unknown"]
    gap: float = 0.0


def located(ties: Sequence[Tie], known: Mapping[str, Fix], tape: float) -> list[Located | Lost]:
    """Return every point of the ties, in the order in which they are first named.

    Parameters
    ----------
    ties : sequence of Tie
        What was taped. [m]
    known : mapping of str to Fix
        Where tapes begin; a point found serves those after it. [m]
    tape : float
        Standard deviation of one tape. [m]
    """
    groups: dict[str, list[Tie]] = {}
    for one in ties:
        groups.setdefault(one.point, []).append(one)
    fixes, done = dict(known), dict[str, Located | Lost]()
    while True:
        ready = [name for name in groups if name not in done and all(t.start in fixes for t in groups[name])]
        if not ready:
            break
        for name in ready:
            done[name] = found = _one(groups[name], fixes, tape)
            if isinstance(found, Located):
                fixes[name] = found.fix
    # What hangs on a point that was not found still has its other tapes.
    for name in groups:
        if name not in done:
            usable = [t for t in groups[name] if t.start in fixes]
            done[name] = _one(usable, fixes, tape) if len(usable) > 1 else Lost(name, "unknown")
    return [done[name] for name in groups]


def _one(ties: Sequence[Tie], fixes: Mapping[str, Fix], tape: float) -> Located | Lost:
    name = ties[0].point
    if len({fixes[t.start].xy for t in ties}) < 2:
        return Lost(name, "one-tape")
    side = next((t.side for t in ties if t.side), None)
    tapes = _Tapes.of(ties, fixes, tape)
    kept = np.arange(len(ties))
    places = tapes.places(kept)
    while _misfit(tapes, places, kept) > BLUNDER**2 and len(kept) > 3:
        # The tape without which the others agree best has the largest residual for its doubt.
        without = [np.delete(kept, i) for i in range(len(kept))]
        tries = [(tapes.places(rest), rest) for rest in without]
        places, kept = min(tries, key=lambda one: one[0][0][1])
    misfit = _misfit(tapes, places, kept)
    gap = tapes.gap() if len(ties) == 2 else 0.0
    if gap > BLUNDER * math.sqrt(2) * tape:
        return Lost(name, "apart", gap)
    good = [xy for xy, squares in places if squares - places[0][1] < _AS_WELL]
    if len(good) > 1:
        if side is None:
            return Lost(name, "side")
        a, b = _line(ties, fixes)
        sign = 1 if side == "left" else -1
        good = [xy for xy in good if sign * _cross(b - a, xy - a) > 0] or good
    xy = good[0]
    covariance = tapes.covariance(xy, kept)
    residuals = tuple(float(r) for r in tapes.residuals(xy))
    bad = tuple(i for i in range(len(ties)) if i not in kept)
    odds = len(kept) > 2 and misfit > BLUNDER**2
    return Located(name, Fix((float(xy[0]), float(xy[1])), covariance), tuple(ties), residuals, bad, odds)


def _line(ties: Sequence[Tie], fixes: Mapping[str, Fix]) -> tuple[Array, Array]:
    """Return the first two places from which a point was taped; left and right are seen along them."""
    first = np.array(fixes[ties[0].start].xy)
    second = next(fixes[t.start].xy for t in ties if fixes[t.start].xy != fixes[ties[0].start].xy)
    return first, np.array(second)


def _cross(a: Array, b: Array) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _misfit(tapes: _Tapes, places: Sequence[tuple[Array, float]], kept: NDArray[np.intp]) -> float:
    """Return the largest square of a residual by its own doubt. [-]"""
    return tapes.worst(places[0][0], kept) if len(kept) > 2 else 0.0


@dataclass(frozen=True, slots=True)
class _Tapes:
    starts: Array
    distances: Array
    spread: Array
    tape: float

    @classmethod
    def of(cls, ties: Sequence[Tie], fixes: Mapping[str, Fix], tape: float) -> _Tapes:
        return cls(
            np.array([fixes[t.start].xy for t in ties]),
            np.array([t.distance for t in ties]),
            np.array([fixes[t.start].covariance for t in ties]),
            tape,
        )

    def residuals(self, xy: Array) -> Array:
        return self.distances - np.hypot(*(xy - self.starts).T)

    def along(self, xy: Array) -> Array:
        """Return the direction of every tape, shape (n, 2)."""
        away = xy - self.starts
        return away / np.maximum(np.hypot(*away.T), 1e-12)[:, None]

    def weights(self, xy: Array, kept: NDArray[np.intp]) -> Array:
        """Return one over the variance of each tape, that of where it begins counted in. [1/m²]"""
        u = self.along(xy)[kept]
        return 1 / (self.tape**2 + np.einsum("ni,nij,nj->n", u, self.spread[kept], u))

    def covariance(self, xy: Array, kept: NDArray[np.intp]) -> Array:
        u = self.along(xy)[kept]
        normal = (u * self.weights(xy, kept)[:, None]).T @ u
        # Tapes along one line say nothing across it.
        is_flat = np.linalg.cond(normal) > 1e10
        return np.asarray(np.full((2, 2), np.inf) if is_flat else np.linalg.inv(normal), dtype=np.float64)

    def squares(self, xy: Array, kept: NDArray[np.intp]) -> float:
        return float((self.weights(xy, kept) * self.residuals(xy)[kept] ** 2).sum())

    def worst(self, xy: Array, kept: NDArray[np.intp]) -> float:
        """Return the largest squared residual over its variance after the fit. [-]"""
        covariance = self.covariance(xy, kept)
        u = self.along(xy)[kept]
        spent = np.einsum("ni,ij,nj->n", u, covariance, u) if np.isfinite(covariance).all() else np.zeros(len(kept))
        left = 1 / self.weights(xy, kept) - spent
        # A tape that no other checks has no residual to judge.
        is_checked = left > 1e-6 * self.tape**2
        return float(np.max(np.where(is_checked, self.residuals(xy)[kept] ** 2 / np.where(is_checked, left, 1.0), 0.0)))

    def gap(self) -> float:
        """Return by how much the circles of the first two tapes miss each other. [m]"""
        apart = float(np.hypot(*(self.starts[1] - self.starts[0])))
        a, b = (float(d) for d in self.distances[:2])
        return max(apart - a - b, abs(a - b) - apart, 0.0)

    def places(self, kept: NDArray[np.intp]) -> list[tuple[Array, float]]:
        """Return where the squares of the residuals are least, the least first, with their sum."""
        found: list[tuple[Array, float]] = []
        for i, j in itertools.combinations(kept[:_STARTS], 2):
            for start in self._meet(int(i), int(j)):
                xy = self._descended(start, kept)
                if all(np.hypot(*(xy - other)) > _ONE_PLACE for other, _ in found):
                    found.append((xy, self.squares(xy, kept)))
        return sorted(found, key=lambda one: one[1])

    def _meet(self, i: int, j: int) -> list[Array]:
        """Return where two circles meet, or the place between them where they do not."""
        a, b = self.starts[i], self.starts[j]
        apart = float(np.hypot(*(b - a)))
        if apart < _ONE_PLACE:
            return []
        along = (self.distances[i] ** 2 - self.distances[j] ** 2 + apart**2) / (2 * apart)
        across = math.sqrt(max(float(self.distances[i] ** 2 - along**2), 0.0))
        unit = (b - a) / apart
        normal = np.array([-unit[1], unit[0]])
        return [a + along * unit + sign * across * normal for sign in (1, -1)]

    def _descended(self, xy: Array, kept: NDArray[np.intp]) -> Array:
        """Return the nearest least place by damped Gauss-Newton steps."""
        damping, now = 0.0, self.squares(xy, kept)
        for _ in range(_ROUNDS):
            u, w = self.along(xy)[kept], self.weights(xy, kept)
            normal = (u * w[:, None]).T @ u
            pull = (u * w[:, None]).T @ self.residuals(xy)[kept]
            step = np.linalg.lstsq(normal + damping * np.trace(normal) * np.eye(2), pull, rcond=1e-12)[0]
            then = self.squares(xy + step, kept)
            if then <= now:
                xy, now, damping = xy + step, then, damping / 4
                if np.hypot(*step) < _STEP:
                    break
            else:
                damping = max(damping * 4, 1e-3)
        return xy
