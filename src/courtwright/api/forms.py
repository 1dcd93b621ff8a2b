"""Plain forms of a page without a script."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import parse_qsl

from fastapi import Depends, Request

from courtwright.errors import CallError
from courtwright.says import say

_MEDIA = "application/x-www-form-urlencoded"
#: More fields than any of our forms has. [-]
_MOST = 20


async def _form(request: Request) -> dict[str, str]:
    """Return the fields of a form, the last of each name.

    Raises
    ------
    CallError
        If the body is no such form.
    """
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != _MEDIA:
        raise CallError(say("api.not-a-form"))
    body = await request.body()
    try:
        return dict(parse_qsl(body.decode(), keep_blank_values=True, max_num_fields=_MOST, errors="strict"))
    except ValueError as error:
        raise CallError(say("api.not-a-form")) from error


TheForm = Annotated[dict[str, str], Depends(_form)]
