"""What a site folder holds, as a plain record: marks by kind, facts known and lacking, complaints."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.ground import read_ground
from courtwright.ground.read import Told, untold
from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.counted import counted
from courtwright.job.answers.documents import Document
from courtwright.job.answers.plain import Reader, fact_unit, fact_value
from courtwright.job.judging import known_facts
from courtwright.job.overruling import with_overruling
from courtwright.site.record import SiteRecord
from courtwright.verdict.records import Fact

Facts = Mapping[str, Mapping[str, Fact]]


def check_document(
    record: SiteRecord, reader: Reader, told: Told = untold
) -> tuple[Document, tuple[SiteRecord, Facts]]:
    """Return the answer of ``check``; and the record with all its complaints, and the facts of each pad."""
    reading = read_ground(record, told=told)
    facts = known_facts(record, reading)
    record = with_overruling(record, reading, facts)
    return check_answer(record, facts, reader), (record, facts)


def check_answer(record: SiteRecord, facts: Facts, reader: Reader) -> Document:
    """Return the answer of ``check``. ``facts`` holds the facts of each pad by the pad's id."""
    return {
        "pads": [
            {**counts, "facts": _facts(facts[pad.id])} for pad, counts in zip(record.pads, counted(record), strict=True)
        ],
        "facts": _of_all(facts),
        "photos": [
            {
                "name": photo.name,
                "taken_at": photo.taken_at.isoformat() if photo.taken_at else None,
                "orientation": photo.orientation,
            }
            for photo in record.photos
        ],
        "complaints": complaints(record.complaints, reader),
    }


def _facts(facts: Mapping[str, Fact]) -> dict[str, object]:
    known = {name: _fact(fact) for name, fact in facts.items() if fact.value is not None}
    return {"known": known, "lacks": [name for name, fact in facts.items() if fact.value is None]}


def _fact(fact: Fact) -> dict[str, object]:
    return {"is": fact_value(fact.value), "unit": fact_unit(fact.id), "answered": fact.answered}


def _of_all(facts: Facts) -> dict[str, object]:
    """Return what is known of every pad, by fact and pad, and what any pad lacks."""
    names = next(iter(facts.values()), {})
    lacks = [name for name in names if any(of[name].value is None for of in facts.values())]
    known = {
        name: {pad: fact_value(of[name].value) for pad, of in facts.items()} for name in names if name not in lacks
    }
    return {"known": known, "lacks": lacks}
