"""The people of the company, and oneself."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.arrivals import Before, PersonOut, SessionOut, TheGuesses, arrived, person_out
from courtwright.api.asked import After, Most, Since
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.routes.jobs import ChangeOut
from courtwright.api.texts import Name, Secret
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.caller import Role
from courtwright.desk.people import entries
from courtwright.desk.people import people as desk
from courtwright.store.rows.people import Person
from courtwright.trade.words import Language, UnitSystem

router = APIRouter(prefix="/api", tags=["people"])

Seen = Annotated[int, Depends(seen)]


class RoleGiven(BaseModel):
    """Another role."""

    model_config = ConfigDict(extra="forbid")

    role: Role


class SelfChanged(BaseModel):
    """What one may change of oneself."""

    model_config = ConfigDict(extra="forbid")

    name: Name | None = None
    language: Language | None = None
    units: UnitSystem | None = None

    def values(self) -> dict[str, Any]:
        """Return what was sent."""
        return {name: value for name, value in self.model_dump(exclude_unset=True).items() if value is not None}


class PasswordGiven(BaseModel):
    """Another password, and the one until now."""

    model_config = ConfigDict(extra="forbid")

    old: Secret
    new: Secret


class PersonPage(BaseModel):
    """Some people."""

    items: list[PersonOut]
    next: str | None


class PasswordLinkOut(BaseModel):
    """A link that lets one person in once; it is shown this time only."""

    path: str = Field(description="From the service's address on.")
    expires_at: dt.datetime


def _out(person: Person, response: Response) -> PersonOut:
    tagged(response, person.version)
    return person_out(person)


@router.get("/people")
def list_people(
    office: TheOffice,
    caller: SignedIn,
    withdrawn: Annotated[bool, Query(description="Those withdrawn instead of the others.")] = False,
    most: Most = 50,
    after: After = None,
) -> PersonPage:
    """Return the people of the company, changed last first."""
    page = desk.list_people(office, caller, is_withdrawn=withdrawn, most=most, after=after)
    return PersonPage(items=[person_out(one) for one in page.items], next=page.next)


@router.get("/people/{id}", responses=problems(404))
def person(id: UUID, office: TheOffice, caller: SignedIn, response: Response) -> PersonOut:
    """Return one person, with the ETag."""
    return _out(desk.person(office, caller, str(id)), response)


@router.get("/people/{id}/history", responses=problems(404))
def person_history(
    id: UUID, office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0
) -> list[ChangeOut]:
    """Return what became of a person's record, oldest change first; for the head."""
    found = desk.person_history(office, caller, str(id), most=most, after=after)
    return [ChangeOut.model_validate(one) for one in found]


@router.put("/people/{id}/role", responses=problems(404, 409, 412, 428))
def change_role(
    id: UUID, given: RoleGiven, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> PersonOut:
    """Give a person another role; somebody must remain head."""
    return _out(desk.change_role(office, caller, str(id), version, given.role), response)


@router.post("/people/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_person(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> PersonOut:
    """Withdraw a person, who is signed out everywhere at once; what they did stays."""
    return _out(desk.withdraw_person(office, caller, str(id), version), response)


@router.post("/people/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_person(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> PersonOut:
    """Bring a withdrawn person back."""
    return _out(desk.bring_back_person(office, caller, str(id), version), response)


@router.post("/people/{id}/entry", status_code=status.HTTP_201_CREATED, responses=problems(404, 409))
def make_entry(id: UUID, office: TheOffice, caller: SignedIn) -> PasswordLinkOut:
    """Make a one-time link by which a person who forgot the password chooses a new one."""
    made = entries.entry_for_person(office, caller, str(id))
    return PasswordLinkOut(path=made.path, expires_at=made.entry.expires_at)


@router.get("/me", responses=problems(404))
def myself(office: TheOffice, caller: SignedIn, response: Response) -> PersonOut:
    """Return the caller's own record, with its ETag."""
    return _out(desk.person(office, caller, caller.who), response)


@router.patch("/me", responses=problems(404, 409, 412, 428))
def change_self(
    given: SelfChanged, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> PersonOut:
    """Change one's own name, language or units."""
    return _out(desk.change_self(office, caller, version, given.values()), response)


@router.post("/me/password", responses=problems(404, 409, 429))
def change_password(
    given: PasswordGiven,
    office: TheOffice,
    caller: SignedIn,
    guesses: TheGuesses,
    before: Before,
    request: Request,
    response: Response,
) -> SessionOut:
    """Change one's own password: every session ends, and a new one begins here."""
    return arrived(request, response, desk.change_password(office, caller, guesses, given.old, given.new, before))
