"""Which scales a plan may have: those that a scale rule carries."""

from __future__ import annotations

from courtwright.trade.words import UnitSystem
from courtwright.units import BARE_LENGTH

#: Feet to the inch of paper: engineers' and architects' rules.
_FEET_TO_THE_INCH = (4, 5, 8, 10, 16, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500, 1000, 2000)
_METRIC = (50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 2500, 5000, 10000, 25000)


def scales(units: UnitSystem) -> tuple[int, ...]:
    """Return the scales 1:n, largest drawing first. [-]

    Examples
    --------
    Twenty feet to the inch is 1:240:

    >>> 240 in scales("us"), scales("metric")[0]
    (True, 50)
    """
    return tuple(12 * feet for feet in _FEET_TO_THE_INCH) if units == "us" else _METRIC


def bar_length(scale: int, units: UnitSystem) -> tuple[float, int]:
    """Return the length that a scale bar stands for and into how many parts it is divided.

    Returns
    -------
    length : float
        A round length in the reader's units that is 25 to 65 mm on paper. [m]
    parts : int
        Two, four or five. [-]
    """
    unit = BARE_LENGTH[units]
    steps = [(m * 10.0**e, parts) for e in range(-1, 4) for m, parts in ((1, 2), (2, 2), (5, 5))]
    return next(
        ((step * unit, parts) for step, parts in steps if step * unit * 1000 / scale >= 25), (steps[-1][0] * unit, 5)
    )
