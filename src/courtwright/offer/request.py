"""Everything an offer is written from: plain records, nothing computed here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from courtwright.cost.records import OptionPrice
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.quantities.records import OptionWork
from courtwright.site.record import Pad, SiteRecord
from courtwright.trade.load import rates
from courtwright.trade.papers import Contractor
from courtwright.trade.rate_records import RateBook
from courtwright.trade.words import Language, UnitSystem
from courtwright.verdict.records import PadVerdict, Verdict

#: A pad's id and an option's id.
PadOption = tuple[str, str]


@dataclass(frozen=True, slots=True)
class OfferTexts:
    """What the estimator writes by hand, as typed; what is empty stands nowhere.

    Parameters
    ----------
    greeting : str
        Before everything else.
    note : str
        On the first page, of this job alone.
    closing : str
        Before the acceptance.
    options : mapping of (pad, option) to str
        A note beside an option.
    """

    greeting: str = ""
    note: str = ""
    closing: str = ""
    options: Mapping[PadOption, str] = field(default_factory=dict[PadOption, str])


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
    book : RateBook
        The rates that it is priced at.
    photos : mapping of str to bytes
        The files of ``site.photos`` by name, as the camera wrote them.
    texts : OfferTexts
        What the estimator writes by hand.
    options : mapping of str to collection of str
        The options to show, by pad; on a pad that is not named those that a paper shows by itself.
    logo : bytes
        The contractor's, a PNG; empty without one.
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
    book: RateBook = field(default_factory=rates)
    photos: Mapping[str, bytes] = field(default_factory=dict[str, bytes])
    texts: OfferTexts = OfferTexts()
    options: Mapping[str, Collection[str]] = field(default_factory=dict[str, Collection[str]])
    logo: bytes = b""

    @property
    def currency(self) -> str:
        """ISO code of the prices."""
        return self.book.currency

    def pads(self) -> tuple[tuple[Pad, PadReading, PadVerdict], ...]:
        """Return each pad of the record with its reading and its verdict."""
        readings = {reading.id: reading for reading in self.ground.pads}
        verdicts = {verdict.id: verdict for verdict in self.verdict.pads}
        return tuple((pad, readings[pad.id], verdicts[pad.id]) for pad in self.site.pads)
