"""Several planes that meet in folds between courts, never at a net: the ones that need the least asphalt."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from courtwright.ground.regrade.plane import Fixed, Ground, Plane
from courtwright.ground.slope import court_area
from courtwright.site.record import Court

Array = NDArray[np.float64]

#: Courts whose long axes differ by more are turned. [rad]
_TURNED = math.radians(1.0)
#: No layout is looked for that saves less mean thickness [m], nor are arcs halved any further [rad].
_GAIN, _LEAST_PIECE = 1e-6, 1e-6
_CAPS = np.arange(16) * math.pi / 8
_MOST_ROUNDS, _MISS = 300, 1e-8
_PARTS = 16
#: Mean height [m], and the unknowns that give it.
_Answer = tuple[float, Array]


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips of a pad side by side, a fold between each two.

    Parameters
    ----------
    across : ndarray, shape (2,)
        Unit vector from strip to strip. [-]
    folds : ndarray, shape (n - 1,)
        Where the folds lie, along it. [m]
    courts : tuple of tuple of str, length n
        The courts of each strip.
    """

    across: Array
    folds: Array
    courts: tuple[tuple[str, ...], ...]

    @property
    def along(self) -> Array:
        """Unit vector along the folds. [-]"""
        return np.array([-self.across[1], self.across[0]])

    def terms(self, x: Array, y: Array) -> Array:
        """Return what the unknowns add to heights: level, rise along the folds, rise across each strip."""
        u, v = (x * axis[0] + y * axis[1] for axis in (self.across, self.along))
        ends = np.concatenate([[-np.inf], self.folds, [np.inf]])
        across = [np.clip(u, low, high) - (low if np.isfinite(low) else high) for low, high in itertools.pairwise(ends)]
        return np.column_stack([np.ones(len(u)), v, *across])

    def planes(self, unknowns: Array) -> tuple[Plane, ...]:
        """Return the plane of each strip."""
        middles = np.concatenate(
            [[self.folds[0] - 1.0], (self.folds[:-1] + self.folds[1:]) / 2, [self.folds[-1] + 1.0]]
        )
        planes: list[Plane] = []
        for middle, rise in zip(middles, unknowns[2:], strict=True):
            place = self.across * middle
            gradient = rise * self.across + unknowns[1] * self.along
            height = float((self.terms(place[:1], place[1:]) @ unknowns)[0])
            planes.append(Plane(height - float(gradient @ place), (float(gradient[0]), float(gradient[1]))))
        return tuple(planes)


def strips_of(courts: tuple[Court, ...], sizes: Mapping[str, tuple[float, float]]) -> Strips | None:
    """Return the strips into which folds between courts cut a pad; None where no straight fold passes between two.

    Parameters
    ----------
    courts : tuple of Court
        The pad's courts.
    sizes : mapping of str to tuple of float
        Length and width of a court, by sport. [m]

    Notes
    -----
    Folds run along the courts and between courts that lie side by side; only where there are none such, across and
    between courts that lie end to end. Courts that share a strip share its plane.
    """
    known = [court for court in courts if court.sport in sizes]
    if len(known) < 2 or len(known) < len(courts):
        return None
    turned = known[0].turned
    if any(abs(math.remainder(court.turned - turned, math.pi)) > _TURNED for court in known):
        return None
    areas = [shapely.get_coordinates(court_area(court, sizes[court.sport])) for court in known]
    for turn in (turned + math.pi / 2, turned):
        axis = np.array([math.sin(turn), math.cos(turn)])
        reach = sorted(
            (float((area @ axis).min()), float((area @ axis).max()), court.id)
            for court, area in zip(known, areas, strict=True)
        )
        groups: list[tuple[float, float, list[str]]] = []
        for low, high, name in reach:
            if groups and low <= groups[-1][1]:
                first, last, names = groups[-1]
                groups[-1] = (first, max(last, high), [*names, name])
            else:
                groups.append((low, high, [name]))
        if len(groups) > 1:
            folds = [(before[1] + after[0]) / 2 for before, after in itertools.pairwise(groups)]
            return Strips(axis, np.array(folds), tuple(tuple(names) for _, _, names in groups))
    return None


def least_folded(
    ground: Ground, strips: Strips, least: float, low: float, high: float, fixed: Fixed
) -> tuple[Plane, ...] | None:
    """Return the planes of the strips that together need the least asphalt; None where nothing fits.

    Parameters
    ----------
    ground : Ground
        The pad as it lies.
    strips : Strips
        How folds cut it.
    least : float
        Least thickness of new asphalt. [m]
    low, high : float
        Least and most slope of every plane. [m/m]
    fixed : Fixed
        What the surface has to meet.

    Notes
    -----
    Planes meet in their folds, and a fold is a ridge or nothing: a valley between courts would gather water. So the
    surface is the lowest of its planes everywhere, and all of them rise alike along the folds. Where that rise alone
    is the least slope, what is left is a linear programme. Elsewhere a pattern says how many strips fall to the one
    side; the others fall to the other, and each strip's gradient lies beyond an arc of the circle of the least slope.
    Only the rise along the folds makes that no convex set, so it is halved into pieces: the chord of a piece of the
    arc allows too much and gives a bound, the tangent too little and gives an answer. Pieces whose bound leaves nothing
    to gain are dropped, so that no planes with these folds need less by over a micrometre of mean thickness.

    References
    ----------
    Land and Doig, "An automatic method of solving discrete programming problems", Econometrica 28, 1960, for bounding
    pieces and dropping them.
    """
    # About the middle, so that places far from the origin cost no digits.
    home = ground.middle
    near = replace(ground, x=ground.x - home[0], y=ground.y - home[1])
    held = replace(fixed, x=fixed.x - home[0], y=fixed.y - home[1])
    shifted = replace(strips, folds=strips.folds - float(strips.across @ home))
    task = _Folding(near, shifted, least, high, held)
    best: _Answer | None = None
    count = len(strips.courts)
    for sign in (-1.0, 1.0):
        row = np.zeros((1, count + 2))
        row[0, 1] = -sign
        best = _better(best, task.solved(row, np.array([-low])))
    best = _over_arcs(task, low, best)
    if best is None:
        return None
    planes = shifted.planes(best[1])
    return tuple(Plane(plane.level - float(np.array(plane.gradient) @ home), plane.gradient) for plane in planes)


def _better(one: _Answer | None, other: _Answer | None) -> _Answer | None:
    if one is None or other is None:
        return one or other
    return other if other[0] < one[0] else one


def _over_arcs(task: _Folding, low: float, best: _Answer | None) -> _Answer | None:
    """Return the least of all patterns whose rise along the folds is less than the least slope, or what is known."""
    count = task.count
    order = itertools.count()
    signs = [np.where(np.arange(count) < rising, 1.0, -1.0) for rising in range(count + 1)]
    # Bound, a number that tells equals apart, pattern, and where its piece of the arc begins and ends.
    pieces = [(-math.inf, next(order), pattern, -math.pi / 2, math.pi / 2) for pattern in range(count + 1)]
    while pieces:
        bound, _, pattern, start, end = heapq.heappop(pieces)
        if best is not None and bound > best[0] - _GAIN:
            break
        relaxed = task.solved(*_beyond_chord(signs[pattern], start, end, low))
        if relaxed is None or (best is not None and relaxed[0] > best[0] - _GAIN):
            continue
        turn = math.asin(float(np.clip(relaxed[1][1] / low, -1.0, 1.0))) if low > 0 else 0.0
        best = _better(best, task.solved(*_half_planes(signs[pattern], turn, low)))
        if low > 0 and end - start > _LEAST_PIECE:
            middle = (start + end) / 2
            for piece in ((start, middle), (middle, end)):
                heapq.heappush(pieces, (relaxed[0], next(order), pattern, *piece))
    return best


def _beyond_chord(signs: Array, start: float, end: float, low: float) -> tuple[Array, Array]:
    """Return that every strip's gradient lies beyond the chord of an arc, and its rise along the folds within it."""
    rows, limits = _half_planes(signs, (start + end) / 2, low * math.cos((end - start) / 2))
    within = np.zeros((2, rows.shape[1]))
    within[:, 1] = 1.0, -1.0
    return np.vstack([rows, within]), np.append(limits, [low * math.sin(end), -low * math.sin(start)])


def _half_planes(signs: Array, turn: float, low: float) -> tuple[Array, Array]:
    """Return, for every strip, that its slope counted in one direction is at least so much."""
    rows = np.zeros((len(signs), len(signs) + 2))
    rows[:, 1] = -math.sin(turn)
    rows[np.arange(len(signs)), 2 + np.arange(len(signs))] = -signs * math.cos(turn)
    return rows, np.full(len(signs), -low)


class _Folding:
    """The linear programmes of one ground; the places that mattered in one are known to the next."""

    def __init__(self, ground: Ground, strips: Strips, least: float, high: float, fixed: Fixed) -> None:
        self._terms = strips.terms(ground.x, ground.y)
        self._need = ground.z + least
        self._mean = ground.area @ self._terms / ground.area.sum()
        self._high, self._axes = high, (strips.across, strips.along)
        self.count = len(strips.courts)
        at = strips.terms(fixed.x, fixed.y)
        below, above = np.isfinite(fixed.low), np.isfinite(fixed.high)
        self._held = np.vstack([at[above], -at[below]])
        self._held_at = np.concatenate([fixed.high[above], -fixed.low[below]]) + 1e-7
        self._ridges, self._caps = np.vstack(list(self._ridge_rows())), np.vstack(list(self._cap_rows()))
        self._known: NDArray[np.int64] = np.empty(0, dtype=np.int64)
        for rise in (-high, 0.0, high):
            for lean in (-high, 0.0, high):
                guess = np.array([0.0, lean, *np.full(self.count, rise)])
                self._known = np.union1d(self._known, self._highest(guess))

    def _ridge_rows(self) -> Iterator[Array]:
        yield np.zeros((0, self.count + 2))
        for strip in range(self.count - 1):
            row = np.zeros((1, self.count + 2))
            row[0, 2 + strip], row[0, 3 + strip] = -1.0, 1.0
            yield row

    def _cap_rows(self) -> Iterator[Array]:
        for strip in range(self.count):
            for turn in _CAPS:
                yield self._cap(strip, math.cos(turn), math.sin(turn))

    def _cap(self, strip: int, across: float, along: float) -> Array:
        row = np.zeros((1, self.count + 2))
        row[0, 2 + strip], row[0, 1] = across, along
        return row

    def _highest(self, unknowns: Array) -> NDArray[np.int64]:
        rest = self._need - self._terms @ unknowns
        size = max(1, -(-len(rest) // _PARTS))
        starts = np.arange(0, len(rest), size)
        return np.array([start + int(rest[start : start + size].argmax()) for start in starts], dtype=np.int64)

    def solved(self, rows: Array, limits: Array) -> _Answer | None:
        """Return the least mean height and the unknowns that give it; None where nothing fits."""
        from scipy.optimize import linprog  # only who regrades waits for it

        for _ in range(_MOST_ROUNDS):
            found = linprog(
                self._mean,
                np.vstack([rows, self._ridges, self._caps, self._held, -self._terms[self._known]]),
                np.concatenate(
                    [
                        limits,
                        np.zeros(len(self._ridges)),
                        np.full(len(self._caps), self._high),
                        self._held_at,
                        -self._need[self._known],
                    ]
                ),
                bounds=(None, None),
                method="highs",
                options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
            )
            if found.x is None:
                return None
            unknowns = np.asarray(found.x)
            if not (self._is_short_of_caps(unknowns) or self._is_short_of_places(unknowns)):
                return float(found.fun), unknowns
        return None

    def _is_short_of_caps(self, unknowns: Array) -> bool:
        slopes = np.hypot(unknowns[2:], unknowns[1])
        steep = np.flatnonzero(slopes > self._high + _MISS)
        for strip in steep:
            slope = float(slopes[strip])
            row = self._cap(int(strip), float(unknowns[2 + strip]) / slope, float(unknowns[1]) / slope)
            self._caps = np.vstack([self._caps, row])
        return len(steep) > 0

    def _is_short_of_places(self, unknowns: Array) -> bool:
        here = self._highest(unknowns)
        missed = here[(self._need - self._terms @ unknowns)[here] > _MISS]
        self._known = np.union1d(self._known, missed)
        return len(missed) > 0
