"""In which units a customer reads a quantity of work."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.trade.words import UnitSystem
from courtwright.units import CUBIC_YARD, FOOT, GALLON, LITRE, SHORT_TON, SQUARE_FOOT, TONNE


@dataclass(frozen=True, slots=True)
class TradeUnit:
    """A unit by name, and how much of the record's unit it is. [record's unit]"""

    name: str
    si: float


_US = {
    "m": TradeUnit("lf", FOOT),
    "m2": TradeUnit("sf", SQUARE_FOOT),
    "m3": TradeUnit("cy", CUBIC_YARD),
    "t": TradeUnit("ton", SHORT_TON / TONNE),
    "l": TradeUnit("gal", GALLON / LITRE),
    "ea": TradeUnit("each", 1.0),
}


def trade_unit(unit: str, units: UnitSystem) -> TradeUnit:
    """Return the unit that a reader knows a quantity by.

    Parameters
    ----------
    unit : str
        Of the record: ``m``, ``m2``, ``m3``, ``t``, ``l``, ``ea``.
    units : {"us", "metric"}
        The reader's.

    Examples
    --------
    A rate of 100 a metre is 30.48 a foot:

    >>> trade_unit("m", "us").name, round(100 * trade_unit("m", "us").si, 2)
    ('lf', 30.48)
    """
    if units == "us":
        return _US.get(unit, TradeUnit(unit, 1.0))
    return TradeUnit("each" if unit == "ea" else unit, 1.0)
