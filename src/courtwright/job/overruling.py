"""Notes on answers that take the place of what marks, shots and the pad's own table say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from courtwright.ground.reading import GroundReading
from courtwright.job.judging import known_facts
from courtwright.measured import Span
from courtwright.says import say
from courtwright.site.record import Complaint, FactValue, SiteRecord
from courtwright.verdict.records import Fact

_SITE = "site.toml"


def with_overruling(record: SiteRecord, reading: GroundReading, known: Mapping[str, Mapping[str, Fact]]) -> SiteRecord:
    """Return a record whose complaints tell of each answer that says something other than what was derived.

    Parameters
    ----------
    record : SiteRecord
        With its answers.
    reading : GroundReading
        Of the same pads.
    known : mapping
        The facts of each pad, answers among them, by the pad's id.
    """
    if not any(pad.answers for pad in record.pads):
        return record
    return replace(record, complaints=(*record.complaints, *_notes(record, reading, known)))


def _notes(
    record: SiteRecord, reading: GroundReading, known: Mapping[str, Mapping[str, Fact]]
) -> tuple[Complaint, ...]:
    silent = replace(record, pads=tuple(replace(pad, answers=()) for pad in record.pads))
    derived = known_facts(silent, reading)
    return tuple(
        Complaint(
            _SITE,
            f"pad {pad}, answers, {name}",
            "answer-overrules",
            "note",
            say("site.answer-overrules", fact=say(f"facts.{name}.title")),
            say("site.answer-overrules-do"),
        )
        for pad, facts in known.items()
        for name, fact in facts.items()
        if fact.answered and _differ(derived[pad][name].value, fact.value)
    )


def _differ(derived: FactValue, answered: FactValue) -> bool:
    """Tell whether something was derived and the answer is another."""
    if derived is None:
        return False
    if isinstance(derived, Span) and isinstance(answered, Span):
        return not (_is_same(derived.low, answered.low) and _is_same(derived.high, answered.high))
    return derived != answered


def _is_same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-9)
