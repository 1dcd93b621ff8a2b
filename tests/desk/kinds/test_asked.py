"""What is asked at the desk is what the worker reads; anything else is refused by its name."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import ASK, AnswerAsked, OfferAsked, StakesAsked, asked, payload
from courtwright.errors import CallError, InputError
from tests.desk.kinds.demo import BARE, zipped

#: An own rate but for its value.
RATE = {"unit": "pct", "date": "2026-05-04", "note": ""}
OFFER = OfferAsked(
    "2026-05-01",
    start="2026-06-22",
    budget=True,
    language="es",
    seed=7,
    contractor={"name": "Ada Court Works"},
    reasons={"a": {"hold": "asked for"}},
    prices={"a": {"repair": {"firm_price": 900, "because": "a neighbour"}}},
    texts={"greeting": "Good day", "options": {"a": {"repair": "x"}}},
    terms={"payment": {"en": "Half first."}},
    house={"profit": {"value": 13.5, **RATE}},
)


STAKES = StakesAsked("a", 0.005, 0.02, 0.04, 0.0125, "coarse", "least", [[1, 2.5], [3.0, 4.0, 30.1]], "es", "metric")


@pytest.mark.parametrize(
    "ask", [AnswerAsked("check"), AnswerAsked("price", "es", "metric", 7, "walk.zip"), OFFER, STAKES, StakesAsked("a")]
)
@pytest.mark.parametrize("site", [BARE, zipped(BARE)], ids=["files", "zip"])
def test_a_question_is_read_as_it_was_asked(ask: AnswerAsked | OfferAsked | StakesAsked, site: Any):
    """With its site, as files or as a zip."""
    assert asked(type(ask), payload(ask, site)) == (ask, site)


@pytest.mark.parametrize(
    ("kind", "ask", "names"),
    [
        (AnswerAsked, {}, "what"),
        (AnswerAsked, {"what": "all"}, "what"),
        (StakesAsked, {}, "pad"),
        (StakesAsked, {"pad": "a", "slope_min": True}, "slope_min"),
        (StakesAsked, {"pad": "a", "least": math.inf}, "least"),
        (StakesAsked, {"pad": "a", "layout": "two"}, "layout"),
        (StakesAsked, {"pad": "a", "points": None}, "points"),
        (StakesAsked, {"pad": "a", "points": [[1.0]]}, "points"),
        (StakesAsked, {"pad": "a", "points": [[1.0, "2"]]}, "points"),
        (AnswerAsked, {"what": ["check"]}, "what"),
        (AnswerAsked, {"what": "check", "language": "fr"}, "language"),
        (AnswerAsked, {"what": "check", "units": "si"}, "units"),
        (AnswerAsked, {"what": "check", "seed": "1"}, "seed"),
        (AnswerAsked, {"what": "check", "seed": True}, "seed"),
        (AnswerAsked, {"what": "check", "colour": "red"}, "colour"),
        (OfferAsked, {}, "issued_on"),
        (OfferAsked, {"issued_on": "soon"}, "issued_on"),
        (OfferAsked, {"issued_on": None}, "issued_on"),
        (OfferAsked, {"issued_on": "2026-05-01", "start": "later"}, "start"),
        (OfferAsked, {"issued_on": "2026-05-01", "budget": 1}, "budget"),
        (OfferAsked, {"issued_on": "2026-05-01", "contractor": "Ada"}, "contractor"),
        (OfferAsked, {"issued_on": "2026-05-01", "contractor": {}}, "contractor"),
        (OfferAsked, {"issued_on": "2026-05-01", "contractor": {"name": "Ada", "margin": "9"}}, "contractor"),
        (OfferAsked, {"issued_on": "2026-05-01", "contractor": {"name": 3}}, "contractor"),
        (OfferAsked, {"issued_on": "2026-05-01", "reasons": {"a": "b"}}, "reasons"),
        (OfferAsked, {"issued_on": "2026-05-01", "texts": {"greeting": 3}}, "texts"),
        (OfferAsked, {"issued_on": "2026-05-01", "texts": {"options": {"a": "b"}}}, "texts"),
        (OfferAsked, {"issued_on": "2026-05-01", "terms": {"payment": "half"}}, "terms"),
        (OfferAsked, {"issued_on": "2026-05-01", "terms": {"payment": {"en": 3}}}, "terms"),
        (OfferAsked, {"issued_on": "2026-05-01", "terms": {"payment": {"fr": "la moitié"}}}, "terms"),
        (OfferAsked, {"issued_on": "2026-05-01", "prices": {"a": {"b": 3}}}, "prices"),
        (OfferAsked, {"issued_on": "2026-05-01", "prices": {"a": {"b": {"firm_price": 0, "because": ""}}}}, "prices"),
        (
            OfferAsked,
            {"issued_on": "2026-05-01", "prices": {"a": {"b": {"firm_price": True, "because": ""}}}},
            "prices",
        ),
        (AnswerAsked, {"what": "price", "house": {"profit": {"value": -1, **RATE}}}, "house"),
        (AnswerAsked, {"what": "price", "house": {"profit": {"value": math.inf, **RATE}}}, "house"),
        (AnswerAsked, {"what": "price", "house": {"profit": {"value": True, **RATE}}}, "house"),
        (AnswerAsked, {"what": "price", "house": {"profit": {"value": 3, **RATE, "date": "soon"}}}, "house"),
        (OfferAsked, {"issued_on": "2026-05-01", "house": {"profit": RATE}}, "house"),
        (OfferAsked, {"issued_on": "2026-05-01", "house": {"profit": {"value": 3, **RATE, "x": ""}}}, "house"),
    ],
)
def test_a_question_of_another_form_is_refused(kind: Any, ask: dict[str, Any], names: str):
    """Missing, unknown, of another kind, of no allowed value."""
    with pytest.raises(CallError) as refused:
        asked(kind, parcel.pack({ASK: json.dumps(ask).encode()}))
    assert refused.value.problem.values["name"] == names


@pytest.mark.parametrize("text", [b"", b"[]", b"\xff", b"3"])
def test_what_is_no_question_is_refused(text: bytes):
    """No JSON, or not an object."""
    with pytest.raises(CallError):
        asked(AnswerAsked, parcel.pack({ASK: text}))
    with pytest.raises(InputError):
        asked(AnswerAsked, text)


def test_every_field_of_a_question_is_checked():
    """A field that is added is not passed on unseen."""
    for ask in (AnswerAsked("check"), OFFER):
        for name in dataclasses.asdict(ask):
            wrong = {**dataclasses.asdict(ask), name: {"odd": object.__name__}}
            with pytest.raises(CallError):
                asked(type(ask), parcel.pack({ASK: json.dumps(wrong).encode()}))
