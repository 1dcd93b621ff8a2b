"""Whoever has just signed in gets a cookie, and is told who they are and the word that their page sends along."""

from __future__ import annotations

import datetime as dt
from typing import Annotated
from uuid import UUID

from fastapi import Depends, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api import cookies
from courtwright.api.csrf import csrf_token
from courtwright.desk.caller import Role
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.sessions import LONGEST, Arrival
from courtwright.store.rows.people import Person
from courtwright.trade.words import Language, UnitSystem


class PersonOut(BaseModel):
    """A person of the company."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None
    name: str
    email: str | None = Field(description="For the head and for themselves; null for others.")
    role: Role
    language: Language
    units: UnitSystem


class SessionOut(BaseModel):
    """Who is signed in here."""

    id: UUID
    person: PersonOut
    csrf_token: str = Field(description="Sent along as X-CSRF-Token with everything that changes something.")


def person_out(person: Person) -> PersonOut:
    """Return a person as answers show them."""
    shown = PersonOut.model_validate(person)
    return shown if shown.email else shown.model_copy(update={"email": None})


def arrived(request: Request, response: Response, arrival: Arrival) -> SessionOut:
    """Give somebody who has just signed in the cookie, and say who it is."""
    cookies.give(request, response, cookies.SESSION, arrival.token, int(LONGEST.total_seconds()))
    return SessionOut(
        id=UUID(arrival.session.id), person=person_out(arrival.person), csrf_token=csrf_token(arrival.token)
    )


def _guesses(request: Request) -> Guesses:
    return request.app.state.guesses


def _before(request: Request) -> str:
    return cookies.read(request, cookies.SESSION)


#: The tries of passwords, of this process.
TheGuesses = Annotated[Guesses, Depends(_guesses)]
#: The token that the browser had until now, empty when it had none.
Before = Annotated[str, Depends(_before)]
