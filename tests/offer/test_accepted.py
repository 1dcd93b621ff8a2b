"""The sheet of an accepted offer: what was sealed, and nothing that was computed since."""

from __future__ import annotations

import datetime as dt
import io
import json
from dataclasses import replace

import pypdf
import pytest

from courtwright.offer import Accepted, accepted_pdf
from tests.offer.papers import files_of
from tests.offer.specimens import logo

AT = dt.datetime(2026, 5, 6, 14, 3, tzinfo=dt.UTC)


def accepted(of: str, **values: object) -> Accepted:
    says = json.loads(files_of(of)["offer.json"])
    options = {pad["id"]: pad["options"][-1]["id"] for pad in says["pads"]}
    made = Accepted(
        says, 3, 2, "us", "Rosa Quintero", options, "I order it.", AT, None, "7K3M-9ZQ0-AB1C-WXYZ", 12, "a" * 64
    )
    return replace(made, **values)


def text_of(sheet: Accepted) -> str:
    pdf = pypdf.PdfReader(io.BytesIO(accepted_pdf(sheet)))
    assert len(pdf.pages) == 1
    return " ".join(pdf.pages[0].extract_text().split())


def test_the_sheet_says_who_ordered_what_at_which_price_and_under_which_seal():
    """Each chosen option with its price as in offer.json, their sum, the name, the moment, the sentence, the code."""
    sheet = accepted("two-pads")
    said = text_of(sheet)
    chosen = [pad["options"][-1] for pad in sheet.says["pads"]]
    for option in chosen:
        assert f"{option['letter']}: {option['title']}" in said
        assert f"${option['firm_price']:,.0f}" in said
    assert f"Together ${sum(option['firm_price'] for option in chosen):,.0f}" in said
    assert "Offer 3, revision 2," in said
    assert "Rosa Quintero agreed through the link to the offer on May 6, 2026 at 14:03 UTC: I order it." in said
    assert "7K3M-9ZQ0-AB1C-WXYZ" in said
    assert "a" * 64 in said


def test_what_an_option_stands_on_is_said_again():
    """An option that stands only if something is found true says so on the sheet too."""
    sheet = accepted("two-pads")
    says = json.loads(json.dumps(sheet.says))
    says["pads"][0]["options"][-1]["stands_if"] = ["the base is firm", "no rock is met"]
    assert "stands only if: the base is firm; no rock is met." in text_of(replace(sheet, says=says))
    says["pads"][0]["options"][-1]["stands_if"] = []
    assert all(not pad["options"][-1]["stands_if"] for pad in says["pads"][1:]) == (
        "stands only if" not in text_of(replace(sheet, says=says))
    )


def test_a_signature_on_paper_is_said_with_its_own_date():
    """The date beside the signature, whenever it was recorded."""
    said = text_of(accepted("two-pads", signed_on=dt.date(2026, 5, 5)))
    assert "Rosa Quintero signed the offer on May 5, 2026: I order it." in said
    assert "UTC" not in said


def test_a_pad_that_was_not_chosen_is_named():
    """Only what was chosen is ordered, without a sum of one."""
    sheet = accepted("two-pads")
    first, second = (pad["id"] for pad in sheet.says["pads"])
    said = text_of(replace(sheet, options={first: sheet.options[first]}))
    assert f"Not ordered: {second}." in said
    assert "Together" not in said


@pytest.mark.parametrize(
    ("name", "units", "size"), [("two-pads", "us", (612, 792)), ("two-pads-es-metric", "metric", (595, 842))]
)
def test_the_sheet_is_tagged_in_its_language_on_its_paper(name: str, units: str, size: tuple[int, int]):
    """PDF/UA-1 like the offer, the same bytes each time, every word in the offer's language."""
    sheet = accepted(name, units=units)
    made = accepted_pdf(sheet)
    assert made == accepted_pdf(sheet)
    pdf = pypdf.PdfReader(io.BytesIO(made))
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert str(pdf.trailer["/Root"]["/Lang"])[:2] == sheet.language
    assert (round(pdf.pages[0].mediabox.width), round(pdf.pages[0].mediabox.height)) == size
    said = text_of(sheet)
    assert ("Oferta aceptada" in said) == (sheet.language == "es")
    assert ("Accepted offer" in said) == (sheet.language == "en")


def test_whatever_is_typed_can_be_set():
    """Names and ids that mean something to a typesetter stand as they are."""
    said = text_of(accepted("two-pads", name="#Ana *Ruiz* $x$ \\ @b <c> `d`"))
    assert "#Ana *Ruiz* $x$ \\ @b <c> `d`" in said


def test_the_sheet_has_the_logo_of_its_offer():
    """One picture with words for it where the offer had one; none where it had none; the same bytes each time."""
    sheet = accepted("own")
    shown, bare = accepted_pdf(sheet, logo()), accepted_pdf(sheet)
    assert shown == accepted_pdf(sheet, logo())
    pictures = [len(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].images) for pdf in (shown, bare)]
    assert pictures[1] == 0 < pictures[0]
