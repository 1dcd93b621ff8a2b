"""Answers a question about a site.

In: what `asked.payload` makes of an `AnswerAsked` and a site. Out: the JSON document that the command of the same
name prints with ``--json``, in UTF-8, without the line's end. No command prints ``maps``:
its numbers are for machines.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from courtwright.desk.kinds import Told
from courtwright.desk.kinds.asked import AnswerAsked, asked
from courtwright.desk.kinds.handed import house_rates, site_files
from courtwright.job.answers.check import check_document
from courtwright.job.answers.documents import Document, document_text
from courtwright.job.answers.ground import ground_document
from courtwright.job.answers.maps import maps_document
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import price_document
from courtwright.job.answers.verdict import verdict_document
from courtwright.site.folder import read_files
from courtwright.site.record import SiteRecord

_DOCUMENTS: Mapping[str, Callable[[SiteRecord, Reader, AnswerAsked, Told], Document]] = {
    "check": lambda record, reader, _, told: check_document(record, reader, told)[0],
    "ground": lambda record, reader, ask, told: ground_document(record, reader, ask.seed, told)[0],
    "verdict": lambda record, reader, _, told: verdict_document(record, reader, told)[0],
    "maps": lambda record, reader, _, told: maps_document(record, reader, told),
    "price": lambda record, reader, ask, told: price_document(record, reader, ask.seed, told, house_rates(ask))[0],
}


def run(payload: bytes, told: Told) -> bytes:
    """Return the answer to a question about a site.

    Raises
    ------
    CallError
        If the question is none of ours.
    InputError
        If nothing is left to compute.
    """
    ask, site = asked(AnswerAsked, payload)
    record = read_files(site_files(site, ask.name), ask.name)
    reader = Reader(ask.language, ask.units or record.job.units)
    return document_text(_DOCUMENTS[ask.what](record, reader, ask, told)).encode("utf-8", "replace")
