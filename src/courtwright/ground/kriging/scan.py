"""The surface near all shots of a scan: the same kriging, solved with Fourier transforms instead of a factorization."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve, solve_triangular
from scipy.spatial import KDTree

from courtwright.ground.covariance import Covariance
from courtwright.ground.kriging.carried import spline_matrix
from courtwright.ground.kriging.exact import ExactSurface
from courtwright.ground.kriging.nearest import thinned_places, variance_by_nearest
from courtwright.ground.kriging.solving import Shots
from courtwright.ground.kriging.surface import Surface, drift, scale_of
from courtwright.ground.lattice import lattice_points

Array = NDArray[np.float64]

#: A doubt is taken from so many nearest shots, and at so many nodes.
_NEAREST, _DOUBT_NODES = 48, 12_000
#: Joint doubts are those that so many of the shots leave.
_JOINT_SHOTS = 2_000
#: How far the residual is brought down: of the surface, and of what is drawn from its doubt. [-]
_EXACT, _DRAWN = 1e-4, 1e-2


@dataclass(frozen=True, slots=True)
class ScanSurface(Surface):
    """Kriging of tens of thousands of shots, none of them left out.

    Heights are those of the exact surface within 0.1 mm. The standard uncertainty is bounded from above: that which
    the 48 nearest shots leave, to which the plane's doubt is added; 0 to 0.05 mm over that of all shots. Joint
    covariances are those that 2,000 shots spread over the scan leave, a bound from above too. What is drawn uses all.

    Notes
    -----
    Conjugate gradients on shots joined by a lattice (see ``Torus``), with a sparse guess at the inverse.

    References
    ----------
    Journel and Huijbregts, "Mining Geostatistics", 1978, section VII.A, conditioning by kriging.
    """

    scale: float
    plane: Array
    solved: Shots
    drift_weights: Array
    plane_factor: Array
    coefficients: Array
    tree: KDTree
    thinned: Callable[[], ExactSurface]

    @classmethod
    def of(cls, xyz: Array, covariance: Covariance) -> ScanSurface:
        """Return the surface near shots, shape (n, 3) [m], with a given covariance."""
        centre = xyz[:, :2].mean(axis=0)
        places = xyz[:, :2] - centre
        scale = scale_of(places)
        base = float(xyz[:, 2].mean())
        shots = Shots.at(places, covariance)
        terms = drift(places, scale)
        # A plane is taken off first, so that less is left to solve for; kriging gives it back whatever it is.
        first = np.linalg.lstsq(terms, xyz[:, 2] - base)[0]
        left = xyz[:, 2] - base - terms @ first
        drift_weights = shots.solved_for(terms, _EXACT)
        plane_factor: Array = cho_factor(terms.T @ drift_weights, lower=True)[0]
        plane: Array = cho_solve((plane_factor, True), drift_weights.T @ left)
        weights = shots.solved_for(left[:, None], _EXACT)[:, 0] - drift_weights @ plane
        fields = np.column_stack([weights, drift_weights])
        coefficients = np.stack([shots.spread(column) for column in fields.T])
        plane = plane + first
        plane[0] += base

        @functools.cache
        def thinned() -> ExactSurface:
            return ExactSurface.of(xyz[thinned_places(places, _JOINT_SHOTS)], covariance)

        tree = KDTree(places)
        solved = (plane, shots, drift_weights, plane_factor, coefficients)
        return cls(covariance, places, centre, weights, scale, *solved, tree, thinned)

    def height(self, at: Array) -> Array:
        """Return the height [m] at places of shape (m, 2) [m]."""
        near = at - self.centre
        return drift(near, self.scale) @ self.plane + self.solved.torus.weights(near) @ self.coefficients[0]

    def variance(self, at: Array) -> Array:
        """Return a bound from above of the variance of the height [m²] at places of shape (m, 2) [m]."""
        near = at - self.centre
        off = drift(near, self.scale) - self.solved.torus.weights(near) @ self.coefficients[1:].T
        drifted = solve_triangular(self.plane_factor, off.T, lower=True)
        left = variance_by_nearest(self.covariance, self.tree, near, _NEAREST)
        return left + np.einsum("ij,ij->j", drifted, drifted)

    def joint(self, at: Array) -> Array:
        """Return a bound from above of the heights' joint covariance (m, m) [m²] at places of shape (m, 2) [m]."""
        return self.thinned().joint(at)

    def without_each(self) -> tuple[Array, Array]:
        """Return by how much each shot stands over what all others say there, and the standard deviation of that. [m]

        The deviation is bounded from above by what the nearest shots leave, the shot itself not among them.
        """
        nearest = variance_by_nearest(self.covariance, self.tree, self.places, _NEAREST, without_itself=True)
        variance = nearest + self.covariance.nugget
        return self.weights * variance, np.sqrt(variance)

    def height_on(self, x: Array, y: Array) -> Array:
        """Return the height at the nodes of a lattice with columns x and rows y [m], shape (rows, cols). [m]"""
        across, up = (x - self.centre[0]) / self.scale, (y - self.centre[1]) / self.scale
        plane = self.plane[0] + self.plane[1] * across[None, :] + self.plane[2] * up[:, None]
        return plane + self._on(self.coefficients[0], x, y)

    def _on(self, coefficients: Array, x: Array, y: Array) -> Array:
        return self.solved.torus.on(coefficients, x - self.centre[0], y - self.centre[1])

    def both_on(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Return the height and its standard uncertainty at the nodes of a lattice, shape (rows, cols). [m]

        The uncertainty is taken at up to 12,000 nodes and carried to the others by splines.
        """
        step = max(math.sqrt((x[-1] - x[0]) * (y[-1] - y[0]) / _DOUBT_NODES), 1e-9)
        coarse_x, coarse_y = (np.linspace(axis[0], axis[-1], _count(axis, step)) for axis in (x, y))
        sd = np.sqrt(self.variance(lattice_points(coarse_x, coarse_y))).reshape(len(coarse_y), len(coarse_x))
        fine = spline_matrix(coarse_y, y) @ sd @ spline_matrix(coarse_x, x).T
        return self.height_on(x, y), np.clip(fine, sd.min(), sd.max())

    def drawn_on(self, x: Array, y: Array, frame: Array, generator: np.random.Generator, count: int) -> Array:
        """Return surfaces drawn from what the shots leave open, shape (count, rows, cols). [m]

        A survey moved, turned by 90° or mirrored draws the same ones.

        Notes
        -----
        A surface is drawn without regard to the shots and is shot where they are, with their noise; by how much
        kriging of these misses it, the true surface may lie off the kriged one.
        """
        height = self.height_on(x, y)
        drawn = np.empty((count, *height.shape))
        noise = math.sqrt(self.covariance.nugget)
        across, up = (x - self.centre[0]) / self.scale, (y - self.centre[1]) / self.scale
        for i in range(count):
            surface = self.solved.torus.drawn(frame, generator)
            shots = self.solved.splines @ surface + noise * generator.standard_normal(len(self.places))
            plane: Array = cho_solve((self.plane_factor, True), self.drift_weights.T @ shots)
            weights = self.solved.solved_for(shots[:, None], _DRAWN)[:, 0] - self.drift_weights @ plane
            missed = self._on(surface - self.solved.spread(weights), x, y)
            drawn[i] = height + missed - plane[0] - plane[1] * across[None, :] - plane[2] * up[:, None]
        return drawn


def _count(axis: Array, step: float) -> int:
    return min(len(axis), max(4, math.ceil((axis[-1] - axis[0]) / step) + 1))
