"""Where to shoot next: the places whose heights, once shot, would most reduce the doubt about low spots."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray
from scipy.spatial import KDTree
from scipy.special import ndtr, ndtri, xlogy
from shapely import Polygon

from courtwright.ground.filling import areas
from courtwright.ground.heights import Surface, lattice, lattice_points
from courtwright.ground.likelihood import DrawnWater
from courtwright.ground.reading import LowSpot, PlaceToShoot, Settled, ShootNext
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: A low spot is settled when it is at least this sure that it is there, or that it is not. [-]
_SURE = 0.95
#: Where so many of the drawn surfaces hold water that no low spot of the reading explains, one may be hidden. [-]
_OFTEN = 0.2
#: So many hidden ones are looked at, likeliest first. [-]
_MOST_HIDDEN = 8
#: Places that are weighed: about so many over the pad, and all where a low spot may spill or be deepest. [-]
_PLACES = 300
#: None of them nearer to the edge or to a shot than this: beside a shot another tells little. [m]
_INSET, _FROM_SHOT = 0.1, 0.3
#: A place is worth a shot from so much doubt that it takes, and settles what it takes so much from. [bits]
_LEAST_GAIN, _SETTLES = 0.03, 0.03
_NODES, _WEIGHTS = hermegauss(40)  # an even number: none at nought, where the sign of a margin turns


@dataclass(frozen=True, slots=True)
class Doubt:
    """One low spot that may be there or not, and the heights on which it turns.

    ``spot`` is None where the reading has none; ``region`` holds the nodes of the drawn surfaces that it lies on.
    ``at`` is its place [m], ``likelihood`` how likely it is [-]. ``pairs`` (k, 2) holds, for each surface in which it
    holds water, the nodes where it spills and where it is deepest: its depth is the height of the first less that of
    the second. Each of them is ``share`` of all surfaces [-]; ``spread`` is the depth's deviation over all [m].
    """

    spot: LowSpot | None
    region: Flags
    at: tuple[float, float]
    likelihood: float
    pairs: NDArray[np.int64]
    share: float
    spread: float


def shoot_next(surface: Surface, outline: Polygon, spots: Sequence[LowSpot], water: DrawnWater, most: int) -> ShootNext:
    r"""Return the places to shoot next, each chosen given those before it.

    Parameters
    ----------
    surface : Surface
        The kriged surface of the shots so far.
    outline : Polygon
        The pad. [m]
    spots : sequence of LowSpot
        Its low spots as read; what the walker drew was seen, and is not in doubt.
    water : DrawnWater
        The ponds of surfaces drawn from ``surface``.
    most : int
        So many places at most. [-]

    Notes
    -----
    The doubt is the entropy of "this low spot is deeper than the tolerance", summed over those that are in doubt: the
    low spots of the reading, and places where a fifth of the drawn surfaces hold water and the best one does not.

    A low spot's depth is the height where it spills less the height where it is deepest, in each surface elsewhere.
    So its covariance with the height at a place :math:`c` is, by Stein's lemma, the mean over the drawn surfaces of
    :math:`C(s_k, c) - C(d_k, c)`, with :math:`C` the exact joint covariance of the kriged surface, and nought for a
    surface that is dry there. Taken as normal, the depth is conditioned on each further shot exactly, as kriging anew
    with it would, and the entropy that is left is the mean over what the shot may read. The covariance of the surface
    itself is taken as known, as it is in kriging.

    Where hidden low spots are as likely as that and no place settles any, the places follow that take most of the
    variance of the heights over the pad.

    References
    ----------
    Krause, Singh and Guestrin, "Near-optimal sensor placements in Gaussian processes", Journal of Machine Learning
    Research 9 (2008), for choosing one place after the other by the information it gives.
    Stein, "Estimation of the mean of a multivariate normal distribution", Annals of Statistics 9 (1981), lemma 2.
    Cressie, "Statistics for Spatial Data", revised ed., 1993, section 5.6.1, for choosing by variance.
    """
    doubts, is_hidden = doubts_of(spots, water)
    places = _places(surface, outline, water, doubts)
    if (not doubts and not is_hidden) or not len(places):
        return ShootNext((), _summed(doubts), is_hidden)
    known = _Known.of(surface, places, water, doubts)
    found: list[PlaceToShoot] = []
    for _ in range(most):
        chosen = known.best(is_hidden)
        if chosen is None:
            break
        found.append(known.place_at(chosen))
        known = known.after(chosen)
    return ShootNext(tuple(found), _summed(doubts), is_hidden)


def _summed(doubts: Sequence[Doubt]) -> float:
    return float(sum(entropy(np.array(doubt.likelihood)) for doubt in doubts))


def entropy(likelihood: Array) -> Array:
    """Return the doubt about what is so likely, 0 to 1. [bits]

    Parameters
    ----------
    likelihood : ndarray
        Likelihoods. [-]

    Examples
    --------
    >>> entropy(np.array([0.0, 0.11, 0.5, 1.0])).round(2)
    array([0. , 0.5, 1. , 0. ])
    """
    return np.asarray(-(xlogy(likelihood, likelihood) + xlogy(1 - likelihood, 1 - likelihood)) / math.log(2)) + 0.0


def entropy_left(likelihood: float, told: Array) -> Array:
    """Return the doubt that is left on average, once a share of the variance of a normal margin is known. [bits]

    Parameters
    ----------
    likelihood : float
        That the margin is over nought, now. [-]
    told : ndarray
        Share of its variance that becomes known, 0 to 1. [-]

    Examples
    --------
    >>> entropy_left(0.5, np.array([0.0, 0.75, 1.0])).round(2)
    array([1.  , 0.51, 0.  ])
    """
    told = np.clip(told, 0.0, 1.0 - 1e-12)[..., None]
    margin = (ndtri(likelihood) + np.sqrt(told) * _NODES) / np.sqrt(1 - told)
    return np.asarray(entropy(ndtr(margin)) @ _WEIGHTS / _WEIGHTS.sum())


def doubts_of(spots: Sequence[LowSpot], water: DrawnWater) -> tuple[list[Doubt], bool]:
    """Return the low spots that are in doubt; and whether more may hide where no one place is often wet.

    Parameters
    ----------
    spots : sequence of LowSpot
        The low spots of the reading.
    water : DrawnWater
        The ponds of surfaces drawn from the same shots.
    """
    least = tolerances().water_test
    taken = [np.concatenate([[True], found.depth <= least]) for found in water.ponds]
    doubts: list[Doubt] = []
    for spot in spots:
        if spot.likelihood is not None:
            region = water.nodes_in(spot.outline)
            doubts += _in_doubt(water, region, water.deepest_meeting(region), spot)
            _take(taken, water, region)
    told = [
        seen & np.concatenate([[True], found.depth > least]) for seen, found in zip(taken, water.ponds, strict=True)
    ]
    for region in _often_wet(water, taken):
        met = water.deepest_meeting(region)
        is_new = np.array([i >= 0 and not told[k][i + 1] for k, i in enumerate(met)])
        doubts += _in_doubt(water, region, np.where(is_new, met, -1), None)
        _take(taken, water, region)
    elsewhere = np.mean([not np.all(seen) for seen in taken])
    return doubts, bool(elsewhere >= _OFTEN)


def _take(taken: list[Flags], water: DrawnWater, region: Flags) -> None:
    """Note the ponds that meet a region as spoken for."""
    for seen, found in zip(taken, water.ponds, strict=True):
        seen[found.number[region]] = True


def _in_doubt(water: DrawnWater, region: Flags, met: NDArray[np.intp], spot: LowSpot | None) -> Iterator[Doubt]:
    """Yield the doubt about a low spot, unless it is settled."""
    both = [(found, i) for found, i in zip(water.ponds, met, strict=True)]
    depth = np.array([found.depth[i] if i >= 0 else 0.0 for found, i in both])
    likelihood = float(np.mean(depth > tolerances().water_test))
    if not 1 - _SURE < likelihood < _SURE:
        return
    pairs = np.array([(found.spill[i], found.deepest[i]) for found, i in both if i >= 0], dtype=np.int64)
    at = spot.deepest if spot else _middle(water, region)
    yield Doubt(spot, region, at, likelihood, pairs, 1 / len(met), float(depth.std()))


def _often_wet(water: DrawnWater, taken: list[Flags]) -> list[Flags]:
    """Return areas where many surfaces hold deep water that no low spot explains, the most often wet first."""
    wet = np.mean([~seen[found.number] for seen, found in zip(taken, water.ponds, strict=True)], axis=0)
    label, count = areas(wet >= _OFTEN)
    regions = [label == i for i in range(1, count + 1)]
    return sorted(regions, key=lambda region: -float(wet[region].max()))[:_MOST_HIDDEN]


def _middle(water: DrawnWater, region: Flags) -> tuple[float, float]:
    rows, cols = np.nonzero(region)
    return float(water.x[cols].mean()), float(water.y[rows].mean())


def _places(surface: Surface, outline: Polygon, water: DrawnWater, doubts: Sequence[Doubt]) -> Array:
    """Return the places that are weighed, shape (n, 2): over the pad, and where low spots spill or are deepest. [m]"""
    left, low, right, high = outline.bounds
    spacing = math.sqrt(outline.area / _PLACES)
    spread = lattice_points(lattice(left, right, spacing), lattice(low, high, spacing))
    told = np.unique(np.concatenate([doubt.pairs.ravel() for doubt in doubts])) if doubts else np.array([], dtype=int)
    places = np.vstack([spread, lattice_points(water.x, water.y)[told]])
    inner = outline.buffer(-_INSET)
    shapely.prepare(inner)
    inside = shapely.intersects_xy(inner, places[:, 0], places[:, 1])
    away, _ = KDTree(surface.places + surface.centre).query(places)
    return places[inside & (away >= _FROM_SHOT)]


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known once some places are shot: covariances between places and with each margin, all exact."""

    doubts: Sequence[Doubt]
    nugget: float
    places: Array
    joint: Array
    margins: Array
    variances: Array
    told: Array

    @classmethod
    def of(cls, surface: Surface, places: Array, water: DrawnWater, doubts: Sequence[Doubt]) -> _Known:
        """Return what is known before any is shot."""
        nodes = np.unique(np.concatenate([d.pairs.ravel() for d in doubts])) if doubts else np.array([], dtype=int)
        joint = surface.joint(np.vstack([places, lattice_points(water.x, water.y)[nodes]]))
        n = len(places)
        margins, variances = np.zeros((len(doubts), n)), np.ones(len(doubts))
        for i, doubt in enumerate(doubts):
            spill, deep = (n + np.searchsorted(nodes, doubt.pairs[:, j]) for j in (0, 1))
            margins[i] = doubt.share * (joint[spill, :n] - joint[deep, :n]).sum(axis=0)
            turns = np.zeros(len(joint))
            np.add.at(turns, spill, doubt.share)
            np.add.at(turns, deep, -doubt.share)
            variances[i] = max(doubt.spread**2, float(turns @ joint @ turns), 1e-12)
        return cls(doubts, surface.covariance.nugget, places, joint[:n, :n], margins, variances, np.zeros(len(doubts)))

    def told_by(self) -> Array:
        """Return the share of each margin's variance that is known once a place is shot too, (doubts, places). [-]"""
        gained = self.margins**2 / (self.joint.diagonal() + self.nugget) / self.variances[:, None]
        return np.minimum(self.told[:, None] + gained, 1.0)

    def gains(self) -> Array:
        """Return the doubt that each place would take from each low spot, shape (doubts, places). [bits]"""
        told = self.told_by()
        rows = zip(self.doubts, self.told, told, strict=True)
        return np.array([entropy_left(d.likelihood, now) - entropy_left(d.likelihood, then) for d, now, then in rows])

    def best(self, is_hidden: bool) -> int | None:
        """Return the place to shoot next; None when none is worth it."""
        if self.doubts:
            gain = self.gains().sum(axis=0)
            if gain.max() >= _LEAST_GAIN:
                return int(gain.argmax())
        spread = self.joint.diagonal()
        if is_hidden and math.sqrt(float(spread.max())) > math.sqrt(self.nugget):
            return int((np.sum(self.joint**2, axis=0) / (spread + self.nugget)).argmax())
        return None

    def place_at(self, chosen: int) -> PlaceToShoot:
        """Return a place with what it would settle."""
        gains = self.gains()[:, chosen] if self.doubts else np.zeros(0)
        before = sum(float(entropy_left(d.likelihood, now)) for d, now in zip(self.doubts, self.told, strict=True))
        settles = tuple(
            Settled(doubt.spot.id if doubt.spot else None, doubt.at, doubt.likelihood)
            for i in np.argsort(-gains, kind="stable")
            if gains[i] >= _SETTLES
            for doubt in [self.doubts[i]]
        )
        x, y = (float(v) for v in self.places[chosen])
        sd = math.sqrt(max(float(self.joint[chosen, chosen]), 0.0))
        return PlaceToShoot((x, y), sd, settles, before, max(before - float(gains.sum()), 0.0))

    def after(self, chosen: int) -> _Known:
        """Return what is known once one place is shot too."""
        scale = self.joint[chosen, chosen] + self.nugget
        column = self.joint[:, chosen]
        return _Known(
            self.doubts,
            self.nugget,
            self.places,
            self.joint - np.outer(column, column) / scale,
            self.margins - np.outer(self.margins[:, chosen], column) / scale,
            self.variances,
            self.told_by()[:, chosen],
        )
