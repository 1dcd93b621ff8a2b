"""A customer is told one firm price per option, unit rates and an expiry, and nothing of how they were made."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from dataclasses import fields, replace
from decimal import Decimal

import pypdf
import pytest

from courtwright.cost.records import OptionPrice
from courtwright.offer import offer_files
from tests.offer.papers import MAKERS, cells_of, files_of, pages_of, request_of

#: Words of the estimator's own books, in both languages.
FORBIDDEN = re.compile(
    r"\b(costs?|costo|costos|coste|margins?|margen|markup|profits?|ganancia|utilidad|overhead|percentiles?|percentil|"
    r"p[1589]0|median|chance of|probabilidad|build.?up|unit.rate.price|per.court.year|drivers?)\b",
    re.IGNORECASE,
)
#: Fields of a price that a customer may see.
SHOWN = {"pad", "option", "firm_price", "includes", "allowances", "life_years", "expires_in_days", "schema_version"}


def texts(name: str) -> Iterator[str]:
    yield from pages_of(name)
    yield files_of(name)["offer.json"].decode()
    yield from (str(cell) for cell in cells_of(name))


@pytest.mark.parametrize("name", MAKERS)
def test_no_word_of_the_estimators_books_reaches_the_customer(name: str):
    """Neither in the pages, nor in the data and its keys, nor in the workbook."""
    found = [match[0] for text in texts(name) for match in FORBIDDEN.finditer(text)]
    assert found == []


@pytest.mark.parametrize("name", ["two-pads", "two-pads-es-metric", "with-start", "small"])
def test_no_hidden_number_reaches_the_customer(name: str):
    """A percentile, a build-up, a yearly price or a contingent quantity stands nowhere, however it is rounded."""
    said = " ".join(texts(name)).replace(",", "")
    for price in request_of(name).prices.values():
        hidden = [*vars_of(price.price), *vars_of(price.per_court_year), price.unit_rate_price, price.build_up_price]
        hidden += [line.amount for line in price.build_up]
        shown = {f"{price.firm_price:.0f}" for price in request_of(name).prices.values()}
        for amount in hidden:
            written = {f"{amount:.0f}", f"{amount:.2f}", str(amount)} - shown
            assert not [w for w in written if re.search(rf"(?<![\d.]){re.escape(w)}(?![\d])", said)], amount
        for allowance in price.allowances:
            for quantity in (allowance.p50, allowance.p80):
                if quantity != round(quantity):
                    assert f"{quantity:g}" not in said


def vars_of(record: object) -> list[float]:
    return [getattr(record, field.name) for field in fields(record)]  # type: ignore[arg-type]  # any dataclass


def test_a_price_has_no_field_that_these_tests_do_not_know():
    """A new field of a price is either meant for the customer or searched for above."""
    searched = {"price", "unit_rate_price", "build_up_price", "build_up", "per_court_year"}
    silent = {"drivers", "notes", "from_memory"}
    assert {field.name for field in fields(OptionPrice)} == SHOWN | searched | silent


@pytest.mark.parametrize("name", ["two-pads", "with-start", "small"])
def test_every_option_has_one_firm_price(name: str):
    """The data says it as a number, the pages in words, and both say the same."""
    answer = json.loads(files_of(name)["offer.json"])
    pages = " ".join(pages_of(name))
    for pad in answer["pads"]:
        for option in pad["options"]:
            price = request_of(name).prices[pad["id"], option["id"]]
            assert option["firm_price"] == float(price.firm_price)
            assert f"${price.firm_price:,.0f}" in pages


def test_unit_rates_are_told_per_the_readers_unit():
    """42.65 a metre is 13.00 a foot (42.65 times 0.3048 is 12.9997); the data keeps the metre."""
    assert any("$13" in page for page in pages_of("two-pads"))
    assert any("$42.65" in page for page in pages_of("two-pads-es-metric"))
    answer = json.loads(files_of("two-pads")["offer.json"])
    rates = [a for pad in answer["pads"] for o in pad["options"] for a in o["allowances"]]
    assert {a["unit"]: a["rate"] for a in rates} == {"m": 42.65, "m3": 98.1}


def test_the_offer_expires_with_its_first_price():
    """45 days after April 11, 2026 is May 26, 2026."""
    answer = json.loads(files_of("two-pads")["offer.json"])
    assert answer["expires_on"] == "2026-05-26"
    assert any("May 26, 2026" in page for page in pages_of("two-pads"))
    assert any("26 de mayo de 2026" in page for page in pages_of("two-pads-es-metric"))


# --- the budget letter ---------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "words"), [("budget", "not an offer"), ("budget-es", "no una oferta")])
def test_a_budget_letter_says_that_it_is_not_an_offer(name: str, words: str):
    """On its first page; it has nothing to sign, no expiry and no unit rates."""
    assert words in pages_of(name)[0]
    answer = json.loads(files_of(name)["offer.json"])
    assert answer["kind"] == "budget letter"
    assert answer["expires_on"] is None
    assert not re.search(r"Signature|Firma", " ".join(pages_of(name)))
    assert "firm_price" not in json.dumps(answer)
    assert "allowances" not in json.dumps(answer)


def test_a_budget_letter_gives_plain_ranges():
    """23,750 with a P10 of 19,293.19 and a P90 of 27,312.50, outward to two figures: 19,000 to 28,000."""
    answer = json.loads(files_of("budget")["offer.json"])
    (option,) = (o for pad in answer["pads"] for o in pad["options"] if o["id"] == "repair")
    assert option["range"] == {"from": 19000, "to": 28000}
    assert "$19,000 to $28,000" in pages_of("budget")[0]
    for price in request_of("budget").prices.values():
        assert f"${price.firm_price:,.0f}" not in " ".join(pages_of("budget"))


# --- options -------------------------------------------------------------------------------------


def test_the_advised_option_comes_first_and_an_undecided_one_says_what_it_hangs_on():
    """Options that stand come before those that stand only if something is found true."""
    answer = json.loads(files_of("two-pads")["offer.json"])
    lower = next(pad for pad in answer["pads"] if pad["id"] == "lower")
    assert lower["recommended"] == "repair"
    assert [o["id"] for o in lower["options"]] == ["repair", "resurface", "overlay"]
    assert [bool(o["stands_if"]) for o in lower["options"]] == [False, False, True]
    assert [o["id"] for o in lower["not_offered"]] == ["mat"]


def test_an_option_that_finds_nothing_to_do_is_not_offered_at_nought():
    """A price of $0 is no offer: the option is told of among the rest."""
    request = request_of("two-pads")
    nought = replace(request.prices["lower", "resurface"], firm_price=Decimal(0))
    request = replace(request, prices={**request.prices, ("lower", "resurface"): nought})
    files = offer_files(request)
    lower = next(pad for pad in json.loads(files["offer.json"])["pads"] if pad["id"] == "lower")
    assert "resurface" not in [option["id"] for option in lower["options"]]
    pdf = pypdf.PdfReader(io.BytesIO(files["offer.pdf"]))
    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "New color surface: nothing on this pad calls for it." in said
    assert not re.search(r"\$0(?![\d.])", said)


def test_an_option_that_is_not_offered_is_told_with_its_reason():
    """The reason is the rule's own sentence."""
    assert any("Repair and new color: joined cracks have cut over 10 %" in page for page in pages_of("two-pads"))
