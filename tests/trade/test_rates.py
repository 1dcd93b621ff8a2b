"""House rates and scopes: every item has a figure in its own unit, every figure a source and words."""

import dataclasses
import math

import pytest

from courtwright.errors import TradeDataError
from courtwright.trade import load, tables
from courtwright.trade.per import COURT_AREA, SIZES
from courtwright.trade.rate_records import RateLine
from courtwright.trade.words import texts

ITEMS = [(remedy, item) for remedy, scope in load.scopes().items() for item in scope.items]
#: Told for the crew and the permit; what they cost is in another item.
_NOT_SOLD = {"pulverised-volume", "concrete-volume"}


# --- units --------------------------------------------------------------------------------------


@pytest.mark.reference("nist-sp-811")
@pytest.mark.parametrize(
    ("unit", "size"),
    [("sf", 0.09290304), ("sy", 0.83612736), ("cy", 0.764554857984), ("gal", 3.785411784), ("ton", 0.90718474)],
)
def test_trade_units_are_exact(unit: str, size: float):
    """A foot is 0.3048 m, a pound 0.45359237 kg, a gallon 231 cubic inches."""
    assert SIZES[unit][1] == pytest.approx(size, rel=1e-12)


def test_a_court_is_7200_square_feet():
    """60 by 120 ft, 668.901888 m²."""
    assert pytest.approx(668.901888, rel=1e-12) == COURT_AREA


def test_a_figure_is_turned_into_si_once():
    """25 a foot is 25 / 0.3048 a metre; 250 a day of a crew stays what it is."""
    line = load.rates().lines["membrane-strip"]
    assert (line.per, line.likely) == ("m", pytest.approx(25 / 0.3048))
    assert load.rates().kit_day.size == 250


# --- whole --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("remedy", "item"), ITEMS, ids=lambda x: getattr(x, "id", x))
def test_every_item_has_a_figure_in_its_unit(remedy: str, item):
    """Sold, or bought, or both, by the unit in which it is measured; and words for it."""
    figures = [book[item.id] for book in (load.rates().lines, load.rates().costs) if item.id in book]
    assert figures or item.id in _NOT_SOLD, remedy
    assert all(figure.per == item.unit for figure in figures)
    assert f"quantities.item-{item.id}" in texts()


def test_every_step_and_allowance_has_its_item_and_words():
    """A step is measured on an item of its own remedy; contingent work has a sale rate."""
    for scope in load.scopes().values():
        items = {item.id: item.unit for item in scope.items}
        assert all(step.item in items and step.per in (items[step.item], "day") for step in scope.steps)
        assert all(f"quantities.step-{step.id}" in texts() for step in scope.steps)
        assert all(load.rates().lines[a.item].per == a.unit for a in scope.allowances)


def test_a_figure_says_what_it_includes():
    """Every sale rate has at least one entry, each with words."""
    for name, line in load.rates().lines.items():
        assert line.includes, name
        assert all(f"cost.includes-{i}" in texts() for i in line.includes)


def test_the_book_is_dated_illustrative_and_of_a_region():
    """It says what it is, in both languages, and when a quote of it ends."""
    book = load.rates()
    assert book.illustrative
    assert (book.dated, book.currency) == ("2026-03-01", "USD")
    assert book.region.en
    assert book.region.es
    assert book.quotes[0].valid_days <= book.valid_days


def test_facts_that_widen_a_price_exist():
    """Every fact a scope names is one that can be asked."""
    for scope in load.scopes().values():
        assert set(scope.unknown_widens) <= set(load.facts())
        assert {s.fact for s in scope.shortened} <= set(load.facts())
        assert {a.fact for a in scope.allowances} - {""} <= set(load.facts())


def test_every_remedy_has_a_scope():
    """The remedies of the trade and the work of each are the same list, and the option that defers has its own."""
    there = {file.name.removesuffix(".toml") for file in tables.folder("remedies")}
    assert set(load.scopes()) == there | {"hold"}


def _waits(item: str) -> list[float]:
    """Return the cures after the steps that lay an item. [day]"""
    return [step.wait_days for s in load.scopes().values() for step in s.steps if step.item == item and step.wait_days]


@pytest.mark.parametrize(("id", "spec"), load.materials().items(), ids=lambda x: x if isinstance(x, str) else "")
def test_no_step_waits_less_than_its_material_asks(id: str, spec):
    """A cure lies within the material's own limits, and a coat follows another no sooner than it may."""
    items = {item.id for _, item in ITEMS}
    assert set(spec.items) <= items, id
    waits = [wait for item in spec.items for wait in _waits(item)]
    if "cure_least" in spec.limits:
        assert all(wait >= spec.limits["cure_least"].size for wait in waits)
    if "cure_most" in spec.limits:
        assert all(wait <= spec.limits["cure_most"].size for wait in waits)
    if "between_coats" in spec.limits:
        assert min(waits) * 24 >= spec.limits["between_coats"].size


def test_lifts_of_the_scopes_are_lifts_that_the_mix_allows():
    """An overlay of 1-1/2 in is one lift, a pavement of 3 in two."""
    least, most = (load.materials()["hot-mix"].limits[name].size for name in ("lift_least", "lift_most"))
    overlay = load.scopes()["mill-and-overlay"].values["thickness"].size
    pavement = load.scopes()["pulverise-and-pave"].values["paving_thickness"].size
    assert least <= overlay + 1e-3 <= most
    assert least <= pavement / 2 + 1e-3 <= most


# --- refusals -----------------------------------------------------------------------------------


def _line(**changes: object) -> RateLine:
    return dataclasses.replace(RateLine("lf", 1.0, 2.0, 3.0, "from memory"), **changes)


@pytest.mark.parametrize(
    "changes", [{"likely": 4.0}, {"low": -1.0}, {"per": "furlong"}, {"source": "a friend"}, {"low": math.nan}]
)
def test_a_figure_out_of_order_unit_or_source_is_refused(changes: dict[str, object]):
    """Low, likely, high in order, none negative; a known unit; a listed source."""
    with pytest.raises(TradeDataError):
        load._rate_in_si(_line(**changes), "rates/x.toml")


def test_a_book_nobody_wrote_is_refused_with_those_there_are():
    """The complaint names the books."""
    with pytest.raises(TradeDataError) as refused:
        load.rates("atlantis")
    assert "us-illustrative" in str(refused.value.problem.values["known"])
