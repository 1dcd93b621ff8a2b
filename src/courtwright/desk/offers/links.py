"""Links for customers: made for a sent offer, shown once, taken back at any time; and what comes through them."""

from __future__ import annotations

import datetime as dt

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.people.tokens import hashed, new_token
from courtwright.errors import InputError, MissingError
from courtwright.says import say
from courtwright.store.rows.links import Link, Scope
from courtwright.store.rows.offers import Offer
from courtwright.store.rows.questions import Question
from courtwright.store.unit import Unit

#: A link holds so long unless told otherwise, and never longer than the second.
USUAL, LONGEST = dt.timedelta(days=60), dt.timedelta(days=3660)


def list_links(office: Office, caller: Caller, offer_id: str) -> tuple[Link, ...]:
    """Return every link of an offer, ended or not, oldest first.

    Raises
    ------
    MissingError, RefusedError
        If there is no such offer, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        unit.offers.get(offer_id)
        return unit.links.of(offer_id)


def make_link(
    office: Office, caller: Caller, offer_id: str, scope: Scope, expires_at: dt.datetime | None = None
) -> tuple[str, Link]:
    """Make a link to a sent offer.

    Parameters
    ----------
    office, caller, offer_id
        Where, who asks, and to which offer.
    scope : {"read", "accept"}
        To read and ask, or to accept and decline as well.
    expires_at : datetime or None
        When it ends; None for 60 days from now, or the offer's own end where that is later.

    Returns
    -------
    tuple of (str, Link)
        The token, which is told this once and is kept nowhere; and the link.

    Raises
    ------
    ConflictError
        If the offer was not sent, or is withdrawn.
    InputError
        If it would end before it begins, or after ten years.
    MissingError, RefusedError
        If there is no such offer, or the caller may not.
    """
    caller.require("links.write")
    token = new_token()
    with office.writing(caller) as unit:
        unit.offers.lock(offer_id)
        offer = unit.offers.get(offer_id)
        unit.offers.require(offer.withdrawn_at is None, "desk.offer-withdrawn")
        unit.offers.require(offer.state in ("sent", "accepted"), "desk.link-not-sent")
        now = unit.links.hand.at
        until = expires_at or _usual_end(offer, now)
        if not now < until <= now + LONGEST:
            raise InputError(say("desk.link-end"), where="expires_at", fix=say("desk.link-end-do"))
        link = unit.links.add(
            office.new_id(),
            offer_id=offer_id,
            token_hash=hashed(token),
            scope=scope,
            expires_at=until,
            made_by=caller.who,
        )
        unit.changes.note(unit.links.hand, "link-made", link.id)
    return token, link


def _usual_end(offer: Offer, now: dt.datetime) -> dt.datetime:
    if offer.expires_on is None:
        return now + USUAL
    # The last day is over everywhere half a day after it is over in UTC.
    last = dt.datetime.combine(offer.expires_on, dt.time(), dt.UTC) + dt.timedelta(days=1, hours=12)
    return min(max(now + USUAL, last), now + LONGEST)


def withdraw_link(office: Office, caller: Caller, offer_id: str, id: str) -> Link:
    """Take a link back: whoever came by it is signed out at once.

    Raises
    ------
    MissingError, RefusedError
        If the offer has no such link, or the caller may not.
    """
    caller.require("links.write")
    with office.writing(caller) as unit:
        found = unit.links.find(id)
        if found is None or found.offer_id != offer_id:
            raise MissingError(say("store.missing", record=say("store.record-link")))
        if found.withdrawn_at is not None:
            return found
        session = unit.sessions.table.c
        for one in unit.sessions.all(session.link_id == id, session.withdrawn_at.is_(None)):
            unit.sessions.withdraw(one.id)
        unit.changes.note(unit.links.hand, "link-withdrawn", id)
        return unit.links.withdraw(id)


# --- questions that came through them -------------------------------------------------------------


def list_questions(office: Office, caller: Caller, offer_id: str) -> tuple[Question, ...]:
    """Return what customers asked about an offer, oldest first.

    Raises
    ------
    MissingError, RefusedError
        If there is no such offer, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        unit.offers.get(offer_id)
        return unit.questions.of(offer_id)


def answer_question(office: Office, caller: Caller, offer_id: str, id: str, seen: int, text: str) -> Question:
    """Answer a question, or answer it anew.

    Parameters
    ----------
    office, caller, offer_id, id
        Where, who answers, about which offer, and which question.
    seen : int
        The version that the caller saw. [-]
    text : str
        The answer.

    Raises
    ------
    MissingError, StaleError, RefusedError
        If the offer has no such question, it has changed since, or the caller may not.
    """
    caller.require("links.write")
    with office.writing(caller) as unit:
        _question(unit, offer_id, id)
        return unit.questions.change(id, seen, answer=text)


def _question(unit: Unit, offer_id: str, id: str) -> Question:
    found = unit.questions.find(id)
    if found is None or found.offer_id != offer_id:
        raise MissingError(say("store.missing", record=say("store.record-question")))
    return found
