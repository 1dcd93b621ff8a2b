"""How heights vary together: a Matérn covariance, and its parameters from the shots themselves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh, qr
from scipy.optimize import minimize
from scipy.spatial import KDTree
from scipy.spatial.distance import cdist

from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Shots that the parameters are estimated from; the rest tell nothing more of them and cost n³.
ESTIMATION_SHOTS = 150
_RANGES = 13
#: How far, as a factor e^±, each parameter may lie from what is usual before the shots must insist.
_PRIOR_NUGGET, _PRIOR_REACH, _PRIOR_SILL = 0.5, 1.0, 1.0
#: A shot is at most this many times as doubtful as usual: what many shots show together is the surface. [-]
_MOST_NUGGET = 4.0
#: Logarithms of the parameters are rounded to this, so that rounding errors of another frame change nothing.
_STEP = 0.002


@dataclass(frozen=True, slots=True)
class Covariance:
    """Matérn covariance of smoothness 3/2 with a nugget.

    Parameters
    ----------
    sill : float
        Variance of the surface about its plane. [m²]
    reach : float
        Length over which it is alike. [m]
    nugget : float
        Variance of one shot about the surface. [m²]

    References
    ----------
    Rasmussen and Williams, "Gaussian Processes for Machine Learning", 2006, eq. 4.17.
    """

    sill: float
    reach: float
    nugget: float

    def between(self, a: Array, b: Array) -> Array:
        """Return the covariance of the surface at ``a`` (n, 2) and ``b`` (m, 2), without nugget. [m²]"""
        return self.sill * correlation(np.asarray(cdist(a, b), dtype=np.float64), self.reach)


def correlation(distance: Array, reach: float) -> Array:
    """Return the Matérn 3/2 correlation at a distance. [-]

    Parameters
    ----------
    distance : ndarray
        Distances, changed in place. [m]
    reach : float
        Length over which the surface is alike. [m]

    Examples
    --------
    >>> correlation(np.array([0.0, 1.0]), 1.0).round(4)
    array([1.    , 0.4834])
    """
    distance *= math.sqrt(3) / reach
    falling = np.exp(-distance)
    distance += 1
    distance *= falling
    return distance


def estimated(places: Array, height: Array, drift: Array, most: int = ESTIMATION_SHOTS) -> Covariance:
    """Return the covariance that the shots make most likely.

    Parameters
    ----------
    places : ndarray, shape (n, 2)
        Where the shots are. [m]
    height : ndarray, shape (n,)
        Their heights. [m]
    drift : ndarray, shape (n, 3)
        The drift's terms at the shots. [-]
    most : int
        Of more shots than these, so many estimate. [-]

    Returns
    -------
    Covariance
        At the largest restricted likelihood times weak priors (below).

    Notes
    -----
    Restricted likelihood of the contrasts that no plane can change. The priors are wide lognormals about
    a level's shot (nugget) and an asphalt court's undulation (sill, reach), kept in ``tolerances.toml``: with
    many shots they are not felt; with few they keep the doubt honest. With more than 150 shots, 150 of them,
    spread through the list, estimate the parameters.

    References
    ----------
    Patterson and Thompson, "Recovery of inter-block information when block sizes are unequal",
    Biometrika 58 (1971).
    """
    shortest = min(nearest_spacing(places), tolerances().undulation_reach)
    if len(places) > most:
        chosen = _spread_through(len(places))
        places, height, drift = places[chosen], height[chosen], drift[chosen]
    likelihood = _RestrictedLikelihood(places, height, drift)
    extent = 2 * math.sqrt(float(np.mean(np.sum((places - places.mean(0)) ** 2, axis=1))))
    log_reach = np.linspace(math.log(shortest), math.log(2 * extent), _RANGES)
    losses = np.array([likelihood.least(float(value))[0] for value in log_reach])
    reach = _rounded(_vertex(log_reach, losses))
    _, log_sill, log_nugget = likelihood.least(reach)
    return Covariance(math.exp(2 * _rounded(log_sill)), math.exp(reach), math.exp(2 * _rounded(log_nugget)))


def nearest_spacing(places: Array) -> float:
    """Return the median distance from a shot to its nearest neighbour. [m]"""
    if len(places) < 2:
        return math.inf
    distance, _ = KDTree(places).query(places, k=2)
    return float(np.median(distance[:, 1]))


def _spread_through(count: int) -> NDArray[np.intp]:
    """Return about 150 ordinals below ``count`` that follow no row of shots: multiples of the golden ratio."""
    golden = (math.sqrt(5) - 1) / 2
    return np.unique((np.arange(1, ESTIMATION_SHOTS + 1) * golden % 1.0 * count).astype(np.intp))


def _rounded(logarithm: float) -> float:
    return round(logarithm / _STEP) * _STEP


def _vertex(at: Array, losses: Array) -> float:
    """Return where a parabola through the least of equally spaced losses and its neighbours is least."""
    i = int(np.argmin(losses))
    if i in (0, len(at) - 1):
        return float(at[i])
    left, middle, right = losses[i - 1 : i + 2]
    return float(at[i] + (at[1] - at[0]) * 0.5 * (left - right) / (left - 2 * middle + right))


class _RestrictedLikelihood:
    """Minus twice the log of the restricted likelihood times the priors, by range, in closed eigenform."""

    def __init__(self, places: Array, height: Array, drift: Array) -> None:
        full = np.asarray(qr(drift)[0], dtype=np.float64)
        self.contrasts: Array = full[:, drift.shape[1] :]
        self.distance: Array = np.asarray(cdist(places, places), dtype=np.float64)
        self.values: Array = self.contrasts.T @ (height - height.mean())
        self.usual_nugget = math.log(tolerances().shot_sd)
        self.usual_reach = math.log(tolerances().undulation_reach)
        self.usual_sill = math.log(tolerances().undulation_sd)

    def least(self, log_reach: float) -> tuple[float, float, float]:
        """Return the least loss [-] at a range, and the logarithms of the two standard deviations there."""
        if len(self.values) == 0:
            return (log_reach - self.usual_reach) ** 2, self.usual_sill, self.usual_nugget
        inner = self.contrasts.T @ correlation(self.distance.copy(), math.exp(log_reach)) @ self.contrasts
        spread, turn = eigh(inner)
        spread, squares = np.maximum(spread, 0.0), (turn.T @ self.values) ** 2

        def loss(at: Array) -> tuple[float, Array]:
            sill, nugget = np.exp(2 * at)
            variance = sill * spread + nugget
            pull = (1 - squares / variance) / variance
            off = np.array([(at[0] - self.usual_sill) / _PRIOR_SILL, (at[1] - self.usual_nugget) / _PRIOR_NUGGET])
            value = float(np.sum(np.log(variance) + squares / variance) + off @ off)
            slope = np.array([2 * sill * float(pull @ spread), 2 * nugget * float(pull.sum())])
            return value, slope + 2 * off / [_PRIOR_SILL, _PRIOR_NUGGET]

        rms = math.sqrt(float(np.mean(squares)))
        start = np.array([max(math.log(max(rms, 1e-12)), self.usual_sill - 3), self.usual_nugget])
        bounds = [
            (self.usual_sill - 6, self.usual_sill + 12),
            (self.usual_nugget - 2, self.usual_nugget + math.log(_MOST_NUGGET)),
        ]
        found = minimize(loss, start, jac=True, method="L-BFGS-B", bounds=bounds)
        prior = ((log_reach - self.usual_reach) / _PRIOR_REACH) ** 2
        return float(found.fun) + prior, float(found.x[0]), float(found.x[1])
