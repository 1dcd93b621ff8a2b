"""Links for customers, and the questions that come through them, as the office sees them."""

from __future__ import annotations

import datetime as dt
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Response, status
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.texts import Note
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.offers import links as desk
from courtwright.store.rows.links import Scope
from courtwright.store.rows.questions import Question

router = APIRouter(prefix="/api/offers/{id}", tags=["offers"])

Seen = Annotated[int, Depends(seen)]


class LinkGiven(BaseModel):
    """What a link is to open, and until when."""

    model_config = ConfigDict(extra="forbid")

    scope: Scope = Field("accept", description="To read and ask, or to accept and decline as well.")
    expires_at: AwareDatetime | None = Field(
        None, description="60 days from now, or the offer's own end where that is later, unless given."
    )


class LinkOut(BaseModel):
    """A link."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    offer_id: UUID
    version: int
    made_at: dt.datetime
    withdrawn_at: dt.datetime | None
    scope: Scope
    expires_at: dt.datetime
    made_by: str


class LinkMade(BaseModel):
    """A link, with the address that is told this once."""

    link: LinkOut
    path: str = Field(description="Behind the address of the service; what follows # never reaches a server's log.")


class QuestionOut(BaseModel):
    """What a customer asked."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    offer_id: UUID
    link_id: UUID
    version: int
    made_at: dt.datetime
    text: str
    answer: str | None


class AnswerGiven(BaseModel):
    """What a customer is answered."""

    model_config = ConfigDict(extra="forbid")

    answer: Annotated[Note, Field(min_length=1)]


@router.get("/links", responses=problems(404))
def list_links(id: UUID, office: TheOffice, caller: SignedIn) -> list[LinkOut]:
    """Return every link of an offer, ended or not, oldest first."""
    return [LinkOut.model_validate(one) for one in desk.list_links(office, caller, str(id))]


@router.post("/links", status_code=status.HTTP_201_CREATED, responses=problems(404, 409))
def make_link(id: UUID, given: LinkGiven, office: TheOffice, caller: SignedIn) -> LinkMade:
    """Make a link to a sent offer; its token is told this once and kept nowhere."""
    token, link = desk.make_link(office, caller, str(id), given.scope, given.expires_at)
    return LinkMade(link=LinkOut.model_validate(link), path=f"/offer#{token}")


@router.delete("/links/{link_id}", responses=problems(404))
def withdraw_link(id: UUID, link_id: UUID, office: TheOffice, caller: SignedIn) -> LinkOut:
    """Take a link back: whoever came by it is signed out at once."""
    return LinkOut.model_validate(desk.withdraw_link(office, caller, str(id), str(link_id)))


@router.get("/questions", responses=problems(404))
def list_questions(id: UUID, office: TheOffice, caller: SignedIn) -> list[QuestionOut]:
    """Return what customers asked about an offer, oldest first; the version of each is its ETag."""
    return [QuestionOut.model_validate(one) for one in desk.list_questions(office, caller, str(id))]


@router.put("/questions/{question_id}/answer", responses=problems(404, 412, 428))
def answer_question(
    id: UUID,
    question_id: UUID,
    given: AnswerGiven,
    office: TheOffice,
    caller: SignedIn,
    version: Seen,
    response: Response,
) -> QuestionOut:
    """Answer a question, as it was seen."""
    answered = desk.answer_question(office, caller, str(id), str(question_id), version, given.answer)
    return _question_out(answered, response)


def _question_out(question: Question, response: Response) -> QuestionOut:
    tagged(response, question.version)
    return QuestionOut.model_validate(question)
