"""What the offer room is handed: an estimate with the day, the language and the form of the paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from courtwright.job.estimate import Estimate
from courtwright.offer import OfferRequest, OfferTexts
from courtwright.trade.papers import Contractor, house
from courtwright.trade.words import Language


def offer_request(
    made: Estimate,
    *,
    issued_on: dt.date,
    start: dt.date | None,
    budget: bool,
    language: Language,
    photos: Mapping[str, bytes],
    contractor: Contractor | None = None,
    texts: OfferTexts | None = None,
    logo: bytes = b"",
) -> OfferRequest:
    """Return the request for an offer.

    Parameters
    ----------
    made : Estimate
        Record, readings, verdicts and prices.
    issued_on : date
        The date on the paper.
    start : date or None
        First day of work, when it is agreed.
    budget : bool
        A letter with ranges instead of an offer.
    language : {"en", "es"}
        Of the paper.
    photos : mapping of str to bytes
        The site's photos by name, as the camera wrote them.
    contractor : Contractor, optional
        Who offers; the one of ``trade/house.toml`` unless given.
    texts : OfferTexts, optional
        What the estimator writes by hand.
    logo : bytes, optional
        The contractor's, a PNG.
    """
    pairs = [(work, price) for priced in made.priced.values() for work, price in priced]
    return OfferRequest(
        site=made.record,
        ground=made.reading,
        verdict=made.verdict,
        work={(work.pad, work.option): work for work, _ in pairs},
        prices={(price.pad, price.option): price for _, price in pairs},
        contractor=contractor or house(),
        issued_on=issued_on,
        language=language,
        units=made.record.job.units,
        start=start,
        budget=budget,
        book=made.book,
        photos=photos,
        texts=texts or OfferTexts(),
        logo=logo,
    )
