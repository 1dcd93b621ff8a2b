"""The people of the company: seen, changed, withdrawn; each by their own hand or by the head's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from courtwright.desk.caller import Caller, Role
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.passwords import hashed_password, is_right, require_good
from courtwright.desk.people.sessions import Arrival, arrive, signed_out
from courtwright.errors import ConflictError, UnknownCallerError
from courtwright.says import say
from courtwright.store.rows.changes import Change
from courtwright.store.rows.people import Person
from courtwright.store.unit import Unit


def list_people(
    office: Office, caller: Caller, *, is_withdrawn: bool = False, most: int = 50, after: str | None = None
) -> Page[Person]:
    """Return the people, changed last first; addresses for the head alone.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    is_withdrawn : bool
        Those withdrawn, or the others.
    most : int
        How many at once. [-]
    after : str or None
        Where the page before ended.

    Raises
    ------
    InputError
        If ``after`` is none of ours.
    RefusedError
        If the caller may not.
    """
    caller.require("people.read")
    with office.reading() as unit:
        at = unit.people.table.c.withdrawn_at
        where = at.is_not(None) if is_withdrawn else at.is_(None)
        page = page_of(unit.people.page(where, most=most + 1, after=after_of(after)), most)
    return Page([_shown(caller, one) for one in page.items], page.next)


def person(office: Office, caller: Caller, id: str) -> Person:
    """Return one person; the address for the head and themselves alone.

    Raises
    ------
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("people.read")
    with office.reading() as unit:
        return _shown(caller, unit.people.get(id))


def _shown(caller: Caller, person: Person) -> Person:
    """Return what the caller may see of a person."""
    sees_all = caller.may("people.write") or caller.who == person.id
    return replace(person, password_hash=None, email=person.email if sees_all else "")


def person_history(office: Office, caller: Caller, id: str, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of a person's record, oldest change first.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of whom.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("people.write")
    with office.reading() as unit:
        unit.people.get(id)
        return unit.changes.of("person", id, most=most, after=after)


def change_role(office: Office, caller: Caller, id: str, seen: int, role: Role) -> Person:
    """Give a person another role, from their next request on.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of whom.
    seen : int
        The version that the caller saw. [-]
    role : str
        One of `ROLES`.

    Raises
    ------
    ConflictError
        If nobody would head the company.
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("people.write")
    with office.writing(caller) as unit:
        if role != "head":
            _require_another_head(unit, id)
        before = unit.people.get(id)
        done = unit.people.change(id, seen, role=role)
        if done.role != before.role:
            unit.changes.note(unit.people.hand, "role-changed", id)
        return _shown(caller, done)


def withdraw_person(office: Office, caller: Caller, id: str, seen: int) -> Person:
    """Withdraw a person: what they did stays theirs, and they are signed out everywhere at once.

    Raises
    ------
    ConflictError
        If it is the caller, or nobody would head the company.
    MissingError, StaleError, RefusedError
        As `change_role` does.
    """
    caller.require("people.write")
    with office.writing(caller) as unit:
        if id == caller.who:
            raise ConflictError(say("desk.not-oneself"), fix=say("desk.not-oneself-do"))
        _require_another_head(unit, id)
        before = unit.people.get(id)
        done = unit.people.withdraw(id, seen)
        unit.sessions.end_all(id)
        if before.withdrawn_at is None:
            unit.changes.note(unit.people.hand, "person-withdrawn", id)
        return _shown(caller, done)


def bring_back_person(office: Office, caller: Caller, id: str, seen: int) -> Person:
    """Bring a withdrawn person back, as what they were; they sign in anew.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `change_role` does.
    """
    caller.require("people.write")
    with office.writing(caller) as unit:
        before = unit.people.get(id)
        done = unit.people.bring_back(id, seen)
        if before.withdrawn_at is not None:
            unit.changes.note(unit.people.hand, "person-brought-back", id)
        return _shown(caller, done)


def change_self(office: Office, caller: Caller, seen: int, values: Mapping[str, Any]) -> Person:
    """Change the caller's own name, language or units.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    seen : int
        The version that the caller saw. [-]
    values : mapping
        ``name``, ``language`` or ``units``.

    Raises
    ------
    StaleError, RefusedError
        If it has changed since, or the caller is no person of the company.
    """
    caller.require("self.write")
    with office.writing(caller) as unit:
        own = {name: value for name, value in values.items() if name in ("name", "language", "units")}
        return _shown(caller, unit.people.change(caller.who, seen, **own))


def change_password(office: Office, caller: Caller, guesses: Guesses, old: str, new: str, before: str = "") -> Arrival:
    """Change the caller's own password: every session ends, and a new one begins here.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    guesses : Guesses
        The tries before: whoever finds an open browser may not guess either.
    old, new : str
        As typed.
    before : str
        The token that the browser had until now.

    Raises
    ------
    InputError
        If the new one is easily guessed.
    TooManyError, UnknownCallerError
        If too many tries came before, or the old one is not right.
    RefusedError
        If the caller is no person of the company.
    """
    caller.require("self.write")
    with office.reading() as unit:
        found = unit.people.get(caller.who)
        known = (found.name, found.email, *(one.name for one in unit.company.all()))
    require_good(new, *known)
    guesses.begin(found.email, office.now())
    if not is_right(old, found.password_hash):
        raise UnknownCallerError(say("desk.old-password"), where="old", fix=say("desk.old-password-do"))
    guesses.right(found.email)
    fresh = hashed_password(new)
    with office.writing(caller) as unit:
        unit.people.lock(caller.who)
        if unit.people.get(caller.who).password_hash != found.password_hash:
            raise signed_out()
        return renew(unit, office, caller.who, fresh, before)


def renew(unit: Unit, office: Office, id: str, password_hash: str, before: str = "") -> Arrival:
    """Give a person a new password, end every session under the old one, and begin one here."""
    person = unit.people.change(id, None, password_hash=password_hash)
    unit.sessions.end_all(id)
    unit.changes.note(unit.people.hand, "password-changed", id)
    return arrive(unit, office, person, before)


def _require_another_head(unit: Unit, id: str) -> None:
    """Refuse what would leave the company without a head; two who do so to each other come one after the other."""
    heads = {head.id for head in unit.people.heads(lock=True)}
    if heads == {id}:
        raise ConflictError(say("desk.last-head"), fix=say("desk.last-head-do"))
