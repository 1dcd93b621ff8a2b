"""How much water runs off: the rational method, weighted coefficients, the NRCS run-off depth."""

from __future__ import annotations

from collections.abc import Iterable


def peak_flow(coefficient: float, intensity: float, area: float) -> float:
    """Return the peak of run-off by the rational method, ``Q = C i A``. [m³/s]

    Parameters
    ----------
    coefficient : float
        Share of the rain that runs off. [-]
    intensity : float
        Of the rain, over the time of concentration, from the authority whose rain it is. [m/s]
    area : float
        From which the water comes. [m²]

    Examples
    --------
    A court of 60 by 120 ft, 5 in an hour:

    >>> cubic_foot = 0.3048**3
    >>> round(peak_flow(0.9, 5 * 0.0254 / 3600, 7200 * 0.3048**2) / cubic_foot, 4)
    0.75
    """
    return coefficient * intensity * area


def weighted(parts: Iterable[tuple[float, float]]) -> float:
    """Return the run-off coefficient of several surfaces, each by its area. [-]

    Parameters
    ----------
    parts : iterable of tuple of float
        Area of each, in any one unit [m²], and its coefficient [-].

    Raises
    ------
    ValueError
        If they have no area.
    """
    listed = list(parts)
    area = sum(size for size, _ in listed)
    if area <= 0:
        raise ValueError(area)
    return sum(size * coefficient for size, coefficient in listed) / area


def run_off_depth(rain: float, curve_number: float) -> float:
    """Return what runs off of a rain by the curve number method of NRCS, TR-55. [m]

    Parameters
    ----------
    rain : float
        Depth of the whole rain. [m]
    curve_number : float
        Of the ground, above 0 and at most 100. [-]

    Notes
    -----
    ``Q = (P - 0.2 S)² / (P + 0.8 S)`` with ``S = 1000 / CN - 10`` in inches; nothing while ``P`` is below ``0.2 S``.
    """
    kept = (1000.0 / curve_number - 10.0) * 0.0254
    if rain <= 0.2 * kept:
        return 0.0
    return (rain - 0.2 * kept) ** 2 / (rain + 0.8 * kept)
