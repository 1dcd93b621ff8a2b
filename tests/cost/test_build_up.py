"""The price from the inside, line by line by hand."""

import pytest

from courtwright.cost import price_option
from courtwright.cost.build_up import build_up
from courtwright.quantities import option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.trade.load import rates


def _amounts(remedies: tuple[str, ...], wage: float = 0.0, cracks: float = 300.0) -> dict[str, list[float]]:
    pad = standard_pad()
    work = option_work(pad, standard_reading(pad, cracks), standard_facts(cracks), "o", remedies)
    found: dict[str, list[float]] = {}
    for line in build_up(work, rates(), wage):
        found.setdefault(line.says.id.removeprefix("cost.build-up-"), []).append(line.amount)
    return found


def _work(remedies: tuple[str, ...], cracks: float = 300.0):
    pad = standard_pad()
    return option_work(pad, standard_reading(pad, cracks), standard_facts(cracks), "o", remedies)


def test_material_is_bought_with_its_waste():
    """A strip's length, 5 % of waste, at what a metre costs."""
    (strip,) = (q for q in _work(("membrane-repair",)).quantities if q.item == "membrane-strip")
    assert _amounts(("membrane-repair",))["material"] == [
        pytest.approx(strip.amount.value * 1.05 * rates().costs["membrane-strip"].cost)
    ]


def test_a_crew_costs_its_people_and_its_truck_and_wages_raise_the_people_alone():
    """People at a day's cost each, a truck a day, for the step's days; a premium of 30 % is on the people."""
    (step,) = (s for s in _work(("membrane-repair",)).steps if s.id == "membrane")
    people, truck = step.crew * rates().crew_day.size, rates().kit_day.size
    assert _amounts(("membrane-repair",))["crew"][0] == pytest.approx((people + truck) * step.days.value)
    raised = _amounts(("membrane-repair",), wage=0.3)["crew"][0]
    assert raised == pytest.approx((1.3 * people + truck) * step.days.value)


def test_overhead_is_on_own_cost_profit_on_both_and_markup_on_what_is_given_out():
    """Own cost 1, overhead o, profit p (1 + o); paving is given out and marked up."""
    found = _amounts(("mill-and-overlay", "resurface"))
    own = sum(sum(found.get(name, [])) for name in ("crew", "material", "haul", "trip-own"))
    given = sum(sum(found.get(name, [])) for name in ("subcontract", "trip-heavy"))
    overhead, profit, markup = (r.size for r in (rates().overhead, rates().profit, rates().subcontract_markup))
    assert given > 0
    assert found["overhead"] == [pytest.approx(own * overhead)]
    assert found["profit"] == [pytest.approx(own * (1 + overhead) * profit)]
    assert found["markup"] == [pytest.approx(given * markup)]


def test_an_allowance_rate_holds_the_wage_where_it_applies():
    """Base repair at its likely rate; where prevailing wage applies, dearer by the labour in it."""
    pad, facts = standard_pad(), standard_facts(300.0)
    work = option_work(pad, standard_reading(pad, 300.0), facts, "o", ("pulverise-and-pave", "resurface"))
    (plain,), (waged,) = (price_option(work, rates(), facts, prevailing_wage=w).allowances for w in (False, True))
    line = rates().lines[plain.item]
    assert float(plain.rate) == pytest.approx(line.likely, abs=0.005)
    assert float(waged.rate) == pytest.approx(
        line.likely * (1 + rates().wage_premium.likely * line.labour_share), abs=0.005
    )
    assert waged.rate > plain.rate


def test_one_visit_is_no_second_one():
    """A resurfacing comes once, and nothing is said of another trip."""
    price = price_option(_work(("resurface",)), rates(), standard_facts())
    assert [note for note in price.notes if note.id == "cost.second-visit"] == []
