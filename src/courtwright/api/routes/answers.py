"""Answers about a walk: what the commands print of the same site."""

from __future__ import annotations

import datetime as dt
import gzip
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.built import codings
from courtwright.api.problem import language_of, problems
from courtwright.api.routes.maps_shape import MapsAnswer
from courtwright.api.routes.tasks import TaskOut
from courtwright.api.routes.tasks import out as task_out
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.kinds.asked import Language, What
from courtwright.desk.work import answers as desk
from courtwright.desk.work.answers import Question, Told

router = APIRouter(prefix="/api/walks/{id}/answers", tags=["answers"])

_OF_SEED = "Of everything drawn at random."
#: So long an answer is packed on its way: heights come to a quarter. [bytes], [-]
_LONG, _PACKED_SO = 20_000, 5


class AnswerAsked(BaseModel):
    """What is asked."""

    model_config = ConfigDict(extra="forbid")

    what: What
    language: Language = "en"
    seed: int = Field(default=1, ge=0, le=2**53, description=_OF_SEED)


class AnswerOut(BaseModel):
    """An answer, and what it rests on."""

    what: What
    language: Language
    seed: int
    seq: int = Field(description="The last update of the walk in it.")
    at: dt.datetime = Field(description="When it was kept; the answer itself holds no time of day.")
    is_current: bool = Field(description="Whether nothing has changed that it rests on.")
    answer: MapsAnswer | dict[str, Any] = Field(
        description="To the byte what the command of the same name prints with --json; maps has no command."
    )


def _out(told: Told, request: Request) -> Response:
    """Return an answer with its document as it was computed, not read and written again; a long one packed.

    No secret stands in an answer that its reader might be led to guess by how well it packs.
    """
    values = {name: getattr(told.answer, name) for name in ("what", "language", "seed", "seq", "at")}
    head = AnswerOut(**values, is_current=told.is_current, answer={}).model_dump_json(exclude={"answer"})
    body = head.removesuffix("}").encode() + b',"answer":' + told.document + b"}"
    headers = {"Vary": "Accept-Encoding"}
    if len(body) >= _LONG and "gzip" in codings(request.headers.get("accept-encoding", "")):
        body, headers["Content-Encoding"] = gzip.compress(body, _PACKED_SO, mtime=0), "gzip"
    return Response(body, headers=headers, media_type="application/json")


@router.post(
    "",
    response_model=AnswerOut,
    responses={**problems(404), 202: {"model": TaskOut, "description": "It is being computed."}},
)
def ask(id: UUID, given: AnswerAsked, office: TheOffice, caller: SignedIn, request: Request) -> Response:
    """Ask a question: the kept answer where nothing has changed since, else the task that computes it."""
    found = desk.ask(office, caller, str(id), Question(given.what, given.language, given.seed))
    if isinstance(found, Told):
        return _out(found, request)
    return Response(
        task_out(found, language_of(request)).model_dump_json(),
        status.HTTP_202_ACCEPTED,
        {"Location": f"/api/tasks/{found.id}"},
        "application/json",
    )


@router.get("/{what}", response_model=AnswerOut, responses=problems(404))
def last_answer(
    id: UUID,
    what: What,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    language: Language = "en",
    seed: Annotated[int, Query(ge=0, le=2**53, description=_OF_SEED)] = 1,
) -> Response:
    """Return the last answer to a question, whether current or not."""
    return _out(desk.last_answer(office, caller, str(id), Question(what, language, seed)), request)
