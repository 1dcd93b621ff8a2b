"""From a site record to readings, verdicts and prices, each step by the room that owns it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from courtwright.cost import price_option
from courtwright.cost.records import OptionPrice
from courtwright.ground import read_pad
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.quantities import option_work
from courtwright.quantities.records import OptionWork
from courtwright.site.record import Pad, SiteRecord
from courtwright.trade.load import rates
from courtwright.verdict.facts import facts_of
from courtwright.verdict.judge import judge_pad
from courtwright.verdict.records import Fact, PadVerdict, Verdict

#: Told of each finished step: how many are done, of how many.
Told = Callable[[int, int], None]

Priced = Mapping[str, tuple[tuple[OptionWork, OptionPrice], ...]]


@dataclass(frozen=True, slots=True)
class Estimate:
    """All that an offer rests on."""

    record: SiteRecord
    reading: GroundReading
    verdict: Verdict
    priced: Priced
    currency: str
    seed: int


def _untold(done: int, of: int) -> None:
    """Tell nobody."""


def read_ground_of(record: SiteRecord, seed: int = 1, told: Told = _untold) -> GroundReading:
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
    return {pad.id: facts_of(pad, part, year) for pad, part in _pairs(record, reading)}


def judged(record: SiteRecord, reading: GroundReading) -> Verdict:
    """Return the verdict on every pad."""
    year = _year(record)
    return Verdict(tuple(judge_pad(pad, part, year) for pad, part in _pairs(record, reading)))


def estimate(record: SiteRecord, seed: int = 1, told: Told = _untold) -> Estimate:
    """Return readings, verdicts and the prices of every option that is open or may be.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    seed : int
        Of everything drawn at random. [-]
    told : callable
        Told after each step.
    """
    steps = 3 * len(record.pads)
    reading = read_ground_of(record, seed, lambda done, of: told(done, steps))
    verdict = judged(record, reading)
    priced: dict[str, tuple[tuple[OptionWork, OptionPrice], ...]] = {}
    for (pad, part), said in zip(_pairs(record, reading), verdict.pads, strict=True):
        priced[pad.id] = _priced(record, pad, part, said, seed)
        told(len(record.pads) + 2 * len(priced), steps)
    return Estimate(record, reading, verdict, priced, rates().currency, seed)


def _priced(
    record: SiteRecord, pad: Pad, reading: PadReading, verdict: PadVerdict, seed: int
) -> tuple[tuple[OptionWork, OptionPrice], ...]:
    found: list[tuple[OptionWork, OptionPrice]] = []
    for option in verdict.options:
        if option.state != "ruled out":
            work = option_work(pad, reading, verdict.facts, option.id, option.remedies)
            price = price_option(
                work,
                rates(),
                verdict.facts,
                customer=record.job.customer,
                prevailing_wage=record.job.prevailing_wage,
                walked_on=record.walked_on,
                seed=seed,
            )
            found.append((work, price))
    return tuple(found)


def _pairs(record: SiteRecord, reading: GroundReading) -> list[tuple[Pad, PadReading]]:
    return list(zip(record.pads, reading.pads, strict=True))


def _year(record: SiteRecord) -> int | None:
    return record.walked_on.year if record.walked_on else None
