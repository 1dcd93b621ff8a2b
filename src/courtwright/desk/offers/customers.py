"""What a customer can do who came by a link: read the one offer, ask, accept, decline; nothing else is reached."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.offers import accepting
from courtwright.desk.offers.accepting import Given
from courtwright.desk.offers.logo import logo_of
from courtwright.desk.offers.papers import customers_files
from courtwright.desk.offers.standing import Standing, choices, consent, standing
from courtwright.desk.office import Office
from courtwright.desk.people import sessions
from courtwright.desk.people.tokens import hashed
from courtwright.errors import MissingError, RefusedError, TooManyError, UnknownCallerError
from courtwright.says import say
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.links import Link
from courtwright.store.rows.offers import Offer
from courtwright.store.rows.questions import Question
from courtwright.store.rows.sessions import Session
from courtwright.store.seals import short_form
from courtwright.store.unit import Unit

#: So many questions through one link in a day. [-]
MOST_QUESTIONS = 20
_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class OfferShown:
    """An offer as its customer sees it.

    Parameters
    ----------
    number, revision : int
        Which offer, and which revision of it. [-]
    standing : str
        How it stands now; one of `standing.STANDINGS`.
    says : mapping
        What it says, as its ``offer.json``.
    files : tuple of str
        The files that may be had.
    consent : str or None
        The sentence that an acceptance agrees to; None where this customer cannot accept it now.
    choices : mapping
        The options to choose from, by pad.
    acceptance : Acceptance or None
        How it was accepted.
    seal : str or None
        The code that is printed on the accepted paper.
    has_logo : bool
        Whether its papers show the contractor's logo.
    questions : tuple of Question
        Those that came by this link, with their answers.
    """

    number: int
    revision: int
    standing: Standing
    says: Mapping[str, Any]
    files: tuple[str, ...]
    consent: str | None
    choices: Mapping[str, tuple[str, ...]]
    acceptance: Acceptance | None
    seal: str | None
    has_logo: bool
    questions: tuple[Question, ...]


def enter(office: Office, token: str) -> tuple[str, Session]:
    """Let a customer in by the token of a link.

    Returns
    -------
    tuple of (str, Session)
        The token of the session, for the cookie alone, and the session.

    Raises
    ------
    UnknownCallerError
        If no link has it, or the link has ended or was taken back: the same answer to each.
    """
    token_hash = hashed(token)
    with office.reading() as unit:
        link = unit.links.by_token(token_hash) if token_hash else None
    if link is None or not _holds(link, office.now()):
        raise _closed()
    with office.writing_as(f"link:{link.id}") as unit:
        unit.links.lock(link.id)
        if not _holds(unit.links.get(link.id), unit.links.hand.at):
            raise _closed()
        made = sessions.start_for_link(unit, office, link)
        unit.changes.note(unit.links.hand, "link-opened", link.id)
    return made


def _holds(link: Link, now: dt.datetime) -> bool:
    return link.withdrawn_at is None and now < link.expires_at


def _closed() -> UnknownCallerError:
    return UnknownCallerError(say("desk.link-closed"), fix=say("desk.link-closed-do"))


def shown(office: Office, caller: Caller) -> OfferShown:
    """Return the customer's offer.

    Raises
    ------
    RefusedError, UnknownCallerError
        If the caller is no customer, or the link holds no longer.
    """
    caller.require("offer.read")
    with office.reading() as unit:
        link, offer = _reached(office, unit, caller)
        seal = unit.seals.of(offer.id)
        stands = standing(offer, office.now())
        can_accept = stands == "sent" and link.scope == "accept" and bool(choices(offer))
        return OfferShown(
            number=offer.number,
            revision=offer.revision,
            standing=stands,
            says=offer.says,
            files=tuple(customers_files(unit, offer)),
            consent=consent(offer) if can_accept else None,
            choices=choices(offer),
            acceptance=unit.acceptances.of(offer.id),
            seal=None if seal is None else short_form(seal.mac),
            has_logo=logo_of(offer) is not None,
            questions=unit.questions.through(link.id),
        )


def _reached(office: Office, unit: Unit, caller: Caller) -> tuple[Link, Offer]:
    """Return the customer's link and the one offer that it opens."""
    kind, _, link_id = caller.who.partition(":")
    link = unit.links.find(link_id) if kind == "link" else None
    if link is None or link.offer_id != caller.offer_id or not _holds(link, office.now()):
        raise _closed()
    return link, unit.offers.get(link.offer_id)


def file(office: Office, caller: Caller, name: str) -> bytes:
    """Return a file of the customer's offer.

    Raises
    ------
    DamagedError
        If it is no longer what it was.
    MissingError
        If there is none of that name that a customer may have.
    RefusedError, UnknownCallerError
        As `shown` does.
    """
    caller.require("offer.read")
    with office.reading() as unit:
        _, offer = _reached(office, unit, caller)
        sha256 = customers_files(unit, offer).get(name)
        if sha256 is None:
            raise MissingError(say("desk.no-paper"))
        return unit.blobs.get(sha256)


def logo(office: Office, caller: Caller) -> bytes:
    """Return the logo that stands on the customer's offer, a PNG.

    Raises
    ------
    DamagedError
        If it is no longer what it was.
    MissingError
        If there is none.
    RefusedError, UnknownCallerError
        As `shown` does.
    """
    caller.require("offer.read")
    with office.reading() as unit:
        _, offer = _reached(office, unit, caller)
        sha256 = logo_of(offer)
        if sha256 is None:
            raise MissingError(say("store.missing", record=say("desk.record-logo")))
        return unit.blobs.get(sha256)


def ask(office: Office, caller: Caller, text: str) -> Question:
    """Ask about the offer.

    Raises
    ------
    TooManyError
        If so many questions came by this link within a day already.
    RefusedError, UnknownCallerError
        As `shown` does.
    """
    caller.require("offer.read")
    with office.writing(caller) as unit:
        link, offer = _reached(office, unit, caller)
        unit.links.lock(link.id)
        at = unit.questions.hand.at
        if unit.questions.count_since(link.id, at - _DAY) >= MOST_QUESTIONS:
            wait = int(_DAY.total_seconds())
            raise TooManyError(say("desk.questions", most=MOST_QUESTIONS), fix=say("desk.questions-do"), wait=wait)
        return unit.questions.add(office.new_id(), offer_id=offer.id, link_id=link.id, text=text, answer=None)


def accept(office: Office, caller: Caller, options: Mapping[str, str], name: str, agreed: str) -> Acceptance:
    """Accept the offer; the same again is the same acceptance.

    Parameters
    ----------
    office, caller
        Where, and who accepts.
    options : mapping of str to str
        The option that is chosen, by pad.
    name : str
        Who accepts.
    agreed : str
        The sentence as it was shown.

    Raises
    ------
    ConflictError, InputError, StoreError
        As `accepting.accept` does.
    RefusedError, UnknownCallerError
        If the link is for reading alone, or as `shown` does.
    """
    caller.require("offer.answer")
    with office.writing(caller) as unit:
        offer = _answerable(office, unit, caller)
        return accepting.accept(office, unit, offer, Given(dict(options), name, agreed))


def decline(office: Office, caller: Caller, because: str) -> Offer:
    """Decline the offer; the same again changes nothing.

    Parameters
    ----------
    office, caller
        Where, and who declines.
    because : str
        What is said; may be empty.

    Raises
    ------
    ConflictError
        If it is not open.
    RefusedError, UnknownCallerError
        As `accept` does.
    """
    caller.require("offer.answer")
    with office.writing(caller) as unit:
        offer = _answerable(office, unit, caller)
        unit.jobs.lock(offer.job_id)
        unit.offers.lock(offer.id)
        now = unit.offers.get(offer.id)
        if now.state == "declined" and now.declined_because == because:
            return now
        accepting.open_offer(unit, offer.id)
        unit.changes.note(unit.offers.hand, "offer-declined", offer.id)
        return unit.offers.change(offer.id, None, state="declined", declined_because=because)


def _answerable(office: Office, unit: Unit, caller: Caller) -> Offer:
    link, offer = _reached(office, unit, caller)
    if link.scope != "accept":
        raise RefusedError(say("desk.link-reads"), fix=say("desk.link-reads-do"))
    return offer
