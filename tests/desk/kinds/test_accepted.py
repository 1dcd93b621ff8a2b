"""The sheet of an accepted offer from a worker."""

from __future__ import annotations

import io
import json

import pypdf
import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.accepted import run
from courtwright.desk.workers import WorkerPool
from courtwright.errors import CallError
from tests.desk.kinds.demo import untold
from tests.offer.papers import files_of
from tests.offer.specimens import logo

RECORD = {
    "says": json.loads(files_of("two-pads")["offer.json"]),
    "number": 1,
    "revision": 1,
    "units": "us",
    "name": "Rosa Quintero",
    "options": {},
    "consent": "I order it.",
    "at": "2026-05-06T14:03:00+00:00",
    "signed_on": None,
    "seal": "7K3M-9ZQ0-AB1C-WXYZ",
    "seal_seq": 1,
    "offer_pdf_sha256": "a" * 64,
}


def test_a_worker_sets_the_sheet():
    """In another process as in this one, byte for byte."""
    payload = parcel.pack({"accepted.json": json.dumps(RECORD).encode(), "logo.png": logo()})
    with WorkerPool(1, 60.0) as pool:
        made = pool.run("accepted", payload)
    assert made == run(payload, untold)
    (page,) = pypdf.PdfReader(io.BytesIO(made)).pages
    assert "7K3M-9ZQ0-AB1C-WXYZ" in page.extract_text()
    assert page.images


def test_what_an_earlier_release_asked_for_is_still_made():
    """The record alone, without a parcel and without a logo."""
    record = json.dumps(RECORD).encode()
    assert run(record, untold) == run(parcel.pack({"accepted.json": record}), untold)


@pytest.mark.parametrize(
    "payload",
    [
        b"",
        b"[]",
        b"{",
        parcel.pack({"logo.png": b""}),
        json.dumps({**RECORD, "odd": 1}).encode(),
        json.dumps({**RECORD, "at": "noon"}).encode(),
    ],
)
def test_what_is_no_record_is_refused(payload: bytes):
    """In words, and not as a fault."""
    with pytest.raises(CallError):
        run(payload, untold)
