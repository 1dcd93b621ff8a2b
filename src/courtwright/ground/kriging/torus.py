"""A Gaussian surface on a fine lattice that closes on itself, where a covariance is a product of Fourier terms."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.sparse import csr_matrix

from courtwright.ground.covariance import Covariance, correlation

Array = NDArray[np.float64]

#: What the lattice cannot show of the surface stays within this share of a shot's own doubt. [-]
_UNSEEN = 0.05
#: Variance of what a cubic spline misses of a Matérn 3/2 surface, in sill · (step / reach)³; measured.
_MISSED = 0.03
#: The lattice goes on so many times the reach before it meets its other side, where 1e-3 of the correlation is left.
_APART = 5.5
_STEPS_A_REACH = 12
MOST_NODES = 4_000_000


@dataclass(frozen=True, slots=True)
class Torus:
    """A Gaussian surface as cubic B-splines on a lattice whose ends meet.

    Parameters
    ----------
    low : ndarray, shape (2,)
        Least x and y of what is described. [m]
    step : float
        Between nodes. [m]
    shape : tuple of int
        Rows and columns. [-]
    spectrum : ndarray, shape (rows, cols // 2 + 1)
        Eigenvalues of the coefficients' covariance, by wave. [m²]

    Notes
    -----
    The covariance of the surface that cubic splines carry between nodes; at the nodes it is the Matérn covariance
    itself. Between nodes it lacks what a spline cannot follow, at most 5 % of a shot's standard deviation as long
    as 4 million nodes do.
    Memory: 8 bytes a node for the spectrum, 24 while it multiplies.

    References
    ----------
    Wilson and Nickisch, "Kernel interpolation for scalable structured Gaussian processes", ICML 2015.
    Dietrich and Newsam, "Fast and exact simulation of stationary Gaussian processes through circulant embedding of
    the covariance matrix", SIAM Journal on Scientific Computing 18 (1997).
    Unser, "Splines: a perfect fit for signal and image processing", IEEE Signal Processing Magazine 16 (1999).
    """

    low: Array
    step: float
    shape: tuple[int, int]
    spectrum: Array

    @classmethod
    def around(cls, places: Array, covariance: Covariance) -> Torus:
        """Return a lattice about places, shape (n, 2) [m], fine enough for their doubt."""
        low, high = places.min(axis=0), places.max(axis=0)
        around = high - low + _APART * covariance.reach
        step = _step(covariance)
        step = max(step, math.sqrt(float(np.prod(around)) / MOST_NODES))
        cols, rows = (_quick(float(side) / step) for side in around)
        # Nodes lie symmetrically about the middle, so that a survey turned or mirrored has the same.
        least = (low + high) / 2 - step * (np.array([cols, rows]) - 1) / 2
        return cls(least, step, (rows, cols), _spectrum(rows, cols, step, covariance))

    def weights(self, at: Array) -> csr_matrix:
        """Return the matrix that makes heights at places of shape (m, 2) [m] of the coefficients, (m, nodes)."""
        col, across = _splines((at[:, 0] - self.low[0]) / self.step)
        row, up = _splines((at[:, 1] - self.low[1]) / self.step)
        nodes = (row % self.shape[0])[:, :, None] * self.shape[1] + (col % self.shape[1])[:, None, :]
        values = up[:, :, None] * across[:, None, :]
        start = np.arange(0, 16 * len(at) + 1, 16)
        return csr_matrix((values.ravel(), nodes.ravel(), start), shape=(len(at), self.shape[0] * self.shape[1]))

    def spread(self, nodes: Array) -> Array:
        """Return the coefficients' covariance times values at the nodes, shape (nodes,). [m²]"""
        return self._filtered(nodes.reshape(self.shape), self.spectrum)

    def on(self, coefficients: Array, x: Array, y: Array) -> Array:
        """Return the surface of some coefficients [m] at the nodes of a lattice with columns x and rows y [m]. [m]"""
        up = _spline_rows((y - self.low[1]) / self.step, self.shape[0])
        across = _spline_rows((x - self.low[0]) / self.step, self.shape[1])
        return np.asarray((across @ (up @ coefficients.reshape(self.shape)).T).T)

    def drawn(self, frame: Array, generator: np.random.Generator) -> Array:
        """Return the coefficients of a surface drawn from the covariance, shape (nodes,). [m]

        Parameters
        ----------
        frame : ndarray, shape (2, 2)
            Two axes fixed to the survey: random numbers are dealt along those axes of the lattice that lie nearest. [-]
        generator : Generator
            Random numbers.
        """
        return self._filtered(_dealt(self.shape, frame, generator), np.sqrt(self.spectrum))

    def _filtered(self, nodes: Array, by: Array) -> Array:
        waves = np.asarray(fft.rfft2(nodes))
        waves *= by
        return np.asarray(fft.irfft2(waves, self.shape, overwrite_x=True), dtype=np.float64).ravel()


def _dealt(shape: tuple[int, int], frame: Array, generator: np.random.Generator) -> Array:
    ahead, aside = frame.T
    if abs(ahead[0]) < abs(ahead[1]):
        noise = generator.standard_normal(shape)
        return np.ascontiguousarray(noise[:: _way(ahead[1]), :: _way(aside[0])])
    noise = generator.standard_normal(shape[::-1]).T
    return np.ascontiguousarray(noise[:: _way(aside[1]), :: _way(ahead[0])])


def _way(part: float) -> int:
    return -1 if part < 0 else 1


def _quick(least: float) -> int:
    """Return a count that Fourier transforms are quick with, at least so many. [-]"""
    length = fft.next_fast_len(math.ceil(least), real=True)
    assert length is not None
    return int(length)


def _step(covariance: Covariance) -> float:
    share = _UNSEEN**2 * covariance.nugget / (_MISSED * covariance.sill)
    return covariance.reach * min(1 / _STEPS_A_REACH, share ** (1 / 3))


def _spectrum(rows: int, cols: int, step: float, covariance: Covariance) -> Array:
    """Return the transform of the covariance, of both ways round, over that of the splines at their nodes."""
    up, across = (np.arange(count // 2 + 1) * step for count in (rows, cols))
    kernel = np.zeros((len(up), len(across)))
    for y in (up, rows * step - up):
        for x in (across, cols * step - across):
            kernel += correlation(np.hypot(y[:, None], x[None, :]), covariance.reach)
    whole = kernel[_mirrored(rows)][:, _mirrored(cols)] * covariance.sill
    waves = np.maximum(np.real(np.asarray(fft.rfft2(whole))), 0.0)
    at_nodes = [(4 + 2 * np.cos(2 * np.pi * np.arange(count) / count)) / 6 for count in (rows, cols)]
    return waves / (at_nodes[0][:, None] * at_nodes[1][None, : cols // 2 + 1]) ** 2


def _mirrored(count: int) -> NDArray[np.intp]:
    ordinal = np.arange(count)
    return np.minimum(ordinal, count - ordinal)


def _splines(at: Array) -> tuple[NDArray[np.int64], Array]:
    """Return the four nodes about each place, shape (m, 4), and the cubic B-splines of these there. [-]"""
    before = np.floor(at)
    t = at - before
    nodes = before.astype(np.int64)[:, None] + np.arange(-1, 3)
    rest = 1 - t
    return nodes, np.column_stack(
        [rest**3, 3 * t**3 - 6 * t**2 + 4, 3 * rest**3 - 6 * rest**2 + 4, t**3],
    ) / 6  # fmt: skip


def _spline_rows(at: Array, count: int) -> csr_matrix:
    nodes, values = _splines(at)
    start = np.arange(0, 4 * len(at) + 1, 4)
    return csr_matrix((values.ravel(), (nodes % count).ravel(), start), shape=(len(at), count))
