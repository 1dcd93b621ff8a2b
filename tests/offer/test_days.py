"""Days of several pads, how long an offer holds, and what its answer says of each option."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace

import pytest

from courtwright.measured import Measured
from courtwright.offer.answer import offer_json
from courtwright.offer.days import in_sequence
from courtwright.offer.offered import expires_on, pad_offers
from courtwright.offer.paper import Paper
from courtwright.quantities.records import OptionWork, Step
from tests.offer import specimens

MONDAY = dt.date(2026, 5, 11)


def _work(pad: str, *days: float) -> OptionWork:
    steps = tuple(Step(f"s{i}", "resurface", 3, Measured(d), 0.0, 1) for i, d in enumerate(days))
    return OptionWork(pad, "o", (), (), steps, 1)


def test_one_crew_begins_the_next_pad_on_the_next_working_day():
    """Four and a half days from Monday end on Friday; the next pad begins on the Monday after, not that afternoon."""
    dated = list(in_sequence(iter([_work("a", 4.5), _work("b"), _work("c", 1.0)]), MONDAY))
    assert [[(s.first.day, s.last.day) for s in steps] for _, steps in dated] == [[(11, 15)], [], [(18, 18)]]


def test_an_offer_holds_as_long_as_its_shortest_price():
    """Every price offered has to hold; the day counts from the offer's own."""
    request = specimens.two_pads()
    days = sorted(price.expires_in_days for price in request.prices.values())
    prices = {key: replace(price, expires_in_days=90) for key, price in request.prices.items()}
    (first, *_) = (offered for offer in pad_offers(request) for offered in offer.offered)
    key = next(k for k, price in request.prices.items() if price is first.price)
    prices[key] = replace(prices[key], expires_in_days=12)
    shorter = replace(request, prices=prices)
    assert expires_on(shorter, pad_offers(shorter)) == request.issued_on + dt.timedelta(days=12)
    assert days[0] > 12


@pytest.fixture(scope="module")
def paper() -> Paper:
    return Paper.of(specimens.two_pads())


def test_an_option_lasts_from_its_p10_to_its_p90(paper: Paper):
    """In whole years, as told to the customer; conditions stand only where something has to be measured."""
    told = json.loads(offer_json(paper, ["offer.json"]))
    for pad, offer in zip(told["pads"], paper.pads, strict=True):
        assert pad["area_m2"] == round(offer.reading.area, 2)
        assert len(pad["options"]) == len(offer.offered) > 0
        for option, offered in zip(pad["options"], offer.offered, strict=True):
            life = offered.price.life_years
            assert option["lasts_years"] == {"from": round(life.p10), "to": round(life.p90)}
            assert life.p10 < life.p50
            assert bool(option["stands_if"]) is not offered.is_sure
