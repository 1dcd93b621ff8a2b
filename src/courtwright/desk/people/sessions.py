"""Who is signed in, for how long, and how it ends.

A token lives in a browser's cookie and nowhere else; each request looks its session and the person up again, so that
whoever is withdrawn, or whose role changes, is so from the next request on.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from dataclasses import dataclass, field
from typing import Protocol

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.passwords import hashed_password, is_outdated, is_right
from courtwright.desk.people.tokens import hashed, new_token
from courtwright.errors import MissingError, StoreError, UnknownCallerError
from courtwright.says import say
from courtwright.store.rows.people import Person
from courtwright.store.rows.sessions import Session
from courtwright.store.unit import Unit

#: A session ends when it is not used for so long, and after so long in any case.
IDLE, LONGEST = dt.timedelta(days=14), dt.timedelta(days=90)
#: A use is written down when the last one was so long ago: reading is not to write each time.
_SEEN_EVERY = dt.timedelta(hours=1)


#: Who is written down where nobody is signed in.
NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Arrival:
    """Somebody who has just signed in.

    Parameters
    ----------
    token : str
        For the cookie alone.
    session : Session
        As it was begun.
    person : Person
        Who it is.
    """

    token: str = field(repr=False)
    session: Session
    person: Person


class OpenLink(Protocol):
    """A customer's link, as far as a session needs it."""

    @property
    def id(self) -> str:
        """Its id."""
        ...

    @property
    def expires_at(self) -> dt.datetime:
        """When it ends."""
        ...


def start(unit: Unit, office: Office, person_id: str) -> tuple[str, Session]:
    """Sign a person in, under a new token.

    Parameters
    ----------
    unit, office
        In which this is written, and where.
    person_id : str
        Whose password, invitation or one-time link was looked at before.

    Returns
    -------
    tuple of (str, Session)
        The token, for the cookie alone, and the session.
    """
    return _start(unit, office, person_id=person_id, link_id=None, until=None)


def start_for_link(unit: Unit, office: Office, link: OpenLink) -> tuple[str, Session]:
    """Sign a customer in, for no longer than the link holds.

    Parameters
    ----------
    unit, office
        In which this is written, and where.
    link : OpenLink
        Whose token was looked at before.

    Returns
    -------
    tuple of (str, Session)
        The token, for the cookie alone, and the session.
    """
    return _start(unit, office, person_id=None, link_id=link.id, until=link.expires_at)


def _start(
    unit: Unit, office: Office, *, person_id: str | None, link_id: str | None, until: dt.datetime | None
) -> tuple[str, Session]:
    token, at = new_token(), unit.sessions.hand.at
    longest = at + LONGEST
    session = unit.sessions.add(
        office.new_id(),
        token_hash=hashed(token),
        person_id=person_id,
        link_id=link_id,
        seen_at=at,
        expires_at=longest if until is None else min(longest, until),
    )
    return token, session


def sign_in(office: Office, guesses: Guesses, email: str, password: str, before: str = "") -> Arrival:
    """Sign a person in by email address and password.

    Parameters
    ----------
    office : Office
        Where.
    guesses : Guesses
        The tries before.
    email, password : str
        As typed.
    before : str
        The token that the browser had until now; its session ends, so that nobody else's goes on in this browser.

    Raises
    ------
    TooManyError
        If too many tries came before.
    UnknownCallerError
        If they do not belong together; the same, and after the same time, where nobody has that address.
    """
    guesses.begin(email, office.now())
    with office.reading() as unit:
        found = unit.people.by_email(email)
    person = found if found and found.withdrawn_at is None else None
    if not is_right(password, person.password_hash if person else None) or person is None:
        with office.writing_as(NOBODY) as unit:
            unit.changes.note(unit.sessions.hand, "sign-in-refused", found.id if found else "")
        raise _not_together()
    guesses.right(email)
    fresh = hashed_password(password) if is_outdated(person.password_hash or "") else None
    with office.writing_as(person.id) as unit:
        unit.people.lock(person.id)
        now = unit.people.get(person.id)
        if now.withdrawn_at is not None or now.password_hash != person.password_hash:
            raise _not_together()
        if fresh:
            now = unit.people.change(now.id, None, password_hash=fresh)
        return arrive(unit, office, now, before)


def arrive(unit: Unit, office: Office, person: Person, before: str = "") -> Arrival:
    """Sign a person in whose right to it was looked at, and end the session that the browser had before."""
    old = hashed(before)
    session = unit.sessions.by_token(old) if old else None
    if session is not None:
        unit.sessions.withdraw(session.id)
    token, session = start(unit, office, person.id)
    unit.changes.note(unit.sessions.hand, "signed-in", person.id)
    return Arrival(token, session, person)


def _not_together() -> UnknownCallerError:
    return UnknownCallerError(say("desk.not-together"), fix=say("desk.not-together-do"))


def caller_of(office: Office, token: str) -> Caller:
    """Return the person who is signed in under a token.

    Raises
    ------
    UnknownCallerError
        If nobody is, any more, or the person was withdrawn.
    """
    token_hash = hashed(token)
    with office.reading() as unit:
        found = unit.sessions.of_person(token_hash) if token_hash else None
    if found is None:
        raise signed_out()
    session, person = found
    if session.person_id is None or not _is_open(session, office.now()) or person.withdrawn_at is not None:
        raise signed_out()
    _touch(office, session, session.person_id)
    return Caller(session.person_id, person.role, session_id=session.id)


def customer_of(office: Office, token: str) -> Caller:
    """Return the customer who is signed in under a token.

    Raises
    ------
    UnknownCallerError
        If nobody is, any more, or the link has ended or was withdrawn.
    """
    with office.reading() as unit:
        session = _open_session(unit, office, token)
        link = unit.sessions.link(session.link_id) if session and session.link_id else None
    if session is None or link is None or link.withdrawn_at is not None or link.expires_at <= office.now():
        raise signed_out()
    who = f"link:{session.link_id}"
    _touch(office, session, who)
    return Caller(who, "customer", offer_id=link.offer_id, session_id=session.id)


def signed_out() -> UnknownCallerError:
    """Return the answer to whoever is not signed in, the same whatever the reason."""
    return UnknownCallerError(say("desk.signed-out"), fix=say("desk.signed-out-do"))


def _open_session(unit: Unit, office: Office, token: str) -> Session | None:
    token_hash = hashed(token)
    session = unit.sessions.by_token(token_hash) if token_hash else None
    return session if session is not None and _is_open(session, office.now()) else None


def _is_open(session: Session, now: dt.datetime) -> bool:
    return session.withdrawn_at is None and now < session.expires_at and now < session.seen_at + IDLE


def _touch(office: Office, session: Session, who: str) -> None:
    now = office.now()
    if now - session.seen_at < _SEEN_EVERY:
        return
    # Who only reads is served on a disk that is full, too.
    with contextlib.suppress(StoreError), office.writing_as(who) as unit:
        unit.sessions.touch(session.id)


def sign_out(office: Office, caller: Caller) -> None:
    """End the session that the request came in."""
    if caller.session_id is None:
        return
    with office.writing(caller) as unit:
        unit.sessions.withdraw(caller.session_id)
        unit.changes.note(unit.sessions.hand, "signed-out", caller.who)


def own_sessions(office: Office, caller: Caller) -> tuple[Session, ...]:
    """Return where the caller is signed in, oldest first.

    Raises
    ------
    RefusedError
        If the caller is no person of the company.
    """
    caller.require("self.write")
    now = office.now()
    with office.reading() as unit:
        found = unit.sessions.of(caller.who)
    return tuple(one for one in found if now < one.expires_at and now < one.seen_at + IDLE)


def end_session(office: Office, caller: Caller, id: str) -> None:
    """End one of the caller's own sessions, such as that of a lost phone.

    Raises
    ------
    MissingError, RefusedError
        If the caller has no such session, or is no person of the company.
    """
    caller.require("self.write")
    with office.writing(caller) as unit:
        session = unit.sessions.find(id)
        if session is None or session.person_id != caller.who:
            raise MissingError(say("store.missing", record=say("store.record-session")))
        if session.withdrawn_at is None:
            unit.sessions.withdraw(id)
            unit.changes.note(unit.sessions.hand, "session-ended", id)
