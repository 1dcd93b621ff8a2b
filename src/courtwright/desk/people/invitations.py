"""Invitations: a link by which one person joins the company, once, within a week."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from courtwright.desk.caller import Caller, Role
from courtwright.desk.office import Office
from courtwright.desk.people.passwords import hashed_password, require_good
from courtwright.desk.people.sessions import Arrival, arrive
from courtwright.desk.people.tokens import hashed, new_token
from courtwright.errors import ConflictError, MissingError, StaleError
from courtwright.says import say
from courtwright.store.rows.invitations import Invitation
from courtwright.store.unit import Unit

#: How long an invitation holds.
HOLDS = dt.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Invited:
    """An invitation, just made.

    Parameters
    ----------
    invitation : Invitation
        As it is kept.
    path : str
        The link, from the service's address on: shown once, and kept nowhere.
    """

    invitation: Invitation
    path: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Newcomer:
    """What somebody who joins says of themselves.

    Parameters
    ----------
    name, password : str
        As typed.
    language : {"en", "es"}
        In which they read.
    units : {"us", "metric"}
        In which they read numbers.
    """

    name: str
    password: str = field(repr=False)
    language: Literal["en", "es"] = "en"
    units: Literal["us", "metric"] = "us"


def invite(office: Office, caller: Caller, role: Role, email: str) -> Invited:
    """Invite somebody; an earlier invitation to the same address no longer holds.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    role : str
        As what; one of `ROLES`.
    email : str
        Under which address.

    Raises
    ------
    ConflictError
        If somebody of the company has the address, or had it.
    RefusedError
        If the caller may not.
    """
    caller.require("people.write")
    email = email.strip().lower()
    token = new_token()
    with office.writing(caller) as unit:
        _require_free(unit, email)
        for earlier in unit.invitations.waiting(email):
            unit.invitations.withdraw(earlier.id)
        at = unit.invitations.hand.at
        made = unit.invitations.add(
            office.new_id(),
            token_hash=hashed(token),
            role=role,
            email=email,
            expires_at=at + HOLDS,
            made_by=caller.who,
            person_id=None,
        )
        unit.changes.note(unit.invitations.hand, "person-invited", made.id)
    return Invited(made, f"/join?token={token}")


def list_invitations(office: Office, caller: Caller) -> tuple[Invitation, ...]:
    """Return the invitations that nobody has used or withdrawn, expired ones too, oldest first.

    Raises
    ------
    RefusedError
        If the caller may not.
    """
    caller.require("people.write")
    with office.reading() as unit:
        return unit.invitations.waiting()


def withdraw_invitation(office: Office, caller: Caller, id: str) -> Invitation:
    """Withdraw an invitation.

    Raises
    ------
    ConflictError
        If somebody has joined by it.
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("people.write")
    with office.writing(caller) as unit:
        found = unit.invitations.get(id)
        if found.person_id is not None:
            raise ConflictError(say("desk.joined-already"), fix=say("desk.joined-already-do"))
        if found.withdrawn_at is None:
            unit.changes.note(unit.invitations.hand, "invitation-withdrawn", id)
        return unit.invitations.withdraw(id)


def invitation_of(office: Office, token: str) -> Invitation:
    """Return the invitation of a link, as long as it holds.

    Raises
    ------
    MissingError
        If it does not, whatever the reason.
    """
    with office.reading() as unit:
        return _holding(unit, office, token)


def join(office: Office, token: str, newcomer: Newcomer, before: str = "") -> Arrival:
    """Join the company by an invitation, and sign in.

    Parameters
    ----------
    office : Office
        Where.
    token : str
        Of the link.
    newcomer : Newcomer
        Who joins.
    before : str
        The token of the session that the browser had until now.

    Raises
    ------
    ConflictError
        If somebody has the address by now.
    InputError
        If the password is easily guessed.
    MissingError
        If the link does not hold, whatever the reason.
    """
    invitation = invitation_of(office, token)
    require_good(newcomer.password, newcomer.name, invitation.email)
    password_hash = hashed_password(newcomer.password)
    id = office.new_id()
    with office.writing_as(id) as unit:
        invitation = _holding(unit, office, token)
        _require_free(unit, invitation.email)
        person = unit.people.add(
            id,
            name=newcomer.name,
            email=invitation.email,
            role=invitation.role,
            language=newcomer.language,
            units=newcomer.units,
            password_hash=password_hash,
        )
        try:
            unit.invitations.change(invitation.id, invitation.version, person_id=id)
        except StaleError as error:
            raise link_gone() from error
        unit.changes.note(unit.people.hand, "person-joined", id)
        return arrive(unit, office, person, before)


def _holding(unit: Unit, office: Office, token: str) -> Invitation:
    token_hash = hashed(token)
    found = unit.invitations.by_token(token_hash) if token_hash else None
    if found is None or found.person_id or found.withdrawn_at is not None or found.expires_at <= office.now():
        raise link_gone()
    return found


def _require_free(unit: Unit, email: str) -> None:
    """Refuse an address that somebody of the company has, or had."""
    person = unit.people.by_email(email)
    if person is not None:
        raise ConflictError(say("desk.email-taken"), where="email", fix=say("desk.email-taken-do"))


def link_gone() -> MissingError:
    """Return the answer to a link that was never made, was used, withdrawn, or has expired: the same for all."""
    return MissingError(say("desk.link-gone"), fix=say("desk.link-gone-do"))
