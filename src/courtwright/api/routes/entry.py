"""One-time entries: what a link opens, and going through it."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from fastapi import APIRouter, Depends, Request, Response
from pydantic import BaseModel, ConfigDict

from courtwright.api.arrivals import Before, SessionOut, arrived
from courtwright.api.csrf import require_ours
from courtwright.api.problem import problems
from courtwright.api.texts import Email, Name, Secret
from courtwright.api.who import TheOffice
from courtwright.desk.people import entries as desk
from courtwright.trade.words import Language, UnitSystem

router = APIRouter(prefix="/api/entry", tags=["entry"], dependencies=[Depends(require_ours)])


class EntryGiven(BaseModel):
    """The token of a one-time link."""

    model_config = ConfigDict(extra="forbid")

    token: Secret


class PasswordChosen(EntryGiven):
    """A new password, by a link."""

    password: Secret


class SetUpGiven(EntryGiven):
    """The first head of the company, and its name."""

    name: Name
    email: Email
    password: Secret
    company: Name
    language: Language = "en"
    units: UnitSystem = "us"


class OpensOut(BaseModel):
    """What a link opens."""

    model_config = ConfigDict(from_attributes=True)

    opens: Literal["set-up", "sign-in", "password"]
    expires_at: dt.datetime


@router.post("/look", responses=problems(404))
def look(given: EntryGiven, office: TheOffice) -> OpensOut:
    """Return what a link opens, without using it up."""
    return OpensOut.model_validate(desk.entry_of(office, given.token))


@router.post("/set-up", responses=problems(404, 409))
def set_up(given: SetUpGiven, office: TheOffice, before: Before, request: Request, response: Response) -> SessionOut:
    """Set the company up with its first head; the cookie comes with the answer."""
    who = desk.SetUp(given.name, given.email, given.password, given.company, given.language, given.units)
    return arrived(request, response, desk.set_up(office, given.token, who, before))


@router.post("/sign-in", responses=problems(404))
def enter(given: EntryGiven, office: TheOffice, before: Before, request: Request, response: Response) -> SessionOut:
    """Sign in by a link; the cookie comes with the answer."""
    return arrived(request, response, desk.enter(office, given.token, before))


@router.post("/password", responses=problems(404))
def choose_password(
    given: PasswordChosen, office: TheOffice, before: Before, request: Request, response: Response
) -> SessionOut:
    """Choose a new password by a link, and sign in; every other session of the person ends."""
    return arrived(request, response, desk.choose_password(office, given.token, given.password, before))
