"""Whether the service lives, and whether it can work: for whoever watches over it, signed in or not."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel

from courtwright.api.problem import Place, answer, language_of, problems
from courtwright.api.who import TheOffice
from courtwright.desk.keeping.health import what_is_missing
from courtwright.says import say
from courtwright.trade.words import render

router = APIRouter(prefix="/api/health", tags=["health"])


class Live(BaseModel):
    """The process answers."""

    live: Literal[True] = True


class Ready(BaseModel):
    """All parts work."""

    ready: Literal[True] = True


@router.get("/live")
async def live() -> Live:
    """Tell that the process answers; nothing else is looked at."""
    return Live()


@router.get("/ready", response_model=Ready, responses=problems(503))
def ready(office: TheOffice, request: Request) -> Ready | Response:
    """Tell whether the database can be read and written, files be kept, and long work be done."""
    missing = what_is_missing(office, request.app.state.runner)
    if not missing:
        return Ready()
    places = [Place(at=part, says=render(says, language_of(request))) for part, says in missing.items()]
    title, do = say("api.not-ready", parts=tuple(missing)), say("api.not-ready-do")
    return answer(request, 503, "not-ready", title, do, places=places, headers={"Retry-After": "5"})
