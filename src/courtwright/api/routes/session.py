"""Signing in and out."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response, status
from pydantic import BaseModel, ConfigDict

from courtwright.api import cookies
from courtwright.api.arrivals import Before, SessionOut, TheGuesses, arrived, person_out
from courtwright.api.csrf import csrf_token, require_ours
from courtwright.api.problem import problems
from courtwright.api.texts import Line, Secret
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.people import people, sessions

router = APIRouter(prefix="/api", tags=["session"])


class SignInGiven(BaseModel):
    """Who signs in."""

    model_config = ConfigDict(extra="forbid")

    email: Line
    password: Secret


class OneSessionOut(BaseModel):
    """One browser in which the caller is signed in."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    made_at: dt.datetime
    seen_at: dt.datetime
    expires_at: dt.datetime
    is_this: bool = False


@router.post("/session", dependencies=[Depends(require_ours)], responses=problems(429))
def sign_in(
    given: SignInGiven, office: TheOffice, guesses: TheGuesses, before: Before, request: Request, response: Response
) -> SessionOut:
    """Sign in by email address and password; the cookie comes with the answer."""
    return arrived(request, response, sessions.sign_in(office, guesses, given.email, given.password, before))


@router.get("/session", responses=problems(404))
def session(office: TheOffice, caller: SignedIn, before: Before) -> SessionOut:
    """Return who is signed in here, and the word for X-CSRF-Token."""
    person = people.person(office, caller, caller.who)
    return SessionOut(id=UUID(caller.session_id), person=person_out(person), csrf_token=csrf_token(before))


@router.delete("/session", status_code=status.HTTP_204_NO_CONTENT)
def sign_out(office: TheOffice, caller: SignedIn, request: Request, response: Response) -> None:
    """Sign out here."""
    sessions.sign_out(office, caller)
    cookies.take(request, response, cookies.SESSION)


@router.get("/sessions")
def own_sessions(office: TheOffice, caller: SignedIn) -> list[OneSessionOut]:
    """Return where the caller is signed in, oldest first."""
    found = [OneSessionOut.model_validate(one) for one in sessions.own_sessions(office, caller)]
    return [one.model_copy(update={"is_this": str(one.id) == caller.session_id}) for one in found]


@router.delete("/sessions/{id}", status_code=status.HTTP_204_NO_CONTENT, responses=problems(404))
def end_session(id: UUID, office: TheOffice, caller: SignedIn) -> None:
    """End one of the caller's own sessions, such as that of a lost phone."""
    sessions.end_session(office, caller, str(id))
