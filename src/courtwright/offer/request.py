"""Everything an offer is written from: plain records, nothing computed here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from courtwright.cost.records import OptionPrice
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.quantities.records import OptionWork
from courtwright.site.record import Pad, SiteRecord
from courtwright.trade.papers import Contractor
from courtwright.trade.words import Language, UnitSystem
from courtwright.verdict.records import PadVerdict, Verdict

#: A pad's id and an option's id.
PadOption = tuple[str, str]


@dataclass(frozen=True, slots=True)
class OfferRequest:
    """A site, what is known and concluded of it, and how the offer is to be written.

    Parameters
    ----------
    site : SiteRecord
        What was found.
    ground : GroundReading
        What it means.
    verdict : Verdict
        What is concluded.
    work : mapping of (pad, option) to OptionWork
        What is to be done.
    prices : mapping of (pad, option) to OptionPrice
        What it is priced at. An option without work or price is not offered.
    contractor : Contractor
        Who offers.
    issued_on : date
        The day of the offer; everything in it is dated by it.
    language : {"en", "es"}
        The customer's.
    units : {"us", "metric"}
        The customer's.
    start : date or None
        First day of work, when one is agreed.
    budget : bool
        True for a budget letter: ranges instead of firm prices, and nothing to accept.
    currency : str
        ISO code of the prices.
    photos : mapping of str to bytes
        The files of ``site.photos`` by name, as the camera wrote them.
    """

    site: SiteRecord
    ground: GroundReading
    verdict: Verdict
    work: Mapping[PadOption, OptionWork]
    prices: Mapping[PadOption, OptionPrice]
    contractor: Contractor
    issued_on: dt.date
    language: Language = "en"
    units: UnitSystem = "us"
    start: dt.date | None = None
    budget: bool = False
    currency: str = "USD"
    photos: Mapping[str, bytes] = field(default_factory=dict[str, bytes])

    def pads(self) -> tuple[tuple[Pad, PadReading, PadVerdict], ...]:
        """Return each pad of the record with its reading and its verdict."""
        readings = {reading.id: reading for reading in self.ground.pads}
        verdicts = {verdict.id: verdict for verdict in self.verdict.pads}
        return tuple((pad, readings[pad.id], verdicts[pad.id]) for pad in self.site.pads)
