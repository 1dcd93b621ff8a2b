"""Versions on the web: ETag on what is read, If-Match on what is changed."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import Header, Response

from courtwright.errors import CourtwrightError
from courtwright.says import say

_TAG = re.compile(r'"(\d{1,9})"')


class NoVersionError(CourtwrightError):
    """A change came without the version that was seen."""

    code = "no-if-match"


def tag(version: int) -> str:
    """Return the ETag of a version [-].

    Examples
    --------
    >>> tag(3)
    '"3"'
    """
    return f'"{version}"'


def tagged(response: Response, version: int) -> None:
    """Give an answer its ETag, the version [-] of the record in it."""
    response.headers["ETag"] = tag(version)


async def seen(
    if_match: Annotated[str | None, Header(description="The ETag of the record as it was read.")] = None,
) -> int:
    """Return the version that the caller saw. [-]

    Raises
    ------
    NoVersionError
        If the request does not say; a tag that is none of ours is the version 0, which none has.
    """
    if if_match is None:
        raise NoVersionError(say("api.no-if-match"), where="If-Match", fix=say("api.no-if-match-do"))
    found = _TAG.fullmatch(if_match.strip())
    return int(found[1]) if found else 0
