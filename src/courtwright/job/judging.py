"""From a site record to readings and verdicts, each by the room that owns it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from courtwright.ground import read_pad
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.site.record import Pad, SiteRecord
from courtwright.verdict.facts import facts_of
from courtwright.verdict.judge import judge_pad
from courtwright.verdict.records import Fact, Verdict

#: Told of each finished step: how many are done, of how many.
Told = Callable[[int, int], None]


def untold(done: int, of: int) -> None:
    """Tell nobody how far a step is."""


def read_ground_of(record: SiteRecord, seed: int = 1, told: Told = untold) -> GroundReading:
    """Return the ground reading of every pad.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    seed : int
        Of the simulated surfaces. [-]
    told : callable
        Told after each pad.
    """
    readings: list[PadReading] = []
    for pad in record.pads:
        readings.append(read_pad(pad, seed=seed))
        told(len(readings), len(record.pads))
    return GroundReading(tuple(readings))


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
