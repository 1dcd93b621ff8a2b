"""The price from the inside: crews, materials, work given out, trips, overhead, profit."""

from __future__ import annotations

import math

from courtwright.cost.lines import trips
from courtwright.cost.records import BuildUpLine
from courtwright.quantities.records import OptionWork
from courtwright.says import say
from courtwright.trade.load import scopes
from courtwright.trade.rate_records import RateBook


def build_up(work: OptionWork, rates: RateBook, wage: float) -> tuple[BuildUpLine, ...]:
    """Return every line of the build-up, overhead and profit last.

    Parameters
    ----------
    work : OptionWork
        Quantities and steps.
    rates : RateBook
        Costs, crew days, overhead, profit.
    wage : float
        What prevailing wage adds to labour. [-]

    Returns
    -------
    tuple of BuildUpLine
        Their sum is the build-up price. [money]
    """
    if not work.steps:
        return ()
    own = [*_labour(work, rates, wage), *_bought(work, rates, ("material", "haul"))]
    given_out = _bought(work, rates, ("subcontract",))
    own_trips, heavy_trips = trips(work)
    own += _trips("trip-own", own_trips, rates)
    given_out += _trips("trip-heavy", heavy_trips, rates)
    found = (*own, *given_out, *_on_top(own, given_out, rates))
    short = rates.minimum["job"].likely - build_up_price(found)
    return (*found, BuildUpLine(say("cost.build-up-minimum"), short)) if short > 0 else found


def build_up_price(lines: tuple[BuildUpLine, ...]) -> float:
    """Return the sum of a build-up. [money]"""
    return math.fsum(line.amount for line in lines)


def _labour(work: OptionWork, rates: RateBook, wage: float) -> list[BuildUpLine]:
    found: list[BuildUpLine] = []
    for step in work.steps:
        if step.by == "own":
            day = step.crew * rates.crew_day.size * (1 + wage) + rates.kit_day.size
            says = say(
                "cost.build-up-crew", step=say(f"quantities.step-{step.id}"), crew=step.crew, days=step.days.value
            )
            found.append(BuildUpLine(says, day * step.days.value))
    return found


def _bought(work: OptionWork, rates: RateBook, kinds: tuple[str, ...]) -> list[BuildUpLine]:
    found: list[BuildUpLine] = []
    for quantity in work.quantities:
        line = rates.costs.get(quantity.item)
        if line is not None and line.kind in kinds and quantity.amount.value > 0:
            amount = quantity.amount.value * (1 + _waste(quantity.remedy, quantity.item)) * line.cost
            says = say(f"cost.build-up-{line.kind}", item=say(f"quantities.item-{quantity.item}"))
            found.append(BuildUpLine(says, amount))
    return found


def _waste(remedy: str, item: str) -> float:
    return next(spec.waste_pct for spec in scopes()[remedy].items if spec.id == item) / 100


def _trips(name: str, count: int, rates: RateBook) -> list[BuildUpLine]:
    return [BuildUpLine(say(f"cost.build-up-{name}", count=count), count * rates.costs[name].cost)] if count else []


def _on_top(own: list[BuildUpLine], given_out: list[BuildUpLine], rates: RateBook) -> list[BuildUpLine]:
    cost, given = build_up_price(tuple(own)), build_up_price(tuple(given_out))
    overhead = cost * rates.overhead.size
    profit = (cost + overhead) * rates.profit.size
    found = [
        BuildUpLine(say("cost.build-up-overhead", share=rates.overhead.size), overhead),
        BuildUpLine(say("cost.build-up-profit", share=rates.profit.size), profit),
    ]
    if given:
        markup = rates.subcontract_markup.size
        found.append(BuildUpLine(say("cost.build-up-markup", share=markup), given * markup))
    return found
