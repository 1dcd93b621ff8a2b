"""How long a price holds, and what the season and others' prices do to it."""

from __future__ import annotations

import datetime as dt

from courtwright.quantities.records import OptionWork
from courtwright.says import Says, say
from courtwright.trade.load import scopes
from courtwright.trade.rate_records import Quote, RateBook


def quotes_used(work: OptionWork, rates: RateBook) -> tuple[Quote, ...]:
    """Return the subcontractors' quotes that an option rests on."""
    items = {quantity.item for quantity in work.quantities if quantity.amount.value > 0}
    return tuple(quote for quote in rates.quotes if items & set(quote.covers))


def expires_in_days(work: OptionWork, rates: RateBook, walked_on: dt.date | None) -> int:
    """Return for how many days after the walk an offer may hold: never longer than a quote it rests on. [day]

    Parameters
    ----------
    work : OptionWork
        What is done.
    rates : RateBook
        Our own validity, and the quotes.
    walked_on : date or None
        The day of the walk; without it only a quote's days count.

    Returns
    -------
    int
        Days; 0 when a quote has expired already. [day]
    """
    return min([rates.valid_days, *(_days_left(quote, walked_on) for quote in quotes_used(work, rates))])


def _days_left(quote: Quote, walked_on: dt.date | None) -> int:
    if quote.valid_until and walked_on is not None:
        return max(0, min(quote.valid_days, (dt.date.fromisoformat(quote.valid_until) - walked_on).days))
    return quote.valid_days


def waits_for_spring(work: OptionWork, rates: RateBook, walked_on: dt.date | None) -> bool:
    """Tell whether the colour of new pavement waits for spring: paved after the late date, it cures too slowly."""
    paves = any(scopes()[remedy].new_surface for remedy in work.remedies)
    if not paves or walked_on is None or not {"resurface", "line-set"} & set(work.remedies):
        return False
    month, day = (int(part) for part in rates.late_paving.split("-"))
    return walked_on >= dt.date(walked_on.year, month, day)


def winter_factor(work: OptionWork, rates: RateBook, walked_on: dt.date | None) -> float:
    """Return what the colour costs in spring against now: 1 when its price is held. [-]"""
    escalates = rates.winter_price == "escalated" and waits_for_spring(work, rates, walked_on)
    return 1 + rates.winter_escalation.size if escalates else 1.0


def term_notes(work: OptionWork, rates: RateBook, walked_on: dt.date | None) -> tuple[Says, ...]:
    """Return what to say of quotes, winter and asphalt price."""
    notes = [_quote_note(quote, rates, walked_on) for quote in quotes_used(work, rates)]
    if waits_for_spring(work, rates, walked_on):
        notes.append(say(f"cost.winter-{rates.winter_price}", share=rates.winter_escalation.size))
    items = {quantity.item for quantity in work.quantities if quantity.amount.value > 0}
    follow = [rates.lines[item] for item in items if item in rates.lines and rates.lines[item].follows == "asphalt"]
    if follow:
        dated = max(line.dated or rates.dated for line in follow)
        notes.append(say("cost.asphalt-clause", share=rates.asphalt_threshold.size, dated=dated))
    return tuple(notes)


def _quote_note(quote: Quote, rates: RateBook, walked_on: dt.date | None) -> Says:
    days, who = _days_left(quote, walked_on), say(f"rates.{rates.id}.quotes.{quote.id}.who")
    if days <= 0:
        return say("cost.quote-expired", who=who, until=quote.valid_until)
    return say("cost.quote", who=who, days=days, minimum=quote.minimum)
