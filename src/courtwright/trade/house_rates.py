"""The contractor's own figures, in place of those of the book of rates."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Literal, get_args

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.trade.load import rates, rates_in_si, written_rates
from courtwright.trade.per import SIZES
from courtwright.trade.rate_records import CostLine, RateBook, RateLine
from courtwright.trade.records import Amount

#: The part of a book that an id begins with, for figures by item; each figure there is money for one unit.
Table = Literal["lines", "mobilisation", "minimum", "costs"]
_TABLES: tuple[Table, ...] = get_args(Table)
#: Figures that stand in the book by themselves.
_SINGLE = ("crew_day", "kit_day", "overhead", "profit", "subcontract_markup")
#: A figure for one of these units can be told for another of the same kind, as a foot for a metre: what the edge of
#: units calls the kind, and how much of ours its unit is.
_CONVERTED: Mapping[str, tuple[str, float]] = {
    "m": ("length", 1.0),
    "m2": ("area", 1.0),
    "m3": ("volume", 1.0),
    "t": ("mass", 1e-3),
    "l": ("liquid", 1e3),
}
_NAME = re.compile(r"[^\W\d_][^\d]*[23]?")
_SOURCE = "house rates"


@dataclass(frozen=True, slots=True)
class HouseRate:
    """One figure of the contractor's own.

    Parameters
    ----------
    value : float
        Money for one unit, or percent where the unit is ``pct``. [money/unit or %]
    unit : str
        A unit of the trade: that of the figure in the book, or one that measures the same.
    date : str
        The day from which it counts, ISO; empty where nobody says.
    note : str
        Where it comes from, as typed.
    """

    value: float
    unit: str
    date: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class UsualRate:
    """A figure of the book that the contractor may replace.

    Parameters
    ----------
    id : str
        ``lines.<item>``, ``costs.<item>``, ``mobilisation.<who>``, ``minimum.<what>``, or a figure that stands by
        itself, such as ``crew_day``.
    value : float
        The likely figure, as the book has it. [money/unit or %]
    unit : str
        Its unit in the trade.
    source : str
        Where the book has it from.
    """

    id: str
    value: float
    unit: str
    source: str

    @property
    def table(self) -> Table | None:
        """The table of the book that it stands in; None for one that stands by itself."""
        return next((table for table in _TABLES if self.id.startswith(f"{table}.")), None)


@dataclass(frozen=True, slots=True)
class HouseRates:
    """The contractor's own figures by id, laid over a book of rates.

    What can be replaced is what a contractor knows from his own books: sale prices (``lines.…``), trips
    (``mobilisation.…``), minimum charges (``minimum.…``), what he pays (``costs.…``), the day of one person and of one
    truck (``crew_day``, ``kit_day``), and what is put on top (``overhead``, ``profit``, ``subcontract_markup``).
    What the law, the market or statistics set stays the book's: the wage premium, spreads, discount, upkeep,
    the chance of the firm price, terms and quotes.

    An own figure stands in place of the likely one. Low and high, and what is likely for one kind of customer, keep
    their proportion to it; what a figure includes stays as it is. It carries the source ``house rates`` with its date.
    A figure of an id that the book has not, or in a unit that measures something else, changes nothing.
    """

    rates: Mapping[str, HouseRate] = field(default_factory=dict[str, HouseRate])

    def over(self, book: RateBook) -> RateBook:
        """Return a book in the units of the trade with these figures in it."""
        single = {name: _amount(getattr(book, name), self.rates.get(name)) for name in _SINGLE}
        lines = {
            table: {key: _line(line, self.rates.get(f"{table}.{key}")) for key, line in getattr(book, table).items()}
            for table in ("lines", "mobilisation", "minimum")
        }
        costs = {key: _cost(line, self.rates.get(f"costs.{key}")) for key, line in book.costs.items()}
        return replace(book, **single, **lines, costs=costs)


#: No own figure.
USUAL = HouseRates()


def house_book(house: HouseRates = USUAL) -> RateBook:
    """Return the book of rates in SI, with the contractor's own figures in it.

    Examples
    --------
    >>> own = HouseRates({"lines.membrane-strip": HouseRate(28.0, "lf", "2026-03-01")})
    >>> line = house_book(own).lines["membrane-strip"]
    >>> round(line.likely * 0.3048, 2), round(line.low * 0.3048, 2), line.source
    (28.0, 22.4, 'house rates, 2026-03-01')
    """
    return rates_in_si(house.over(written_rates())) if house.rates else rates()


@functools.cache
def usual_rates() -> Mapping[str, UsualRate]:
    """Return every figure of the book that the contractor may replace, by id, in the order of the book."""
    book = written_rates()
    found = [
        UsualRate(f"{table}.{key}", *_figure(line)) for table in _TABLES for key, line in getattr(book, table).items()
    ]
    found += [UsualRate(name, *_figure(getattr(book, name))) for name in _SINGLE]
    return MappingProxyType({rate.id: rate for rate in found})


def _figure(line: RateLine | CostLine | Amount) -> tuple[float, str, str]:
    match line:
        case RateLine():
            return float(line.likely), line.per, line.source
        case CostLine():
            return float(line.cost), line.per, line.source
        case Amount():
            return float(line.size), line.unit, line.source


def in_unit(value: float, unit: str, own: str) -> float | None:
    """Return a figure for one unit as the figure for another one, or None when they do not measure the same.

    Parameters
    ----------
    value : float
        Money for one ``unit``. [money/unit]
    unit, own : str
        The unit that it is for, of the trade or as people write it; and the unit of the trade that it shall be for.

    Returns
    -------
    float or None
        Money for one ``own``. [money/own]

    Examples
    --------
    >>> in_unit(100.0, "m", "lf"), in_unit(5.0, "each", "lf"), in_unit(5.0, "each", "each")
    (30.48, None, 5.0)
    """
    if unit == own:
        return value
    kind, own_size = SIZES[own]
    size = _size(unit, kind) if kind in _CONVERTED else None
    return None if size is None else value * (own_size / size)


def _size(unit: str, kind: str) -> float | None:
    """Return how much of a kind of SI unit a unit holds, or None when it measures something else."""
    if unit in SIZES:
        its_kind, size = SIZES[unit]
        return size if its_kind == kind else None
    name, ours = _CONVERTED[kind]
    try:
        return units.parse_quantity(f"1 {unit}", name) * ours if _NAME.fullmatch(unit) else None
    except QuantityError:
        return None


def amount_of(text: str) -> float:
    """Return a number as people write it, with a decimal point or comma. [as written]

    Raises
    ------
    QuantityError
        If nobody can read it, or it is negative or infinite.
    """
    return units.parse_quantity(text, "number")


def _own(rate: HouseRate | None, unit: str) -> tuple[float, str, str] | None:
    """Return an own figure for a unit, its source and its date."""
    own = None if rate is None else in_unit(rate.value, rate.unit, unit)
    return None if rate is None or own is None else (own, ", ".join(filter(None, (_SOURCE, rate.date))), rate.date)


def _line(line: RateLine, rate: HouseRate | None) -> RateLine:
    found = _own(rate, line.per)
    if found is None:
        return line
    own, source, dated = found
    factor = own / line.likely if line.likely else 1.0
    return replace(
        line,
        # What rounding does to a product must not turn the order round.
        low=min(line.low * factor, own),
        likely=own,
        high=max(line.high * factor, own),
        likely_for={customer: likely * factor for customer, likely in line.likely_for.items()},
        source=source,
        dated=dated,
    )


def _cost(line: CostLine, rate: HouseRate | None) -> CostLine:
    own = _own(rate, line.per)
    return line if own is None else replace(line, cost=own[0], source=own[1])


def _amount(amount: Amount, rate: HouseRate | None) -> Amount:
    own = _own(rate, amount.unit)
    return amount if own is None else replace(amount, size=own[0], source=own[1])
