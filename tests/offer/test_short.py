"""The short paper of one court: two pages where its content allows, and a signature that never stands alone."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace

import pypdf
import pytest

from courtwright.offer import OfferRequest, OfferTexts
from courtwright.offer.document import offer_pdf
from courtwright.offer.paper import Paper
from courtwright.trade.words import Language
from tests.offer.papers import MAKERS, pages_of
from tests.offer.sites import short_of

OCTOBER = dt.date(2026, 10, 20)


def _pages(request: OfferRequest) -> list[str]:
    pdf = pypdf.PdfReader(io.BytesIO(offer_pdf(Paper.of(request))))
    return [" ".join(page.extract_text().split()) for page in pdf.pages]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    ("court", "option"), [("worn", "resurface"), ("cracked", "repair"), ("cracked", "hold"), ("nothing", "hold")]
)
def test_one_court_with_new_color_ends_on_its_second_page(court: str, option: str, language: Language):
    """Offered in October, so that the season is told too; the first page holds the price and what is left."""
    pages = _pages(short_of(court, option, walked=OCTOBER, language=language))
    assert len(pages) == 2
    first, heads = pages[0], (("Lo que no arregla", "Los precios valen"), ("What it does not mend", "The prices hold"))
    assert all(head in first for head in heads[language == "en"])
    assert "$" in first


def test_an_agreed_start_adds_its_dates_and_no_page():
    """The table of days gets a column."""
    pages = _pages(short_of("worn", "resurface", start=dt.date(2026, 6, 8)))
    assert len(pages) == 2
    assert "June 8" in pages[0]


@pytest.mark.parametrize("lines", [0, 4, 8, 12, 16, 20, 24, 28, 32, 36])
def test_a_signature_never_stands_alone(lines: int):
    """However much comes before it, its page holds the cautions or the closing, and what is accepted at what price."""
    texts = OfferTexts(note="\n".join(f"Line {number}." for number in range(lines)))
    last = _pages(replace(short_of("worn", "resurface"), texts=texts))[-1]
    price = Paper.of(short_of("worn", "resurface")).pads[0].offered[0].price.firm_price
    assert f"${price:,}" in last
    assert last.index("Cautions") < last.index("Acceptance") < last.index("Signature")


@pytest.mark.parametrize("name", MAKERS)
def test_on_every_paper_the_signature_has_company(name: str):
    """The sentence that is signed and the cautions before it are on its page, in both languages."""
    signed = [page for page in pages_of(name) if "Signature ___" in page or "Firma ___" in page]
    for page in signed:
        caution, accepted = ("Advertencias", "Aceptación") if "Firma ___" in page else ("Cautions", "Acceptance")
        assert page.index(caution) < page.index(accepted)


def test_coats_that_are_laid_alike_stand_in_one_row():
    """Two filler coats and two color coats, each with the days of both."""
    said = _pages(short_of("worn", "resurface"))[0]
    assert "filler coat, 2 times 3 0.8 1 day each time" in said
    assert "color coat, 2 times 3 0.8 1 day each time" in said
