"""A verdict as a plain record."""

from __future__ import annotations

from courtwright.ground import read_ground
from courtwright.ground.read import Told, untold
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, fact_value, number
from courtwright.job.judging import judged
from courtwright.job.overruling import with_overruling
from courtwright.says import say
from courtwright.site.record import SiteRecord
from courtwright.trade.judgement import remedies
from courtwright.verdict.condition import rating
from courtwright.verdict.records import Because, Cause, ConditionIndex, Finding, Flip, Option, PadVerdict, Verdict


def verdict_document(
    record: SiteRecord, reader: Reader, told: Told = untold
) -> tuple[Document, tuple[SiteRecord, Verdict]]:
    """Return the whole answer of ``verdict``; and the record with all its complaints, and the verdict."""
    reading = read_ground(record, told=told)
    verdict = judged(record, reading)
    record = with_overruling(record, reading, verdict.facts)
    return with_complaints(verdict_answer(verdict, reader), record, reader), (record, verdict)


def verdict_answer(verdict: Verdict, reader: Reader) -> dict[str, object]:
    """Return the answer of ``verdict`` without its complaints."""
    memory = sorted({name for pad in verdict.pads for name in pad.from_memory})
    return {"pads": [_pad(pad, reader) for pad in verdict.pads], "from_memory": memory}


def _pad(pad: PadVerdict, reader: Reader) -> dict[str, object]:
    index = pad.condition_index
    return {
        "id": pad.id,
        "findings": [_finding(finding, reader) for finding in pad.findings],
        "condition_index": None if index is None else _index(index, reader),
        "causes": [_cause(cause, reader) for cause in pad.causes],
        "options": [_option(option, reader) for option in pad.options],
        "not_considered": [{"remedy": remedy, "says": reader.says(says)} for remedy, says in pad.not_considered],
        "recommended": pad.recommended,
        "advice": [reader.says(says) for says in pad.advice],
        "measure_next": [
            {"fact": m.fact, "how": reader.says(m.how), "settles": list(m.settles)} for m in pad.measure_next
        ],
    }


def _index(index: ConditionIndex, reader: Reader) -> dict[str, object]:
    """Return an index; ``rating`` is the standard's own word, ``rating_says`` the reader's."""
    says = getattr(rating(index.value).word, reader.language)
    return {
        "value": number(index.value, 1),
        "rating": index.rating,
        "rating_says": says,
        "standard": index.standard,
    }


def _finding(finding: Finding, reader: Reader) -> dict[str, object]:
    return {
        "id": finding.id,
        "says": reader.says(finding.says),
        "facts": list(finding.facts),
        "at": [{"kind": place.kind, "id": place.id} for place in finding.at],
    }


def _cause(cause: Cause, reader: Reader) -> dict[str, object]:
    return {
        "cause": cause.cause,
        "title": reader.says(say(f"causes.{cause.cause}.title")),
        "strength": cause.strength,
        "for": [reader.says(says) for says in cause.evidence_for],
        "against": [reader.says(says) for says in cause.evidence_against],
    }


def _option(option: Option, reader: Reader) -> dict[str, object]:
    return {
        "id": option.id,
        "title": reader.says(option.title),
        "remedies": list(option.remedies),
        "state": option.state,
        "because": [_because(because, reader) for because in option.because],
        "opens_if": [[_flip(flip) for flip in flips] for flips in option.opens_if],
        "settled_by": list(option.settled_by),
        "does_not_mend": [reader.says(says) for says in option.does_not_mend],
        "begins_anew": any(remedies()[remedy].begins_anew for remedy in option.remedies),
    }


def _because(because: Because, reader: Reader) -> dict[str, object]:
    return {
        "rule": because.rule,
        "says": reader.says(because.says),
        "source": because.source,
        "effect": because.effect,
    }


def _flip(flip: Flip) -> dict[str, object]:
    return {"fact": flip.fact, "is": fact_value(flip.value), "needs": flip.needs}
