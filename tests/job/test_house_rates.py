"""Own rates in an estimate: they move what they are of, and nothing else."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Mapping

import pytest

from courtwright.cost.records import OptionPrice
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import estimate_document, price_document
from courtwright.job.estimate import Estimate, estimate
from courtwright.quantities.records import OptionWork
from courtwright.site.folder import read_site
from courtwright.site.record import SiteRecord
from courtwright.trade.house_rates import HouseRate, HouseRates, usual_rates
from tests.places import DEMO_SITE

DAY = "2026-05-04"


@functools.cache
def _record() -> SiteRecord:
    record = read_site(DEMO_SITE)
    return dataclasses.replace(record, job=dataclasses.replace(record.job, prevailing_wage=False))


@functools.cache
def made(*own: tuple[str, float]) -> Estimate:
    """Return the estimate of the demo site with own rates."""
    house = {id: HouseRate(value, usual_rates()[id].unit, DAY) for id, value in own}
    return estimate(_record(), house=HouseRates(house))


def pairs(of: Estimate) -> Mapping[tuple[str, str], tuple[OptionWork, OptionPrice]]:
    """Return work and price by pad and option."""
    return {(work.pad, work.option): (work, price) for priced in of.priced.values() for work, price in priced}


def _has(work: OptionWork, item: str) -> bool:
    return any(q.item == item and q.amount.value > 0 for q in work.quantities)


def test_without_own_rates_the_answer_is_what_it_was():
    """To the byte, and so it is when every own rate is the usual one, but for what comes from memory."""
    reader = Reader()
    plain = document_text(price_document(_record(), reader)[0])
    assert document_text(price_document(_record(), reader, house=HouseRates())[0]) == plain
    usual = estimate_document(made(*((id, rate.value) for id, rate in usual_rates().items())), reader)
    before = estimate_document(made(), reader)
    assert {**usual, "from_memory": [], "pads": _but_notes(usual)} == {
        **before,
        "from_memory": [],
        "pads": _but_notes(before),
    }
    assert not any(name.startswith("rates.") for name in usual["from_memory"])
    assert any(name.startswith("rates.") for name in before["from_memory"])


def _but_notes(answer: Mapping[str, object]) -> object:
    """Return the pads without the notes: one of them names the day of the asphalt's price."""
    pads = answer["pads"]
    assert isinstance(pads, list)
    return [{**pad, "options": [{**one, "notes": []} for one in pad["options"]]} for pad in pads]


def test_a_sale_price_moves_the_options_that_have_its_item_alone():
    """By its amount at likely rates: the difference of the unit-rate price is the amount times that of the rate."""
    item, size = "resurfacing", 7200 * 0.3048**2
    before, after = pairs(made()), pairs(made((f"lines.{item}", 14_500.0)))
    moved = {key for key in before if after[key][1].unit_rate_price != before[key][1].unit_rate_price}
    assert moved == {key for key, (work, _) in before.items() if _has(work, item)}
    assert 0 < len(moved) < len(before)
    for key in moved:
        (work, price), (_, dearer) = before[key], after[key]
        assert dearer.firm_price > price.firm_price
        assert dearer.price.p10 > price.price.p10
        assert dearer.build_up_price == price.build_up_price
        amount = sum(q.amount.value for q in work.quantities if q.item == item)
        # A figure that falls with numbers falls as the usual one does; 7,250 a court more, less at most 5 %.
        most = amount / size * 7250.0
        assert 0.95 * most - 0.01 <= dearer.unit_rate_price - price.unit_rate_price <= most + 0.01


@pytest.mark.parametrize("own", [("crew_day", 500.0), ("overhead", 30.0), ("costs.acrylic", 20.0)])
def test_what_the_contractor_pays_moves_the_build_up_and_not_the_price(own: tuple[str, float]):
    """The two prices stay two: the customer's rests on the sale rates."""
    before, after = pairs(made()), pairs(made(own))
    assert any(after[key][1].build_up_price > before[key][1].build_up_price for key in before)
    assert all(after[key][1].firm_price == before[key][1].firm_price for key in before)
    assert all(after[key][1].price == before[key][1].price for key in before)


def test_the_asphalt_clause_counts_from_the_day_of_the_own_price():
    """The index is compared with that of the day from which the figure is."""
    key = next(key for key, (work, _) in pairs(made()).items() if _has(work, "overlay-asphalt"))

    def dated(of: Estimate) -> object:
        return next(n.values["dated"] for n in pairs(of)[key][1].notes if n.id == "cost.asphalt-clause")

    assert dated(made()) == "2026-03-01"
    assert dated(made(("lines.overlay-asphalt", 170.0))) == DAY
    assert dated(made(("lines.resurfacing", 7000.0))) == "2026-03-01"
