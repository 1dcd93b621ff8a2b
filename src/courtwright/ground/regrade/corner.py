"""The least of the highest of many planes over a square of gradients, by going from corner to corner."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_MOST_STEPS = 200
#: What of a weight is nought. [-]
_NOUGHT = 1e-12


@dataclass(frozen=True, slots=True)
class Corner:
    """A place where three half spaces of (value, gradient) touch: none of what they allow has a smaller value.

    Parameters
    ----------
    normals : ndarray, shape (3, 3)
        What lies inside has ``normals @ place >= bounds``. [-] and [m]
    bounds : ndarray, shape (3,)
        See above. [m] and [m/m]
    """

    normals: Array
    bounds: Array

    @property
    def place(self) -> Array:
        """Value [m] and gradient [m/m], shape (3,)."""
        return np.asarray(np.linalg.solve(self.normals, self.bounds), dtype=np.float64)


def first_corner(level: float, lean: Array, half: float) -> Corner:
    """Return the lowest place over one plane ``level + lean · gradient``, in the square of gradients up to ``half``."""
    sign = np.where(lean < 0, -1.0, 1.0)
    normals = np.array([[1.0, -lean[0], -lean[1]], [0.0, sign[0], 0.0], [0.0, 0.0, sign[1]]])
    return Corner(normals, np.array([level, -half, -half]))


def lowest_corner(normals: Array, bounds: Array, start: Corner, miss: float) -> Corner | None:
    """Return the corner with the least value that lies in all half spaces; None where steps lead to none.

    Parameters
    ----------
    normals : ndarray, shape (n, 3)
        What lies inside has ``normals @ place >= bounds``. [-] and [m]
    bounds : ndarray, shape (n,)
        See above. [m] and [m/m]
    start : Corner
        Of the first, or of fewer half spaces.
    miss : float
        By how much a half space may be missed. [m]

    Notes
    -----
    The dual simplex method: as long as a half space is missed, the one that is missed most takes the place of that one
    of the three without which the value stays least. Values only rise. None is returned where nothing lies in all of
    them, and where rounding or equal values lead nowhere; who asks then asks a solver.

    References
    ----------
    Lemke, "The dual method of solving the linear programming problem", Naval Research Logistics Quarterly 1, 1954.
    """
    inside, at = start.normals.copy(), start.bounds.copy()
    for _ in range(_MOST_STEPS):
        try:
            turned = np.linalg.inv(inside)
        except np.linalg.LinAlgError:
            return None
        missed = bounds - normals @ (turned @ at)
        worst = int(missed.argmax())
        # By these weights the three make up the value, by these shares the half space that is missed.
        weights, share = turned[0], normals[worst] @ turned
        if missed[worst] <= miss:
            return Corner(inside, at) if weights.min() >= -_NOUGHT * _MOST_STEPS else None
        gives = share > _NOUGHT
        if not gives.any():
            return None
        leaves = int(np.where(gives, np.maximum(weights, 0.0) / np.where(gives, share, 1.0), np.inf).argmin())
        inside[leaves], at[leaves] = normals[worst], bounds[worst]
    return None
