"""Reads one coordinate as people type it."""

from __future__ import annotations

from courtwright import units
from courtwright.errors import QuantityError


def coordinate(given: object, system: units.UnitSystem) -> float | None:
    """Return a coordinate, which may be negative, unlike a length.

    Parameters
    ----------
    given : object
        A number in the system's unit, or a text with its unit.
    system : {"us", "metric"}
        What a number without a unit is counted in.

    Returns
    -------
    float or None
        None when it is no length. [m]

    Examples
    --------
    >>> coordinate("-12 ft", "us"), coordinate(2, "metric"), coordinate("far", "us")
    (-3.6576, 2.0, None)
    """
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        return None
    sign, size = 1.0, given
    if isinstance(size, str) and size.strip().startswith(("-", "−")):
        sign, size = -1.0, size.strip()[1:]
    elif not isinstance(size, str) and size < 0:
        sign, size = -1.0, -size
    try:
        return sign * units.parse_length(size, system)
    except QuantityError:
        return None


def in_unit(length: float, system: units.UnitSystem) -> float:
    """Return a length as a plain number in the system's unit.

    Parameters
    ----------
    length : float
        The length. [m]
    system : {"us", "metric"}
        Feet or metres.

    Examples
    --------
    >>> in_unit(3.81, "us")
    12.5
    """
    return float(f"{length / units.FOOT:.12g}") if system == "us" else length
