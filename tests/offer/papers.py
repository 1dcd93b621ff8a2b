"""Reads back what an offer wrote, once for all tests."""

from __future__ import annotations

import functools
import io

import openpyxl
import pypdf

from courtwright.offer import OfferRequest, offer_files
from tests.offer import specimens

MAKERS = {
    "two-pads": specimens.two_pads,
    "two-pads-es-metric": lambda: specimens.two_pads(language="es", units="metric"),
    "with-start": lambda: specimens.two_pads(start=specimens.START),
    "typed": specimens.typed,
    "typed-small": specimens.typed_small,
    "own": specimens.own_papers,
    "own-es-small": lambda: specimens.one_small_job(language="es", logo=specimens.logo((120, 400))),
    "budget": lambda: specimens.two_pads(budget=True),
    "budget-es": lambda: specimens.two_pads(budget=True, language="es", units="metric"),
    "small": specimens.one_small_job,
    "nothing-known": specimens.nothing_known,
    "hostile": specimens.hostile,
}


@functools.cache
def request_of(name: str) -> OfferRequest:
    return MAKERS[name]()


@functools.cache
def files_of(name: str) -> dict[str, bytes]:
    return offer_files(request_of(name))


@functools.cache
def pdf_of(name: str) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(files_of(name)["offer.pdf"]))


@functools.cache
def pages_of(name: str) -> tuple[str, ...]:
    return tuple(" ".join(page.extract_text().split()) for page in pdf_of(name).pages)


def cells_of(name: str) -> list[object]:
    book = openpyxl.load_workbook(io.BytesIO(files_of(name)["quantities.xlsx"]))
    return [cell.value for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
