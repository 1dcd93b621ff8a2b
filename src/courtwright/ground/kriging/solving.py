"""Solves for what tens of thousands of shots weigh: conjugate gradients on a lattice, from a sparse first guess."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from courtwright.ground.covariance import Covariance
from courtwright.ground.kriging.nearest import whitening
from courtwright.ground.kriging.torus import Torus

Array = NDArray[np.float64]

_MOST_ROUNDS = 500


@dataclass(frozen=True, slots=True)
class Shots:
    """Shots joined by a surface on a lattice.

    Parameters
    ----------
    torus : Torus
        The surface.
    splines, back : csr_matrix
        Makes heights at the shots of its coefficients, shape (n, nodes), and the transpose. [-]
    whitener : csr_matrix, shape (n, n)
        A guess at the inverse of the shots' covariance, in two halves. [1/m]
    nugget : float
        Variance of one shot. [m²]
    """

    torus: Torus
    splines: csr_matrix
    back: csr_matrix
    whitener: csr_matrix
    unwhitener: csr_matrix
    nugget: float

    @classmethod
    def at(cls, places: Array, covariance: Covariance) -> Shots:
        """Return shots at places of shape (n, 2) [m]."""
        torus = Torus.around(places, covariance)
        splines, whitener = torus.weights(places), whitening(covariance, places)
        return cls(torus, splines, csr_matrix(splines.T), whitener, csr_matrix(whitener.T), covariance.nugget)

    def spread(self, weights: Array) -> Array:
        """Return the coefficients of the surface that weights of the shots, shape (n,), make. [m]"""
        return self.torus.spread(self.back @ weights)

    def solved_for(self, values: Array, share: float) -> Array:
        """Return the weights that give values at the shots, shape (n, k).

        Parameters
        ----------
        values : ndarray, shape (n, k)
            Columns, each solved for. [m]
        share : float
            The residual is brought down to this share of the first, in the measure of the first guess. [-]

        References
        ----------
        Golub and Van Loan, "Matrix Computations", 4th ed., 2013, algorithm 11.5.1.
        """
        return np.column_stack([self._solved_for(column, share) for column in values.T])

    def _solved_for(self, values: Array, share: float) -> Array:
        found, rest = np.zeros_like(values), values.copy()
        guess = self.unwhitener @ (self.whitener @ rest)
        way, size = guess.copy(), float(rest @ guess)
        least = share * math.sqrt(size)
        for _ in range(_MOST_ROUNDS):
            if math.sqrt(size) <= least:
                break
            ahead = self.splines @ self.spread(way) + self.nugget * way
            step = size / float(way @ ahead)
            found += step * way
            rest -= step * ahead
            guess = self.unwhitener @ (self.whitener @ rest)
            size, before = float(rest @ guess), size
            way = guess + size / before * way
        return found
