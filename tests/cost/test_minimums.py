"""Trips, day minimums, the minimum charge, quotes and winter: what a short or late job pays."""

import datetime as dt
from dataclasses import replace

import pytest

from courtwright.cost import price_option
from courtwright.cost.lines import numbers_factor, priced_lines, trips
from courtwright.cost.terms import expires_in_days, waits_for_spring
from courtwright.cost.unit_rates import unit_rate_price
from courtwright.quantities import option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.trade.load import rates
from courtwright.trade.per import COURT_AREA

MILL = ("mill-and-overlay", "resurface")


def _work(remedies: tuple[str, ...], area: float | None = None, cracks: float = 0.0):
    pad = standard_pad()
    reading = standard_reading(pad, cracks)
    return option_work(pad, replace(reading, area=area or reading.area), standard_facts(cracks), "o", remedies)


def _unit(remedies: tuple[str, ...], area: float | None = None, cracks: float = 0.0) -> float:
    return unit_rate_price(priced_lines(_work(remedies, area, cracks), rates(), None, 1.0), rates(), 0.0)


# --- trips --------------------------------------------------------------------------------------


def test_repairs_are_one_trip_and_paving_two_with_the_machines():
    """Our own crew once or twice, the heavy machines once."""
    assert trips(_work(("resurface",))) == (1, 0)
    assert trips(_work(MILL)) == (1, 1)
    assert trips(_work(("fence-work", *MILL))) == (2, 1)


def test_a_second_visit_is_charged_and_said():
    """Fence down before the paving adds a trip of our own: 1,200 at the likely rate besides the fence itself."""
    more = _work(("fence-work", *MILL))
    fence = (
        next(q for q in more.quantities if q.item == "fence-reset").amount.value * rates().lines["fence-reset"].likely
    )
    assert _unit(("fence-work", *MILL)) - _unit(MILL) == pytest.approx(fence + rates().mobilisation["own"].likely)
    price = price_option(more, rates(), standard_facts())
    assert [n.values["trips"] for n in price.notes if n.id == "cost.second-visit"] == [2]


# --- minimums -----------------------------------------------------------------------------------


def test_twenty_feet_of_crack_pay_the_least_job():
    """20 lf at 25 are 500; the trip costs more."""
    assert _unit(("membrane-repair",), cracks=20 * 0.3048) == rates().minimum["job"].likely
    price = price_option(_work(("membrane-repair",), cracks=20 * 0.3048), rates(), standard_facts())
    assert price.build_up_price == pytest.approx(rates().minimum["job"].likely)
    assert any(note.id == "cost.job-minimum" for note in price.notes)


def test_a_small_pad_pays_the_day_of_mill_and_paver():
    """100 m² of milling come to less than the mill's day, and of asphalt to less than the paver's."""
    small = _unit(("mill-and-overlay",), area=100.0)
    least = rates().minimum["mill"].likely + rates().minimum["paver"].likely + rates().mobilisation["heavy"].likely
    assert small == pytest.approx(least)
    assert _unit(("mill-and-overlay",), area=COURT_AREA) > least


def test_a_short_job_is_never_cheaper_by_the_minimum():
    """Price rises with area, flat while the minimum holds."""
    prices = [_unit(MILL, area=a) for a in (50, 100, 200, 400, 800, 1600)]
    assert prices == sorted(prices)


def test_numbers_lower_the_figure_and_never_the_bill():
    """Ever more courts cost ever less each, and together ever more."""
    factors = [numbers_factor(n * COURT_AREA, rates()) for n in (0.5, 1, 2, 4, 8)]
    assert factors[:2] == [1, 1]
    assert factors == sorted(factors, reverse=True)
    bills = [n * f for n, f in zip((1, 2, 4, 8), factors[1:], strict=True)]
    assert bills == sorted(bills)


# --- quotes and seasons -------------------------------------------------------------------------


def test_an_offer_does_not_outlive_the_quote_it_rests_on():
    """Paving rests on a quote of 30 days, resurfacing on our own 45."""
    walked = dt.date(2026, 4, 11)
    assert expires_in_days(_work(("resurface",)), rates(), walked) == rates().valid_days == 45
    assert expires_in_days(_work(MILL), rates(), walked) == 30


@pytest.mark.parametrize(("until", "days"), [("2026-04-21", 10), ("2026-12-31", 30), ("2026-04-01", 0)])
def test_a_dated_quote_expires_on_its_day(until: str, days: int):
    """Walked on 11 April; a quote that has run out says so."""
    book = replace(rates(), quotes=tuple(replace(q, valid_until=until) for q in rates().quotes))
    price = price_option(_work(MILL), book, standard_facts(), walked_on=dt.date(2026, 4, 11))
    assert price.expires_in_days == days
    assert any(note.id == "cost.quote-expired" for note in price.notes) == (days == 0)


def test_late_paving_leaves_the_colour_for_spring():
    """From 1 September on; held at the default rates, dearer where the house escalates; repairs do not wait."""
    early, late = dt.date(2026, 8, 31), dt.date(2026, 9, 1)
    assert not waits_for_spring(_work(MILL), rates(), early)
    assert waits_for_spring(_work(MILL), rates(), late)
    assert not waits_for_spring(_work(("resurface",)), rates(), late)
    escalating = replace(rates(), winter_price="escalated")
    held = price_option(_work(MILL), rates(), standard_facts(), walked_on=late)
    dearer = price_option(_work(MILL), escalating, standard_facts(), walked_on=late)
    colour = rates().lines["resurfacing"].likely * COURT_AREA + rates().lines["court-lines"].likely
    assert dearer.unit_rate_price - held.unit_rate_price == pytest.approx(0.04 * colour)
    assert {n.id for n in held.notes} >= {"cost.winter-held", "cost.asphalt-clause"}
