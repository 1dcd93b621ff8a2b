"""From a site record to the prices of every option that is open or may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from courtwright.cost import price_option
from courtwright.cost.records import OptionPrice
from courtwright.ground import read_ground
from courtwright.ground.read import Told, untold
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.job.judging import judged, pads_of
from courtwright.job.overruling import with_overruling
from courtwright.quantities import option_work
from courtwright.quantities.records import OptionWork
from courtwright.site.record import Pad, SiteRecord
from courtwright.trade.house_rates import USUAL, HouseRates, house_book
from courtwright.trade.rate_records import RateBook
from courtwright.verdict.records import PadVerdict, Verdict

Priced = Mapping[str, tuple[tuple[OptionWork, OptionPrice], ...]]


@dataclass(frozen=True, slots=True)
class Estimate:
    """All that an offer rests on."""

    record: SiteRecord
    reading: GroundReading
    verdict: Verdict
    priced: Priced
    book: RateBook
    seed: int


def estimate(record: SiteRecord, seed: int = 1, told: Told = untold, house: HouseRates = USUAL) -> Estimate:
    """Return readings, verdicts and the prices of every option that is open or may be.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    seed : int
        Of everything drawn at random. [-]
    told : callable
        Told after each step.
    house : HouseRates
        The contractor's own rates, in place of those of the book.
    """
    book = house_book(house)
    steps = 3 * len(record.pads)
    reading = read_ground(record, seed, lambda done, of: told(done, steps))
    verdict = judged(record, reading)
    priced: dict[str, tuple[tuple[OptionWork, OptionPrice], ...]] = {}
    for (pad, part), said in zip(pads_of(record, reading), verdict.pads, strict=True):
        priced[pad.id] = _priced(record, pad, part, said, seed, book)
        told(len(record.pads) + 2 * len(priced), steps)
    record = with_overruling(record, reading, verdict.facts)
    return Estimate(record, reading, verdict, priced, book, seed)


def _priced(
    record: SiteRecord, pad: Pad, reading: PadReading, verdict: PadVerdict, seed: int, book: RateBook
) -> tuple[tuple[OptionWork, OptionPrice], ...]:
    found: list[tuple[OptionWork, OptionPrice]] = []
    for option in verdict.options:
        if option.state != "ruled out":
            work = option_work(pad, reading, verdict.facts, option.id, option.remedies)
            price = price_option(
                work,
                book,
                verdict.facts,
                customer=record.job.customer,
                prevailing_wage=record.job.prevailing_wage,
                walked_on=record.walked_on,
                seed=seed,
            )
            found.append((work, price))
    return tuple(found)
