"""What went wrong, as RFC 9457 tells it: ``application/problem+json``, in the reader's language.

The sentences are those of the errors' tree; a fault of ours says that it is one, and no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from courtwright.api.conditional import NoVersionError
from courtwright.api.mistakes import wrong_at
from courtwright.errors import (
    ArchiveError,
    BusyError,
    CallError,
    ConflictError,
    CourtwrightError,
    DamagedError,
    InputError,
    MissingError,
    OutOfRangeError,
    RefusedError,
    StaleError,
    StoreError,
    TooLargeError,
    TooManyError,
    UnknownCallerError,
)
from courtwright.says import Says, say
from courtwright.trade.words import Language, render

MEDIA = "application/problem+json"

#: The status of an error is that of the first of its kinds listed here.
_STATUS: tuple[tuple[type[CourtwrightError], int], ...] = (
    (UnknownCallerError, 401),
    (TooManyError, 429),
    (RefusedError, 403),
    (MissingError, 404),
    (StaleError, 412),
    (NoVersionError, 428),
    (ConflictError, 409),
    (TooLargeError, 413),
    (ArchiveError, 422),
    (InputError, 422),
    (OutOfRangeError, 422),
    (CallError, 400),
    (BusyError, 503),
    (DamagedError, 500),
    (StoreError, 507),
)


class Place(BaseModel):
    """One wrong place in a request."""

    at: str = Field(description="Where, e.g. body.name.")
    says: str = Field(description="What is wrong with it.")


class Problem(BaseModel):
    """A problem, RFC 9457."""

    type: str = Field(description="about:blank: the status says all that a program needs beside the code.")
    title: str = Field(description="What is wrong.")
    status: int
    detail: str = Field(description="What to do about it; empty where nothing helps.")
    code: str = Field(description="Stable, kebab-case.")
    at: str = Field(default="", description="Where, when it is in one place.")
    places: list[Place] = Field(default_factory=list[Place])


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the declaration of problems for a route.

    Parameters
    ----------
    statuses : int
        Those that it can answer beside the common ones. [-]
    """
    schema = {"content": {MEDIA: {"schema": {"$ref": "#/components/schemas/Problem"}}}}
    return {status: {"description": _TITLES[status], **schema} for status in statuses}


_TITLES = {
    400: "The request cannot be read.",
    401: "Nobody is signed in.",
    403: "This caller may not.",
    404: "There is none, or none for this caller.",
    405: "This cannot be done here.",
    408: "The request came too slowly.",
    409: "Its state forbids it.",
    410: "It has expired.",
    412: "It has changed since it was seen.",
    413: "It is too large.",
    415: "It is of a kind not read here.",
    421: "This host is not served here.",
    422: "What was sent is wrong.",
    428: "If-Match is missing.",
    429: "Too many at once.",
    500: "A fault of the service.",
    503: "Not now; the same again will do.",
    507: "There is no room.",
}

#: What every route can answer, because of what stands around all of them.
COMMON = problems(400, 401, 403, 408, 413, 421, 422, 500, 503, 507)


#: So many wrong places are told at once: an answer is no larger than what people read. [-]
MOST_PLACES = 100


def language_of(request: Request) -> Language:
    """Return the language in which the caller reads, from Accept-Language; English unless Spanish comes first."""
    first = request.headers.get("accept-language", "").split(",")[0].strip().lower()
    return "es" if first.startswith("es") else "en"


def answer(
    request: Request,
    status: int,
    code: str,
    title: Says,
    detail: Says | None = None,
    at: str = "",
    places: Sequence[Place] = (),
    headers: dict[str, str] | None = None,
) -> JSONResponse:
    """Return a problem as an answer.

    Parameters
    ----------
    request : Request
        What it answers.
    status : int
        Of HTTP. [-]
    code, at : str
        Stable name of the problem; where it is.
    title, detail : Says
        What is wrong, and what to do.
    places : sequence of Place
        Each wrong place, when there are several.
    headers : dict or None
        Further ones.
    """
    language = language_of(request)
    body = Problem(
        type="about:blank",
        title=render(title, language, "us"),
        status=status,
        detail=render(detail, language, "us") if detail else "",
        code=code,
        at=at,
        places=list(places),
    )
    return JSONResponse(body.model_dump(), status, headers, media_type=MEDIA)


def status_of(error: CourtwrightError) -> int:
    """Return the status that an error of ours has on the web. [-]"""
    return next((status for kind, status in _STATUS if isinstance(error, kind)), 500)


def headers_of(error: CourtwrightError, status: int) -> dict[str, str]:
    """Return what an answer to an error with this status [-] says besides: when to come again, how to be known."""
    if isinstance(error, TooManyError):
        return {"Retry-After": str(error.wait)}
    return {503: {"Retry-After": "1"}, 401: {"WWW-Authenticate": "Session"}}.get(status, {})


def _said(request: Request, mistake: dict[str, Any]) -> str:
    return render(wrong_at(mistake), language_of(request), "us")


def install(app: FastAPI) -> None:
    """Let an app answer every problem as this file says."""

    @app.exception_handler(CourtwrightError)
    def _ours(request: Request, error: CourtwrightError) -> Response:
        status = status_of(error)
        return answer(
            request, status, error.code, error.problem, error.fix, error.where, headers=headers_of(error, status)
        )

    @app.exception_handler(RequestValidationError)
    def _wrong(request: Request, error: RequestValidationError) -> Response:
        found = error.errors()
        if any(one["type"] == "json_invalid" for one in found):
            return answer(request, 400, "not-json", say("api.not-json"))
        places = [Place(at=".".join(map(str, one["loc"])), says=_said(request, one)) for one in found[:MOST_PLACES]]
        return answer(request, 422, "input", say("api.wrong"), say("api.wrong-do"), places=places)

    @app.exception_handler(HTTPException)
    def _plain(request: Request, error: HTTPException) -> Response:
        id = {404: "api.no-route", 405: "api.no-method"}.get(error.status_code, "api.refused")
        headers = dict(error.headers) if error.headers else None
        return answer(request, error.status_code, id.removeprefix("api."), say(id), headers=headers)
