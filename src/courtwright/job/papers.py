"""What the offer room is handed: an estimate with the day, the language and the form of the paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping

from courtwright.errors import InputError
from courtwright.job.estimate import Estimate
from courtwright.offer import OfferRequest
from courtwright.says import say
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
    options: Mapping[str, Collection[str]] | None = None,
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
    options : mapping of str to collection of str, optional
        The options to show, by pad; every one that has a price on a pad that is not named.

    Raises
    ------
    InputError
        If one of them has no price on its pad.
    """
    pairs = [(work, price) for priced in made.priced.values() for work, price in priced]
    _require_priced(options or {}, {(price.pad, price.option) for _, price in pairs})
    pairs = [
        (work, price)
        for work, price in pairs
        if options is None or price.option in options.get(price.pad, (price.option,))
    ]
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
        currency=made.currency,
        photos=photos,
    )


def _require_priced(options: Mapping[str, Collection[str]], priced: Collection[tuple[str, str]]) -> None:
    for pad, of in options.items():
        for option in of:
            if (pad, option) not in priced:
                says = say("offer.option-without-price", pad=pad[:80], option=option[:80])
                raise InputError(says, where="options", fix=say("offer.option-without-price-do"))
