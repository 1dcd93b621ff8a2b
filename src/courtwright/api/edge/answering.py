"""Problems that are answered before a request reaches the app, in the shape of the app's own."""

from __future__ import annotations

import json
from collections.abc import Iterable

from starlette.types import Message, Scope, Send

from courtwright.says import Says
from courtwright.trade.words import Language, render

MEDIA = b"application/problem+json"
Headers = Iterable[tuple[bytes, bytes]]


def header(scope: Scope, name: bytes) -> str:
    """Return a header of the request, empty when it has none."""
    found = (value for key, value in scope["headers"] if key == name)
    return next(found, b"").decode("latin-1")


def response_header(message: Message, name: bytes) -> bytes:
    """Return a header of an answer that starts, empty when it has none."""
    return next((value for key, value in message.get("headers", ()) if key.lower() == name), b"")


def reads(scope: Scope) -> Language:
    """Return the caller's language: Spanish when it comes first in Accept-Language, else English."""
    return "es" if header(scope, b"accept-language").strip().lower().startswith("es") else "en"


def problem(status: int, code: str, title: Says, detail: Says | None, language: Language) -> bytes:
    """Return a problem of RFC 9457 as JSON.

    Parameters
    ----------
    status : int
        Of HTTP. [-]
    code : str
        Stable name of the problem.
    title, detail : Says
        What is wrong, and what to do.
    language : {"en", "es"}
        The reader's.
    """
    body = {
        "type": "about:blank",
        "title": render(title, language),
        "status": status,
        "detail": render(detail, language) if detail else "",
        "code": code,
        "at": "",
        "places": [],
    }
    return json.dumps(body, ensure_ascii=False).encode()


async def answer(
    scope: Scope,
    send: Send,
    status: int,
    code: str,
    title: Says,
    detail: Says | None = None,
    *,
    headers: Headers = (),
    closes: bool = False,
) -> None:
    """Send a problem.

    Parameters
    ----------
    scope : Scope
        The request that it answers.
    send : Send
        Takes the answer.
    status : int
        Of HTTP. [-]
    code : str
        Stable name of the problem.
    title, detail : Says
        What is wrong, and what to do.
    headers : iterable of (bytes, bytes)
        Further ones.
    closes : bool
        Whether the connection ends with it, because the rest of the request is not read.
    """
    body = problem(status, code, title, detail, reads(scope))
    told = [(b"content-type", MEDIA), (b"content-length", str(len(body)).encode()), *headers]
    told += [(b"cache-control", b"no-store"), *([(b"connection", b"close")] if closes else [])]
    await send({"type": "http.response.start", "status": status, "headers": told})
    await send({"type": "http.response.body", "body": body, "more_body": False})
