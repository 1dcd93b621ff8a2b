"""How an offer stands on a day, and what a customer agrees to who accepts it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Literal, get_args

from courtwright.says import say
from courtwright.store.rows.offers import Offer, State
from courtwright.trade.words import Language, render

Standing = Literal["draft", "sent", "accepted", "declined", "replaced", "expired", "withdrawn"]
STANDINGS: tuple[Standing, ...] = get_args(Standing)

#: A day is over when it is over everywhere: nobody loses an evening to the clock of another place.
_LAST_PLACE = dt.timezone(dt.timedelta(hours=-12))


def today(now: dt.datetime) -> dt.date:
    """Return the date where it is earliest.

    Examples
    --------
    >>> today(dt.datetime(2026, 5, 4, 11, tzinfo=dt.UTC))
    datetime.date(2026, 5, 3)
    """
    return now.astimezone(_LAST_PLACE).date()


def is_expired(offer: Offer, day: dt.date) -> bool:
    """Tell whether an offer holds no longer on a day."""
    return offer.expires_on is not None and day > offer.expires_on


def standing(offer: Offer, now: dt.datetime) -> Standing:
    """Return how an offer stands: its state, unless it was taken back or has expired."""
    if offer.withdrawn_at is not None:
        return "withdrawn"
    state: State = offer.state
    return "expired" if state == "sent" and is_expired(offer, today(now)) else state


def choices(offer: Offer) -> dict[str, tuple[str, ...]]:
    """Return the options that an offer leaves to choose from, by pad; none in a letter with ranges."""
    if offer.is_letter:
        return {}
    return {
        pad["id"]: tuple(option["id"] for option in pad["options"])
        for pad in offer.says.get("pads", ())
        if pad["options"]
    }


def consent(offer: Offer) -> str:
    """Return the sentence that is agreed to with an acceptance, in the language of the offer's papers."""
    contractor: Mapping[str, Any] = offer.says.get("contractor", {})
    says = say(
        "desk.consent",
        contractor=str(contractor.get("name", "")),
        date=_date(offer.issued_on, offer.language),
        number=offer.number,
        revision=offer.revision,
    )
    return render(says, offer.language, "us")


def _date(day: dt.date, language: Language) -> str:
    month = render(say(f"offer.month-{day.month}"), language, "us")
    return render(say("offer.date", month=month, day=day.day, year=day.year), language, "us")
