"""Distributions that the trade's figures are drawn from: low / likely / high, and a value with its doubt."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Draws = NDArray[np.float64]

#: A doubt larger than this is not told apart from it: beyond, a mean says little of what is likely. [-]
_WIDEST = 1.5


def triangular(chance: Draws, low: float, likely: float, high: float) -> Draws:
    """Return the values below which a triangular variable falls with the given chances.

    Parameters
    ----------
    chance : ndarray
        Chances, 0 to 1. [-]
    low, likely, high : float
        The corners. [any]

    Returns
    -------
    ndarray
        Values. [same as the corners]

    Examples
    --------
    >>> round(float(triangular(np.array(0.8), 8000, 10000, 15000)), 2)
    12354.25
    """
    width = high - low
    if width <= 0:
        return np.full_like(chance, likely)
    at_mode = (likely - low) / width
    below = low + np.sqrt(chance * width * (likely - low))
    above = high - np.sqrt((1 - chance) * width * (high - likely))
    return np.where(chance < at_mode, below, above)


def triangular_mean(low: float, likely: float, high: float) -> float:
    """Return the mean of a triangular variable. [same as the corners]"""
    return (low + likely + high) / 3


def lognormal_factor(z: Draws, relative: float) -> Draws:
    """Return positive factors of mean 1 and the given relative standard deviation.

    Parameters
    ----------
    z : ndarray
        Standard normal draws. [-]
    relative : float
        Relative standard deviation; anything over 1.5 counts as 1.5. [-]

    Returns
    -------
    ndarray
        Factors. [-]

    Examples
    --------
    The factor of a draw in the middle is the median, below the mean:

    >>> round(float(lognormal_factor(np.array(0.0), 0.5)), 4)
    0.8944
    """
    if relative <= 0:
        return np.ones_like(z)
    sigma = math.sqrt(math.log1p(min(relative, _WIDEST) ** 2))
    return np.exp(sigma * z - sigma**2 / 2)


def two_sided_lognormal(z: Draws, p10: float, p50: float, p90: float) -> Draws:
    """Return positive draws whose P10, P50 and P90 are those given.

    Parameters
    ----------
    z : ndarray
        Standard normal draws. [-]
    p10, p50, p90 : float
        The percentiles, above 0. [any]

    Returns
    -------
    ndarray
        Values. [same as the percentiles]

    Examples
    --------
    >>> [round(float(two_sided_lognormal(np.array(z), 9, 15, 20)), 2) for z in (-1.28155, 0.0, 1.28155)]
    [9.0, 15.0, 20.0]
    """
    down, up = math.log(p50 / p10) / 1.2815515655, math.log(p90 / p50) / 1.2815515655
    return p50 * np.exp(z * np.where(z < 0, down, up))
