"""From a site record and its readings to facts and verdicts, each by the room that owns it."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.ground.reading import GroundReading, PadReading
from courtwright.site.record import Pad, SiteRecord
from courtwright.verdict.facts import facts_of
from courtwright.verdict.judge import judge_pad
from courtwright.verdict.records import Fact, Verdict


def known_facts(record: SiteRecord, reading: GroundReading) -> dict[str, Mapping[str, Fact]]:
    """Return the facts of every pad, by the pad's id."""
    year = _year(record)
    return {pad.id: facts_of(pad, part, year) for pad, part in pads_of(record, reading)}


def judged(record: SiteRecord, reading: GroundReading) -> Verdict:
    """Return the verdict on every pad."""
    year = _year(record)
    return Verdict(tuple(judge_pad(pad, part, year) for pad, part in pads_of(record, reading)))


def pads_of(record: SiteRecord, reading: GroundReading) -> list[tuple[Pad, PadReading]]:
    """Return each pad with its reading."""
    return list(zip(record.pads, reading.pads, strict=True))


def _year(record: SiteRecord) -> int | None:
    return record.walked_on.year if record.walked_on else None
