"""What every kriged surface answers, and how much play its shots need."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, identity
from scipy.spatial import KDTree

from courtwright.ground.covariance import Covariance, estimated, nearest_spacing

Array = NDArray[np.float64]

#: Beyond this many shots the exact solve takes seconds and gigabytes; ``ScanSurface`` takes its place.
SHOT_LIMIT = 3_000
#: Neighbours lie within this many times the usual spacing: on a square lattice the eight around.
_BESIDE = 1.5
#: How often the surface may be given twice the play, and how much of the miss each must leave at most.
_MOST_DOUBLINGS, _HELPS = 6, 0.8
#: Of a scan, so many patches of so many shots about the worst misses tell how rough its ground can be. [-]
_PATCHES, _PATCH = 5, 50


@dataclass(frozen=True, slots=True)
class Surface(ABC):
    """The surface that the shots make most likely, and how far it may be off.

    Universal kriging with a plane as drift: exact up to 3,000 shots, beyond by ``ScanSurface``, which says how near.

    Parameters
    ----------
    covariance : Covariance
        Of the surface and of a shot.
    places : ndarray, shape (n, 2)
        Where the shots are, from ``centre``. [m]
    centre : ndarray, shape (2,)
        The middle of the shots. [m]
    weights : ndarray, shape (n,)
        What each shot adds to the surface, in units of the covariance. [1/m]

    References
    ----------
    Cressie, "Statistics for Spatial Data", revised ed., 1993, section 3.4.
    Rasmussen and Williams, "Gaussian Processes for Machine Learning", 2006, eq. 2.41 and 2.42.
    """

    covariance: Covariance
    places: Array
    centre: Array
    weights: Array

    @staticmethod
    def near(xyz: Array) -> Surface:
        """Return the surface near shots, shape (n, 3) [m], with the covariance that they make most likely.

        Notes
        -----
        One dip in a true plane is rare and so counts little in the likelihood, which would smooth it away. But
        shots err by no more than chance allows, and neighbours do not err together: while the surface misses a
        shot, or the mean of it and its neighbours, by more, it is given twice the play, as long as that helps.
        A scan first takes the covariance that its roughest places make likely: those about its worst misses.
        """
        return Surface.through(xyz, estimated_for(xyz)).loosened(xyz)

    @staticmethod
    def through(xyz: Array, covariance: Covariance) -> Surface:
        """Return the surface near shots, shape (n, 3) [m], with a given covariance."""
        from courtwright.ground.kriging.exact import ExactSurface
        from courtwright.ground.kriging.scan import ScanSurface

        kind = ExactSurface if len(xyz) <= SHOT_LIMIT else ScanSurface
        return kind.of(xyz, covariance)

    def loosened(self, xyz: Array) -> Surface:
        """Return the surface near the same shots, shape (n, 3) [m], with as much play as they need; see ``near``."""
        surface = self
        beside = _neighbours(surface.places)
        if len(xyz) > SHOT_LIMIT and surface.largest_miss(beside) > _by_chance(len(xyz)):
            surface = Surface.through(xyz, _of_the_roughest(surface, beside, xyz))
        for _ in range(_MOST_DOUBLINGS):
            miss = surface.largest_miss(beside)
            if miss <= _by_chance(len(xyz)):
                break
            looser = Surface.through(xyz, replace(surface.covariance, sill=4 * surface.covariance.sill))
            if looser.largest_miss(beside) > _HELPS * miss:
                break
            surface = looser
        return surface

    def largest_miss(self, beside: csr_matrix) -> float:
        """Return by how much the surface misses a shot or a shot's surroundings, in what chance makes of it. [-]

        Parameters
        ----------
        beside : csr_matrix, shape (n, n)
            Ones where two shots are neighbours, each of itself too. [-]
        """
        return float(self.misses(beside).max())

    def misses(self, beside: csr_matrix) -> Array:
        """Return by how much the surface misses each shot or its surroundings, as ``largest_miss``, shape (n,). [-]"""
        off = math.sqrt(self.covariance.nugget) * self.weights
        together = np.abs(beside @ off) / np.sqrt(np.asarray(beside.sum(axis=1)).ravel())
        return np.maximum(np.abs(off), together)

    @abstractmethod
    def height(self, at: Array) -> Array:
        """Return the height [m] at places of shape (m, 2) [m]."""

    @abstractmethod
    def variance(self, at: Array) -> Array:
        """Return the variance of the height [m²] at places of shape (m, 2) [m], the plane's doubt included."""

    @abstractmethod
    def joint(self, at: Array) -> Array:
        """Return the joint covariance (m, m) of the heights [m²] at places of shape (m, 2) [m]."""

    @abstractmethod
    def without_each(self) -> tuple[Array, Array]:
        """Return by how much each shot stands over what all others say there, and that one's deviation. [m]"""

    @abstractmethod
    def height_on(self, x: Array, y: Array) -> Array:
        """Return the height at the nodes of a lattice with columns x and rows y [m], shape (rows, cols). [m]"""

    @abstractmethod
    def both_on(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Return the height and its standard uncertainty at the nodes of a lattice, shape (rows, cols). [m]"""

    def sd_on(self, x: Array, y: Array) -> Array:
        """Return the standard uncertainty at the nodes of a lattice, shape (rows, cols). [m]"""
        return self.both_on(x, y)[1]

    @abstractmethod
    def drawn_on(self, x: Array, y: Array, frame: Array, generator: np.random.Generator, count: int) -> Array:
        """Return surfaces drawn from what the shots leave open, shape (count, rows, cols). [m]

        Parameters
        ----------
        x, y : ndarray
            The lattice's columns and rows. [m]
        frame : ndarray, shape (2, 2)
            Two axes fixed to the survey, by which the draws are ordered. [-]
        generator : Generator
            Random numbers.
        count : int
            So many. [-]
        """


def drift(places: Array, scale: float) -> Array:
    """Return the terms of a plane at places of shape (n, 2), shape (n, 3). [-]"""
    return np.column_stack([np.ones(len(places)), places / scale])


def scale_of(places: Array) -> float:
    """Return how far places of shape (n, 2) lie about their middle. [m]"""
    return math.sqrt(float(np.mean(np.sum(places**2, axis=1))))


def estimated_for(xyz: Array) -> Covariance:
    """Return the covariance that shots, shape (n, 3) [m], make most likely."""
    places = xyz[:, :2] - xyz[:, :2].mean(axis=0)
    return estimated(places, xyz[:, 2] - xyz[:, 2].mean(), drift(places, scale_of(places)))


def _of_the_roughest(surface: Surface, beside: csr_matrix, xyz: Array) -> Covariance:
    """Return the covariance that the shots about the worst misses of a scan's surface make most likely."""
    miss, tree = surface.misses(beside), KDTree(surface.places)
    chosen: list[NDArray[np.intp]] = []
    for _ in range(_PATCHES):
        patch = np.asarray(tree.query(surface.places[miss.argmax()], k=_PATCH)[1], dtype=np.intp)
        chosen.append(patch)
        miss[patch] = 0.0
    shots = np.unique(np.concatenate(chosen))
    places = surface.places[shots]
    terms = drift(places - places.mean(axis=0), scale_of(surface.places))
    return estimated(places, xyz[shots, 2] - xyz[:, 2].mean(), terms, most=_PATCHES * _PATCH)


def _by_chance(count: int) -> float:
    """Return the largest of so many misses that chance makes, in standard uncertainties. [-]

    The largest of n normal errors comes to about √(2 ln n); the surface takes up a fifth of it.
    """
    return 0.8 * math.sqrt(2 * math.log(max(count, 2)))


def _neighbours(places: Array) -> csr_matrix:
    """Return which shots are neighbours: those within half as far again as the usual nearest."""
    pairs = KDTree(places).query_pairs(_BESIDE * nearest_spacing(places), output_type="ndarray")
    ones = np.ones(len(pairs))
    one_way = csr_matrix((ones, (pairs[:, 0], pairs[:, 1])), shape=(len(places), len(places)))
    return csr_matrix(one_way + one_way.T + identity(len(places)))
