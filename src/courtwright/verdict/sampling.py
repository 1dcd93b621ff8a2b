"""How many sample units to inspect, how far apart, and what they say of the whole."""

from __future__ import annotations

import math

from courtwright.errors import OutOfRangeError
from courtwright.says import say


def sample_units(units: int, spread: float = 10.0, error: float = 5.0) -> int:
    r"""Return how many sample units to inspect, :math:`n = N s^2 / (\tfrac{e^2}{4}(N-1) + s^2)`, rounded up.

    Parameters
    ----------
    units : int
        Sample units in the section. [-]
    spread : float
        Standard deviation of the index between units, 10 for asphalt, 15 for concrete. [points]
    error : float
        Error allowed in the section's index. [points]

    Returns
    -------
    int
        Units to inspect. [-]

    Raises
    ------
    OutOfRangeError
        If there is no unit, or a number is not positive.

    References
    ----------
    ASTM D6433-24, 7.5.2, eq. 1.

    Examples
    --------
    >>> [sample_units(n) for n in (3, 6, 12, 20, 30)]
    [3, 5, 8, 10, 11]
    """
    if units < 1 or not spread > 0 or not error > 0:
        raise OutOfRangeError(say("condition.no-sample", units=units, spread=spread, error=error))
    exact = units * spread**2 / (error**2 / 4 * (units - 1) + spread**2)
    return math.ceil(round(exact, 9))


def sample_spacing(units: int, inspected: int) -> int:
    """Return every how manieth unit is inspected, rounded down.

    Parameters
    ----------
    units, inspected : int
        Sample units in the section, and those to inspect. [-]

    Returns
    -------
    int
        Spacing; the first unit is drawn from 1 to this. [-]

    References
    ----------
    ASTM D6433, eq. 3.

    Examples
    --------
    >>> sample_spacing(18, 5)
    3
    """
    if not 1 <= inspected <= units:
        raise OutOfRangeError(say("condition.no-spacing", units=units, inspected=inspected))
    return units // inspected


def section_index(units: int, additional: int, random_mean: float, additional_mean: float) -> float:
    """Return the index of a section from its random units and those added because they looked unlike.

    Parameters
    ----------
    units, additional : int
        Sample units in the section, and those inspected in addition to the random ones. [-]
    random_mean, additional_mean : float
        Mean index of the random and of the additional units. [points]

    Returns
    -------
    float
        Index of the section. [points]

    References
    ----------
    TM 5-623, eq. 3-1.

    Examples
    --------
    >>> round(section_index(12, 1, 70.0, 30.0), 3)
    66.667
    """
    if not 0 <= additional <= units or units < 1:
        raise OutOfRangeError(say("condition.no-spacing", units=units, inspected=additional))
    return ((units - additional) * random_mean + additional * additional_mean) / units
