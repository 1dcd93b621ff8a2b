"""The contractor's own rates beside those of the book: told by their titles, and taken as people write them."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.errors import InputError
from courtwright.says import Says, say
from courtwright.site.complaints import nearest, short
from courtwright.trade.house_rates import HouseRate, HouseRates, UsualRate, amount_of, in_unit, usual_rates

#: More is a digit too many: money for one unit, and percent. [money/unit], [%]
_MOST_MONEY, _MOST_PERCENT = 10_000_000, 200


@dataclass(frozen=True, slots=True)
class RateTold:
    """A figure of the book that the contractor may replace, and his own.

    Parameters
    ----------
    usual : UsualRate
        The book's.
    title, unit : Says
        What it is for, and for how much of it.
    own : HouseRate or None
        His own.
    """

    usual: UsualRate
    title: Says
    unit: Says
    own: HouseRate | None


def rates_told(house: HouseRates) -> tuple[RateTold, ...]:
    """Return every figure that may be replaced, in the order of the book."""
    return tuple(
        RateTold(usual, rate_title(id), unit_title(usual.unit), house.rates.get(id))
        for id, usual in usual_rates().items()
    )


def rates_without_use(house: HouseRates) -> tuple[str, ...]:
    """Return the ids of own figures that this book has not, or has in a unit that measures something else."""
    usual = usual_rates()
    return tuple(
        id
        for id, rate in house.rates.items()
        if id not in usual or in_unit(rate.value, rate.unit, usual[id].unit) is None
    )


def rate_title(id: str) -> Says:
    """Return what a rate is for."""
    table, _, name = id.rpartition(".")
    if table == "costs":
        trip = name.removeprefix("trip-")
        return say("cost.rate-cost", title=say(f"quantities.item-{name}" if trip == name else f"cost.rate-{trip}"))
    return say(f"quantities.item-{name}" if table == "lines" else f"cost.rate-{name}")


def unit_title(unit: str) -> Says:
    """Return the name of a unit of the trade."""
    return say(f"cost.unit-{unit}")


def usual_rate(id: str) -> UsualRate:
    """Return the figure of the book with an id.

    Raises
    ------
    InputError
        If there is none; it names the nearest.
    """
    found = usual_rates().get(id)
    if found is None:
        near = nearest(id, usual_rates())
        do = say("cost.rate-unknown-near", near=near) if near else say("cost.rate-unknown-do")
        raise InputError(say("cost.rate-unknown", given=short(id)), where=short(id), fix=do)
    return found


def own_value(usual: UsualRate, typed: str, unit: str = "") -> float:
    """Return what somebody wrote for a rate, in the rate's own unit.

    Parameters
    ----------
    usual : UsualRate
        The rate.
    typed : str
        The figure, with a decimal point or comma.
    unit : str
        For how much it is; empty for the rate's own unit.

    Returns
    -------
    float
        Money for one of its unit, or percent. [money/unit or %]

    Raises
    ------
    InputError
        If nobody can read it, it is for something else, or far too much.

    Examples
    --------
    >>> own_value(usual_rate("lines.membrane-strip"), "82,02", "m")
    24.999696
    """
    value = in_unit(amount_of(typed), unit or usual.unit, usual.unit)
    if value is None:
        says = say("cost.rate-unit", given=short(unit), unit=unit_title(usual.unit))
        raise InputError(says, where=usual.id, fix=say("cost.rate-unit-do"))
    most = _MOST_PERCENT if usual.unit == "pct" else _MOST_MONEY
    if value > most:
        says = say("cost.rate-large", given=short(typed), most=most)
        raise InputError(says, where=usual.id, fix=say("cost.rate-large-do"))
    # What is turned from one unit into another is told without the noise of the turning.
    return float(f"{value:.10g}")
