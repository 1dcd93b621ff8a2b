"""One-time entries: a link that lets somebody in once; the first of them sets the company up.

The service prints one at each start, for whoever sits at the machine: no password stands in a file or is the same
everywhere, and who can read the terminal of the service could read its data anyway.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from courtwright.desk.caller import THE_MACHINE, Caller
from courtwright.desk.office import Office
from courtwright.desk.people.invitations import link_gone
from courtwright.desk.people.passwords import hashed_password, require_good
from courtwright.desk.people.people import renew
from courtwright.desk.people.sessions import Arrival, arrive
from courtwright.desk.people.tokens import hashed, new_token
from courtwright.errors import ConflictError, MissingError, StaleError
from courtwright.says import say
from courtwright.store.hand import MACHINE
from courtwright.store.rows.company import COMPANY
from courtwright.store.rows.entries import Entry, Opens
from courtwright.store.rows.people import Person
from courtwright.store.unit import Unit

#: How long the entry at the machine holds, and the one that is sent to somebody.
HOLDS, HOLDS_SENT = dt.timedelta(minutes=15), dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class SetUp:
    """What the first person says of themselves and the company.

    Parameters
    ----------
    name, email, password, company : str
        As typed; the company's name.
    language : {"en", "es"}
        In which they read.
    units : {"us", "metric"}
        In which they read numbers.
    """

    name: str
    email: str
    password: str = field(repr=False)
    company: str
    language: Literal["en", "es"] = "en"
    units: Literal["us", "metric"] = "us"


@dataclass(frozen=True, slots=True)
class Made:
    """An entry, just made.

    Parameters
    ----------
    path : str
        The link, from the service's address on: shown once, and kept nowhere.
    entry : Entry
        As it is kept.
    """

    path: str = field(repr=False)
    entry: Entry


def first_entry(office: Office) -> str:
    """Return the path of a new entry for whoever sits at the machine; those printed before no longer hold.

    It opens the set-up while nobody heads the company, else it signs in the head who has been so longest.

    Raises
    ------
    StoreError
        If it cannot be kept.
    """
    with office.writing(THE_MACHINE) as unit:
        heads = unit.people.heads()
        unit.entries.withdraw_unused("set-up", "sign-in")
        if heads:
            return _made(unit, office, "sign-in", heads[0].id, HOLDS).path
        return _made(unit, office, "set-up", None, HOLDS).path


def entry_for(office: Office, email: str) -> str:
    """Return the path of an entry by which somebody chooses a new password; asked at the machine.

    Raises
    ------
    MissingError
        If nobody of the company has that address.
    """
    with office.reading() as unit:
        person = unit.people.by_email(email)
    if person is None:
        raise MissingError(say("store.missing", record=say("store.record-person")))
    return entry_for_person(office, THE_MACHINE, person.id).path


def entry_for_person(office: Office, caller: Caller, id: str) -> Made:
    """Return a new entry by which a person chooses a new password; one made before no longer holds.

    Raises
    ------
    ConflictError
        If the person is withdrawn.
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("people.write")
    with office.writing(caller) as unit:
        if unit.people.get(id).withdrawn_at is not None:
            raise ConflictError(say("desk.person-withdrawn"), fix=say("desk.person-withdrawn-do"))
        unit.entries.withdraw_unused("password", person_id=id)
        return _made(unit, office, "password", id, HOLDS_SENT)


def _made(unit: Unit, office: Office, opens: Opens, person_id: str | None, holds: dt.timedelta) -> Made:
    token, at = new_token(), unit.entries.hand.at
    entry = unit.entries.add(
        office.new_id(),
        token_hash=hashed(token),
        opens=opens,
        person_id=person_id,
        expires_at=at + holds,
        used_at=None,
    )
    unit.changes.note(unit.entries.hand, "entry-made", person_id or "")
    return Made(f"/enter?token={token}", entry)


def entry_of(office: Office, token: str) -> Entry:
    """Return the entry of a link, as long as it holds; nothing is used up.

    Raises
    ------
    MissingError
        If it does not, whatever the reason.
    """
    with office.reading() as unit:
        entry, _ = _holding(unit, office, token)
        return entry


def set_up(office: Office, token: str, given: SetUp, before: str = "") -> Arrival:
    """Set the company up, with its first head, who is signed in.

    Parameters
    ----------
    office : Office
        Where.
    token : str
        Of the entry.
    given : SetUp
        Who and which company.
    before : str
        The token of the session that the browser had until now.

    Raises
    ------
    InputError
        If the password is easily guessed.
    MissingError
        If the link does not hold, whatever the reason.
    """
    _require_opens(entry_of(office, token), "set-up")
    require_good(given.password, given.name, given.email, given.company)
    password_hash = hashed_password(given.password)
    with office.writing_as(MACHINE) as unit:
        entry, _ = _holding(unit, office, token)
        if unit.people.heads(lock=True):
            raise link_gone()
        person = unit.people.add(
            office.new_id(),
            name=given.name,
            email=given.email.strip().lower(),
            role="head",
            language=given.language,
            units=given.units,
            password_hash=password_hash,
        )
        blank = {"licence": "", "address": "", "phone": "", "terms": {}, "logo_sha256": None}
        if unit.company.find(COMPANY) is None:
            unit.company.add(COMPANY, name=given.company, **blank)
        _use(unit, entry)
        unit.changes.note(unit.entries.hand, "company-set-up", person.id)
        return arrive(unit, office, person, before)


def enter(office: Office, token: str, before: str = "") -> Arrival:
    """Sign in whom an entry lets in.

    Parameters
    ----------
    office : Office
        Where.
    token : str
        Of the entry.
    before : str
        The token of the session that the browser had until now.

    Raises
    ------
    MissingError
        If the link does not hold, whatever the reason.
    """
    _require_opens(entry_of(office, token), "sign-in")
    with office.writing_as(MACHINE) as unit:
        entry, person = _holding(unit, office, token)
        _use(unit, entry)
        return arrive(unit, office, _somebody(person), before)


def choose_password(office: Office, token: str, password: str, before: str = "") -> Arrival:
    """Choose a new password by an entry that was sent, and sign in; every other session of the person ends.

    Parameters
    ----------
    office : Office
        Where.
    token : str
        Of the entry.
    password : str
        As typed.
    before : str
        The token of the session that the browser had until now.

    Raises
    ------
    InputError
        If the password is easily guessed.
    MissingError
        If the link does not hold, whatever the reason.
    """
    with office.reading() as unit:
        entry, person = _holding(unit, office, token)
        _require_opens(entry, "password")
        known = _somebody(person)
        require_good(password, known.name, known.email, *(one.name for one in unit.company.all()))
    password_hash = hashed_password(password)
    with office.writing_as(known.id) as unit:
        entry, _ = _holding(unit, office, token)
        _use(unit, entry)
        return renew(unit, office, known.id, password_hash, before)


def _holding(unit: Unit, office: Office, token: str) -> tuple[Entry, Person | None]:
    token_hash = hashed(token)
    found = unit.entries.by_token(token_hash) if token_hash else None
    if found is None or found.used_at or found.withdrawn_at is not None or found.expires_at <= office.now():
        raise link_gone()
    person = unit.people.get(found.person_id) if found.person_id else None
    if person is not None and (person.withdrawn_at is not None or (found.opens == "sign-in" and person.role != "head")):
        raise link_gone()
    return found, person


def _require_opens(entry: Entry, what: Opens) -> None:
    if entry.opens != what:
        raise link_gone()


def _somebody(person: Person | None) -> Person:
    if person is None:
        raise link_gone()
    return person


def _use(unit: Unit, entry: Entry) -> None:
    """Use an entry up: of two at once, one comes too late."""
    try:
        unit.entries.change(entry.id, entry.version, used_at=unit.entries.hand.at)
    except StaleError as error:
        raise link_gone() from error
    unit.changes.note(unit.entries.hand, "entry-used", entry.person_id or "")
