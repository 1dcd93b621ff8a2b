"""The priced lines of an option: items of work with their sale rates, and trips."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from courtwright.measured import Measured
from courtwright.quantities.records import OptionWork
from courtwright.trade.per import COURT_AREA
from courtwright.trade.rate_records import RateBook, RateLine

_ONCE = Measured(1.0)
_HEAVY = ("mill", "paver", "plant")


@dataclass(frozen=True, slots=True)
class Line:
    """One priced line: how much of what, at what rate. ``remedy`` is empty for a trip."""

    name: str
    item: str
    remedy: str
    amount: Measured
    rate: RateLine

    @property
    def likely(self) -> float:
        """The likely amount at the likely rate. [money]"""
        return self.amount.value * self.rate.likely


def priced_lines(work: OptionWork, rates: RateBook, customer: str | None, winter_factor: float) -> tuple[Line, ...]:
    """Return the lines of an option for one kind of customer.

    Parameters
    ----------
    work : OptionWork
        What is done.
    rates : RateBook
        The house rates.
    customer : str or None
        Kind of customer, where a rate differs by it.
    winter_factor : float
        What the colour costs after a winter, against now. [-]

    Returns
    -------
    tuple of Line
        One for each item that has a sale rate, then the trips.
    """
    numbers = numbers_factor(work.area, rates)
    lines: list[Line] = []
    for quantity in work.quantities:
        rate = rates.lines.get(quantity.item)
        if rate is not None:
            factor = (numbers if rate.in_numbers else 1.0) * (winter_factor if quantity.remedy in _COLOUR else 1.0)
            rate = scaled(for_customer(rate, customer), factor)
            lines.append(
                Line(f"{quantity.remedy}/{quantity.item}", quantity.item, quantity.remedy, quantity.amount, rate)
            )
    return (*lines, *_trips(work, rates))


_COLOUR = ("resurface", "line-set")


def _trips(work: OptionWork, rates: RateBook) -> list[Line]:
    own, heavy = trips(work)
    return [
        *(Line(f"trip-own-{i}", "trip-own", "", _ONCE, rates.mobilisation["own"]) for i in range(own)),
        *(Line(f"trip-heavy-{i}", "trip-heavy", "", _ONCE, rates.mobilisation["heavy"]) for i in range(heavy)),
    ]


def trips(work: OptionWork) -> tuple[int, int]:
    """Return how often our own crew comes, and how often mill, paver or plant are brought. [-]"""
    own = {step.visit for step in work.steps if step.by == "own"}
    heavy = {step.visit for step in work.steps if step.by in _HEAVY}
    return len(own), len(heavy)


def numbers_factor(area: float, rates: RateBook) -> float:
    """Return what a figure that falls with numbers costs, against one court. [-]

    Parameters
    ----------
    area : float
        Area of the pad. [m²]
    rates : RateBook
        ``in_numbers`` is how much it falls for ever more courts.

    Returns
    -------
    float
        Factor, 1 for one court or less. [-]
    """
    courts = max(1.0, area / COURT_AREA)
    return 1 - rates.in_numbers.size * (1 - 1 / courts)


def for_customer(rate: RateLine, customer: str | None) -> RateLine:
    """Return the rate with the likely figure of this kind of customer, on whose far side the others' figure lies."""
    likely = rate.likely_for.get(customer or "", rate.likely)
    if likely > rate.likely:
        return replace(rate, low=rate.likely, likely=likely, high=max(rate.high, likely))
    if likely < rate.likely:
        return replace(rate, low=min(rate.low, likely), likely=likely, high=rate.likely)
    return rate


def scaled(rate: RateLine, factor: float) -> RateLine:
    """Return the rate times a factor. [-]"""
    return replace(rate, low=rate.low * factor, likely=rate.likely * factor, high=rate.high * factor)


def minimum_extra(lines: tuple[Line, ...], amounts: dict[str, float], rates: RateBook) -> float:
    """Return what day minimums add to lines that come to so much each. [money]"""
    return math.fsum(
        max(0.0, rates.minimum[name].likely - math.fsum(amounts[n] for n in names))
        for name, names in minimum_groups(lines).items()
    )


def minimum_groups(lines: tuple[Line, ...]) -> dict[str, list[str]]:
    """Return the names of the lines that share each day minimum, of those with anything to do."""
    groups: dict[str, list[str]] = {}
    for line in lines:
        if line.rate.minimum and line.amount.value > 0:
            groups.setdefault(line.rate.minimum, []).append(line.name)
    return groups
