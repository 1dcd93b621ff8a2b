"""Bodies that are bytes: read up to a limit, declared as such, and answers that are never taken for a page."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any
from urllib.parse import quote

from fastapi import Request, Response

from courtwright.errors import TooLargeError
from courtwright.says import say

OCTETS = "application/octet-stream"
_BINARY = {"schema": {"type": "string", "format": "binary"}}


def takes(media: str = OCTETS) -> dict[str, Any]:
    """Return the declaration of a route whose body is bytes of a type."""
    return {"requestBody": {"required": True, "content": {media: _BINARY}}}


def gives(description: str, *medias: str) -> dict[int | str, dict[str, Any]]:
    """Return the declaration of a route that answers 200 with bytes of one of these types."""
    # JSON is told by its type; what stands in a file of it is the file's own.
    content = {media: {"schema": {}} if media == "application/json" else _BINARY for media in medias or (OCTETS,)}
    return {200: {"description": description, "content": content}}


def sent(most: int) -> Callable[[Request], Awaitable[bytes]]:
    """Return a dependency that reads the body of a request.

    Parameters
    ----------
    most : int
        A larger one is answered with 413 as soon as that shows. [bytes]
    """

    async def read(request: Request) -> bytes:
        found = bytearray()
        async for chunk in request.stream():
            found += chunk
            if len(found) > most:
                raise TooLargeError(say("api.edge-large", most=most / 1e6), where="body", fix=say("api.edge-large-do"))
        return bytes(found)

    return read


def file_answer(data: bytes, media: str, name: str, tag: str, *, is_kept_for_good: bool = False) -> Response:
    """Return a file as an answer: to be saved, never to be shown as a page.

    Parameters
    ----------
    data : bytes
        What is in it.
    media, name, tag : str
        Its type by its content, what it is called, and its ETag.
    is_kept_for_good : bool
        Whether the same address always gives the same file, so that the caller may keep it.
    """
    headers = {
        **never_a_page(name),
        "Cache-Control": "private, max-age=31536000, immutable" if is_kept_for_good else "private, no-cache",
        "ETag": tag,
    }
    return Response(data, media_type=media, headers=headers)


def never_a_page(name: str) -> dict[str, str]:
    """Return the headers by which a browser saves an answer under a name, and never shows it as a page."""
    plain = "".join(letter if letter.isascii() and (letter.isalnum() or letter in "-_. ") else "_" for letter in name)
    return {
        "Content-Disposition": f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}",
        "Content-Security-Policy": "default-src 'none'; sandbox",
        "X-Content-Type-Options": "nosniff",
    }


def has_it(request: Request, tag: str) -> bool:
    """Tell whether the caller says in If-None-Match that it has what an ETag names."""
    told = request.headers.get("if-none-match", "")
    return tag in [one.strip().removeprefix("W/") for one in told.split(",")] or told.strip() == "*"


def unchanged(tag: str) -> Response:
    """Return the answer to a caller that has it already."""
    return Response(status_code=304, headers={"ETag": tag})
