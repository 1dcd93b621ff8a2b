"""The contractor's own figures over the book: what they replace, what moves with them, what they leave alone."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import QuantityError
from courtwright.trade.house_rates import HouseRate, HouseRates, amount_of, house_book, in_unit, usual_rates
from courtwright.trade.load import rates, written_rates
from courtwright.trade.rate_records import RateBook, RateLine

DAY = "2026-05-04"
IDS = st.sampled_from(list(usual_rates()))
VALUES = st.floats(0.0, 1e6)


def own(id: str, value: float, unit: str = "") -> HouseRates:
    """Return one own figure, in the rate's unit unless told."""
    return HouseRates({id: HouseRate(value, unit or usual_rates()[id].unit, DAY)})


def figures(book: RateBook) -> dict[str, object]:
    """Return every figure of a book that may be replaced, by id."""
    tables = ("lines", "mobilisation", "minimum", "costs")
    found = {f"{table}.{key}": line for table in tables for key, line in getattr(book, table).items()}
    return found | {id: getattr(book, id) for id in usual_rates() if "." not in id}


# --- laws ---------------------------------------------------------------------------------------


def test_nothing_over_the_book_is_the_book():
    """Figure by figure, to the last digit; and no own figure costs no reading."""
    assert HouseRates().over(written_rates()) == written_rates()
    assert house_book() is rates()


@given(IDS)
def test_the_usual_value_as_an_own_one_changes_no_figure(id: str):
    """Only its source and its day are others."""
    book = house_book(own(id, usual_rates()[id].value))
    now, before = figures(book)[id], figures(rates())[id]
    changes = {"source": "", **({"dated": ""} if isinstance(now, RateLine) else {})}
    assert dataclasses.replace(now, **changes) == dataclasses.replace(before, **changes)


@given(IDS, VALUES)
def test_an_own_figure_stands_in_its_place_and_nowhere_else(id: str, value: float):
    """In the units of the trade it is what was given; every other figure is the book's."""
    over = own(id, value).over(written_rates())
    now, before = figures(over), figures(written_rates())
    figure = now.pop(id)
    del before[id]
    assert now == before
    assert next(getattr(figure, name) for name in ("likely", "cost", "size") if hasattr(figure, name)) == value
    assert figure.source == f"house rates, {DAY}"


@given(st.sampled_from([id for id, rate in usual_rates().items() if rate.table in ("lines", "mobilisation")]), VALUES)
def test_low_and_high_move_with_the_likely_figure(id: str, value: float):
    """Their order holds whatever is given, and so does their proportion; what is included stays."""
    now, before = figures(house_book(own(id, value)))[id], figures(rates())[id]
    assert isinstance(now, RateLine)
    assert isinstance(before, RateLine)
    assert 0 <= now.low <= now.likely <= now.high
    assert now.low * before.likely == pytest.approx(before.low * now.likely, rel=1e-12)
    assert now.high * before.likely == pytest.approx(before.high * now.likely, rel=1e-12)
    for customer, likely in before.likely_for.items():
        assert now.likely_for[customer] * before.likely == pytest.approx(likely * now.likely, rel=1e-12)
    assert (now.includes, now.labour_share, now.per) == (before.includes, before.labour_share, before.per)


def test_a_figure_for_a_metre_is_one_for_a_foot():
    """100 a metre is 30.48 a foot of 0.3048 m; 1.1 a square metre is 1.1 × 0.09290304 a square foot; a court is
    7,200 sf. Percent, days and pieces are turned into nothing else.
    """
    assert in_unit(100.0, "m", "lf") == pytest.approx(30.48)
    assert in_unit(1.1, "m²".replace("²", "2"), "sf") == pytest.approx(1.1 * 0.09290304)
    assert in_unit(1.0, "sf", "court") == pytest.approx(7200)
    assert in_unit(1.0, "pie lineal", "lf") == pytest.approx(1.0)
    assert in_unit(1.0, "tonelada", "ton") == pytest.approx(0.90718474)
    assert in_unit(1.0, "l", "gal") == pytest.approx(3.785411784)
    pairs = (("lf", "sf"), ("each", "job"), ("day", "each"), ("pct", "sf"), ("sf/court", "pct"), ("furlongs x", "lf"))
    assert [in_unit(1.0, unit, of) for unit, of in (*pairs, ("1000 m", "lf"), ("", "lf"))] == [None] * 8


@given(IDS)
def test_a_figure_that_fits_nowhere_changes_nothing(id: str):
    """An id of another release, or a unit that measures something else: the book stays as it is."""
    assert HouseRates({f"{id}-of-old": HouseRate(1.0, "lf", DAY)}).over(written_rates()) == written_rates()
    assert own(id, 1.0, "furlong of nothing").over(written_rates()) == written_rates()


def test_what_is_not_the_contractors_is_not_in_the_list():
    """Statistics, law and terms stay the book's."""
    parts = {id.partition(".")[0] for id in usual_rates()}
    single = {"crew_day", "kit_day", "overhead", "profit", "subcontract_markup"}
    assert parts == {"lines", "costs", "mobilisation", "minimum", *single}


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "about 20", "-3", "nan", "1e999", "1.2.3"])
def test_what_is_no_amount_is_refused(text: str):
    """Words, less than nothing, more than any number."""
    with pytest.raises(QuantityError):
        amount_of(text)
