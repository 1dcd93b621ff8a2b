"""What a customer reaches who came by a link: the one offer, its files, a question, an answer."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api import cookies
from courtwright.api.csrf import csrf_token, require_ours
from courtwright.api.problem import problems
from courtwright.api.raw import gives
from courtwright.api.routes.company import PngResponse
from courtwright.api.routes.offers import MEDIAS, FileName, offer_file
from courtwright.api.texts import Line, Note, Secret
from courtwright.api.who import TheCustomer, TheOffice
from courtwright.desk.offers import customers as desk
from courtwright.desk.offers.standing import Standing
from courtwright.desk.office import Office
from courtwright.desk.people import sessions

router = APIRouter(prefix="/api/customer", tags=["customer"])


class TokenGiven(BaseModel):
    """What stands behind # in the link."""

    model_config = ConfigDict(extra="forbid")

    token: Secret


class EnteredOut(BaseModel):
    """That the link holds."""

    csrf_token: str = Field(description="Sent along as X-CSRF-Token with everything that changes something.")


class AskedGiven(BaseModel):
    """A question."""

    model_config = ConfigDict(extra="forbid")

    text: Annotated[Note, Field(min_length=1, max_length=4000)]


class AskedOut(BaseModel):
    """A question, and its answer once there is one."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    made_at: dt.datetime
    text: str
    answer: str | None


class AcceptedGiven(BaseModel):
    """An acceptance."""

    model_config = ConfigDict(extra="forbid")

    options: dict[Line, Line] = Field(description="The option that is chosen, by pad.", max_length=200)
    name: Line
    consent: Note = Field(description="The sentence as it was shown.")


class AcceptedOut(BaseModel):
    """How the offer was accepted."""

    model_config = ConfigDict(from_attributes=True)

    options: dict[str, str]
    name: str
    consent: str
    signed_on: dt.date | None
    at: dt.datetime


class DeclinedByCustomer(BaseModel):
    """That the offer is declined."""

    model_config = ConfigDict(extra="forbid")

    because: Annotated[Note, Field(max_length=4000)] = ""


class OfferShownOut(BaseModel):
    """The offer as its customer sees it."""

    model_config = ConfigDict(from_attributes=True)

    number: int
    revision: int
    standing: Standing
    says: dict[str, Any] = Field(description="What it says, as its offer.json.")
    files: list[str] = Field(description="The files that may be had.")
    consent: str | None = Field(description="What an acceptance agrees to; null where it cannot be accepted now.")
    choices: dict[str, list[str]] = Field(description="The options to choose from, by pad.")
    acceptance: AcceptedOut | None
    seal: str | None = Field(description="The code that is printed on the sheet of the accepted offer.")
    has_logo: bool = Field(description="Whether its papers show the contractor's logo.")
    questions: list[AskedOut]


def _shown(office: Office, caller: TheCustomer) -> OfferShownOut:
    return OfferShownOut.model_validate(desk.shown(office, caller))


@router.post("/session", dependencies=[Depends(require_ours)])
def enter(given: TokenGiven, office: TheOffice, request: Request, response: Response) -> EnteredOut:
    """Come in by a link; the cookie comes with the answer. Whatever is wrong with a link, the answer is the same."""
    token, session = desk.enter(office, given.token)
    seconds = int((session.expires_at - office.now()).total_seconds())
    cookies.give(request, response, cookies.OFFER, token, max(seconds, 1))
    return EnteredOut(csrf_token=csrf_token(token))


@router.get("/session")
def session(caller: TheCustomer, request: Request) -> EnteredOut:
    """Return the word for X-CSRF-Token."""
    del caller
    return EnteredOut(csrf_token=csrf_token(cookies.read(request, cookies.OFFER)))


@router.delete("/session", status_code=status.HTTP_204_NO_CONTENT)
def leave(office: TheOffice, caller: TheCustomer, request: Request, response: Response) -> None:
    """End what the link began; the link goes on."""
    sessions.sign_out(office, caller)
    cookies.take(request, response, cookies.OFFER)


@router.get("/offer")
def shown(office: TheOffice, caller: TheCustomer) -> OfferShownOut:
    """Return the offer."""
    return _shown(office, caller)


@router.get("/file", response_class=Response, responses={**gives("The file.", *MEDIAS), **problems(404)})
def file(name: FileName, office: TheOffice, caller: TheCustomer) -> Response:
    """Return one of the offer's files, to be saved."""
    return offer_file(desk.file(office, caller, name), name)


@router.get("/logo", response_class=PngResponse, responses=problems(404))
def logo(office: TheOffice, caller: TheCustomer) -> Response:
    """Return the logo that stands on the offer."""
    return PngResponse(desk.logo(office, caller))


@router.post("/questions", status_code=status.HTTP_201_CREATED, responses=problems(429))
def ask(given: AskedGiven, office: TheOffice, caller: TheCustomer) -> AskedOut:
    """Ask about the offer."""
    return AskedOut.model_validate(desk.ask(office, caller, given.text))


@router.post("/accept", responses=problems(409))
def accept(given: AcceptedGiven, office: TheOffice, caller: TheCustomer) -> OfferShownOut:
    """Accept the offer; the same again changes nothing."""
    desk.accept(office, caller, dict(given.options), given.name, given.consent)
    return _shown(office, caller)


@router.post("/decline", responses=problems(409))
def decline(given: DeclinedByCustomer, office: TheOffice, caller: TheCustomer) -> OfferShownOut:
    """Decline the offer; the same again changes nothing."""
    desk.decline(office, caller, given.because)
    return _shown(office, caller)
