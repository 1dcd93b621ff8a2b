"""The stake-out workbook as it is read and printed: words, widths, figures, paper."""

from __future__ import annotations

import datetime as dt
import io
import re
from dataclasses import replace

import openpyxl
import pytest

from courtwright.ground.regrade.plane import Plane
from courtwright.offer.lettering import text_width
from courtwright.offer.stakes import stakes_xlsx
from tests.offer import grounds

DAY = dt.date(2026, 5, 4)
READERS = [("en", "us"), ("es", "us"), ("en", "metric"), ("es", "metric")]


def sheet(language: str, units: str, pad_id: str = "made"):
    pad, reading = grounds.surveyed()
    new = replace(grounds.resurfaced(pad, reading, Plane(29.93, (0.004, -0.006))), id=pad_id)
    return openpyxl.load_workbook(io.BytesIO(stakes_xlsx([new], language, units, DAY))).active


@pytest.mark.parametrize(("language", "units"), READERS)
def test_every_head_names_its_unit_in_the_readers_words_and_fits_its_column(language: str, units: str):
    """A long word is no wider than its column; heads of figures stand over them, to the right."""
    found = sheet(language, units)
    heads = [cell.value for cell in found[4]]
    told = {"us": {"en": ("ft", "in"), "es": ("pies", "pulg")}, "metric": {"en": ("m", "mm"), "es": ("m", "mm")}}
    long, small = told[units][language]
    assert [re.search(r"\[(.+)\]", head)[1] for head in heads[1:]] == [long] * 4 + [small]
    for cell in found[4]:
        wide = found.column_dimensions[cell.column_letter].width
        longest = max(text_width(word, 1.0) for word in cell.value.split())
        assert longest < wide * text_width("0", 1.0), cell.value
    assert {cell.alignment.horizontal for cell in found[4][1:]} == {"right"}


@pytest.mark.parametrize(("language", "units"), READERS)
def test_the_note_fits_its_row(language: str, units: str):
    """As many lines as its words need over all columns, 15 points each."""
    found = sheet(language, units)
    wide = sum(found.column_dimensions[letter].width for letter in "ABCDEF") * text_width("0", 1.0)
    lines = text_width(found["A2"].value, 1.0) / wide * 1.1 + 0.5
    assert found.row_dimensions[2].height >= lines * 15
    assert found["A2"].alignment.wrap_text
    assert not found["A1"].alignment.wrap_text  # a title in a narrow column runs on over the next


def test_figures_have_no_false_digits():
    """Feet to the hundredth as a rod is read, inches to an eighth with their sign; metres and millimetres."""
    us, metric = sheet("en", "us"), sheet("en", "metric")
    assert [cell.number_format for cell in us[5][1:]] == ["0.00"] * 4 + ["+0 ?/8;-0 ?/8;0"]
    assert [cell.number_format for cell in metric[5][1:]] == ["0.000"] * 4 + ["+0;-0;0"]


@pytest.mark.parametrize(("units", "paper"), [("us", 1), ("metric", 9)])
def test_it_prints_upright_on_the_readers_paper_with_its_head_on_every_page(units: str, paper: int):
    """Letter or A4, as wide as a page, pages counted at the foot."""
    found = sheet("en", units)
    assert found.page_setup.paperSize == paper
    assert found.page_setup.orientation == "portrait"
    assert found.sheet_properties.pageSetUpPr.fitToPage
    assert (found.page_setup.fitToWidth or 1, found.page_setup.fitToHeight) == (1, 0)
    assert found.print_title_rows == "$4:$4"
    assert found.freeze_panes == "A5"
    assert found.oddFooter.left.text == "Stake-out of pad made"
    assert found.oddFooter.right.text == "&P/&N"


def test_a_pad_with_an_ampersand_does_not_turn_into_a_code():
    """In a foot an ampersand is written twice."""
    assert "A&&D" in sheet("en", "us", "A&D").oddFooter.left.text
