"""The price of one option on one pad: range for the estimator, firm figure for the customer."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from decimal import Decimal

import numpy as np

from courtwright.cost.build_up import build_up, build_up_price
from courtwright.cost.drivers import drivers_of
from courtwright.cost.hidden import HiddenWork, hidden_work
from courtwright.cost.life import drawn_life
from courtwright.cost.lines import Line, for_customer, priced_lines, trips
from courtwright.cost.records import Allowance, OptionPrice, Percentiles
from courtwright.cost.simulate import draw_price, shared_draws
from courtwright.cost.spread import Draws
from courtwright.cost.streams import Streams
from courtwright.cost.terms import expires_in_days, quotes_used, term_notes, winter_factor
from courtwright.cost.unit_rates import unit_rate_price
from courtwright.cost.yearly import done, per_court_year
from courtwright.quantities.records import OptionWork
from courtwright.says import Says, say
from courtwright.trade.load import scopes
from courtwright.trade.rate_records import RateBook, RateLine
from courtwright.verdict.records import Fact

#: A gap between the two prices that is pointed out. [-]
_GAP = 0.15
#: A firm price is rounded up to the small step, from the limit on to the large one. [money]
_SMALL_STEP, _LARGE_STEP, _LARGE_FROM = 10, 50, 20_000


def price_option(
    work: OptionWork,
    rates: RateBook,
    facts: Mapping[str, Fact],
    *,
    customer: str | None = None,
    prevailing_wage: bool | None = None,
    walked_on: dt.date | None = None,
    seed: int = 1,
    draws: int = 10_000,
) -> OptionPrice:
    """Return what an option costs, how sure that is, what may be found, how long it lasts and what a year costs.

    Parameters
    ----------
    work : OptionWork
        Quantities and steps.
    rates : RateBook
        The house rates.
    facts : mapping of str to Fact
        What the verdict rests on; what nobody knows widens the price of the remedies it touches.
    customer : str or None
        ``home``, ``club``, ``school``, ``municipal`` or ``manager``.
    prevailing_wage : bool or None
        Whether it applies; None widens where the customer's work may fall under such a law.
    walked_on : date or None
        The day of the walk.
    seed : int
        Random numbers are keyed by it and the option's remedies alone.
    draws : int
        How many draws. [-]

    Returns
    -------
    OptionPrice
        Percentiles include contingent work (about its expected quantity), overhead, profit and
        trips, and exclude sales tax and bond. The firm price covers the base work alone, at the
        chance of the house rates, and is rounded up.
    """
    if prevailing_wage is None and customer is not None and customer not in rates.wage_law_for:
        prevailing_wage = False
    wage = rates.wage_premium.likely if prevailing_wage else 0.0
    streams = Streams(seed, work.remedies, draws)
    lines = priced_lines(work, rates, customer, winter_factor(work, rates, walked_on))
    hidden = hidden_work(work, facts, streams)
    hidden_rates = {h.item: for_customer(rates.lines[h.item], customer) for h in hidden}
    widens = {remedy: not_known(remedy, facts) for remedy in done(work)}
    shared = shared_draws(rates, streams, prevailing_wage, widens)
    drawn = draw_price(lines, hidden, hidden_rates, rates, shared, streams)
    lives = drawn_life(work.option, done(work), facts, streams)
    inside = build_up(work, rates, wage)
    outside = unit_rate_price(lines, rates, wage)
    return OptionPrice(
        pad=work.pad,
        option=work.option,
        price=percentiles(drawn.total),
        firm_price=firm_price(drawn.base, rates.firm_chance.size),
        unit_rate_price=outside,
        build_up_price=build_up_price(inside),
        build_up=inside,
        includes=_includes(work, rates, lines),
        allowances=_allowances(hidden, hidden_rates, wage),
        per_court_year=percentiles(per_court_year(work, drawn.total, lives, rates)),
        life_years=percentiles(lives),
        drivers=drivers_of(drawn),
        expires_in_days=expires_in_days(work, rates, walked_on),
        notes=(
            *_price_notes(work, rates, outside, build_up_price(inside), prevailing_wage, widens),
            *term_notes(work, rates, walked_on),
        ),
        from_memory=_from_memory(work, rates, lines, hidden),
    )


def not_known(remedy: str, facts: Mapping[str, Fact]) -> Mapping[str, float]:
    """Return the facts that widen a remedy's price because nobody knows them, each with how much. [-]"""
    return {
        fact: widen
        for fact, widen in scopes()[remedy].unknown_widens.items()
        if fact not in facts or facts[fact].value is None
    }


def percentiles(drawn: Draws) -> Percentiles:
    """Return the four percentiles that an estimator reads."""
    p10, p50, p80, p90 = (float(p) for p in np.quantile(drawn, (0.1, 0.5, 0.8, 0.9)))
    return Percentiles(p10, p50, p80, p90)


def firm_price(base: Draws, chance: float) -> Decimal:
    """Return the price that covers the base work with the given chance, rounded up to a step.

    Parameters
    ----------
    base : ndarray, shape (draws,)
        Draws of the base work. [money]
    chance : float
        Chance that it costs no more. [-]

    Returns
    -------
    Decimal
        Firm price. [money]

    Examples
    --------
    >>> firm_price(np.array([9000.0, 9101.0]), 1.0), firm_price(np.array([27001.0]), 0.65)
    (Decimal('9110'), Decimal('27050'))
    """
    exact = float(np.quantile(base, chance))
    step = _SMALL_STEP if exact < _LARGE_FROM else _LARGE_STEP
    return Decimal(step * math.ceil(exact / step - 1e-9))


def _allowances(hidden: tuple[HiddenWork, ...], rates: Mapping[str, RateLine], wage: float) -> tuple[Allowance, ...]:
    found: list[Allowance] = []
    for item in dict.fromkeys(h.item for h in hidden):
        of_item = [h for h in hidden if h.item == item]
        amounts = np.sum([h.amounts for h in of_item], axis=0)
        rate = rates[item].likely * (1 + wage * rates[item].labour_share)
        p50, p80 = (float(p) for p in np.quantile(amounts, (0.5, 0.8)))
        expected = math.fsum(h.expected for h in of_item)
        found.append(Allowance(item, of_item[0].unit, Decimal(str(round(rate, 2))), p50, p80, expected))
    return tuple(found)


#: Said of work whose colour is an item of its own; an option that colours needs no such word.
_NOT_COLOUR = "not-colour"


def _includes(work: OptionWork, rates: RateBook, lines: tuple[Line, ...]) -> tuple[Says, ...]:
    ids = [name for line in lines if line.amount.value > 0 for name in line.rate.includes]
    ids += [name for quote in quotes_used(work, rates) for name in quote.includes]
    if "resurface" in work.remedies:
        ids = [name for name in ids if name != _NOT_COLOUR]
    said = [say(f"cost.includes-{name}") for name in dict.fromkeys(ids)]
    return (*said, say("cost.assumes", area=work.area, courts=work.courts), say("cost.without-tax"))


def _price_notes(
    work: OptionWork,
    rates: RateBook,
    outside: float,
    inside: float,
    wage: bool | None,
    widens: Mapping[str, Mapping[str, float]],
) -> tuple[Says, ...]:
    notes: list[Says] = []
    if outside > 0 and abs(inside / outside - 1) > _GAP:
        notes.append(say("cost.gap", unit_rates=outside, build_up=inside, share=inside / outside - 1))
    if outside == rates.minimum["job"].likely:
        notes.append(say("cost.job-minimum", minimum=outside))
    own, _ = trips(work)
    if own > 1:
        notes.append(say("cost.second-visit", trips=own))
    if wage is None:
        notes.append(say("cost.wage-unknown", share=rates.wage_premium.likely))
    unknown = tuple(sorted({fact for each in widens.values() for fact in each}))
    if unknown:
        notes.append(say("cost.not-known", facts=tuple(say(f"facts.{fact}.title") for fact in unknown)))
    return tuple(notes)


def _from_memory(
    work: OptionWork, rates: RateBook, lines: tuple[Line, ...], hidden: tuple[HiddenWork, ...]
) -> tuple[str, ...]:
    named = {f"rates.{line.item}": line.rate.source for line in lines if line.amount.value > 0}
    named |= {f"allowances.{h.item}": h.source for h in hidden}
    for remedy in done(work):
        scope = scopes()[remedy]
        named[f"scopes.{remedy}"] = scope.source
        named |= {f"scopes.{remedy}.{name}": value.source for name, value in scope.values.items()}
        if scope.life is not None:
            named[f"scopes.{remedy}.life"] = scope.life.source
    return tuple(sorted(name for name, source in named.items() if source.startswith("from memory")))
