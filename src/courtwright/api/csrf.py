"""Whether a change comes from our own pages, or from a stranger's that makes the browser send it.

What changes something needs the header ``X-CSRF-Token`` with a word that only our pages can read, made from the
session's token (and no way back to it); and where the browser tells which page asked, that page must be ours.
"""

from __future__ import annotations

import hashlib
import hmac

from fastapi import Request

from courtwright.errors import RefusedError
from courtwright.says import say

HEADER = "X-CSRF-Token"
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_PORTS = {"http": ":80", "https": ":443"}


class NotOursError(RefusedError):
    """A change that did not come from a page of ours."""

    code = "not-our-page"


def csrf_token(token: str) -> str:
    """Return the word that a page must send along, from the token of its session.

    Examples
    --------
    >>> csrf_token("a" * 43) == csrf_token("a" * 43) != csrf_token("b" * 43)
    True
    """
    return hmac.new(token.encode(), b"courtwright csrf", hashlib.sha256).hexdigest()


def require_ours(request: Request) -> None:
    """Refuse a request that another site's page made.

    Raises
    ------
    NotOursError
        If the browser says so. A program that says nothing of a page is let through: it sends no cookie of a browser.
    """
    site = request.headers.get("sec-fetch-site")
    origin = request.headers.get("origin")
    # A page that tells nobody where it is posts its forms from "null"; the browser's own word is then enough.
    is_ours = site in (None, "same-origin") and (
        origin is None or _same(request, origin) or (origin == "null" and site is not None)
    )
    if not is_ours:
        raise NotOursError(say("api.not-our-page"), fix=say("api.not-our-page-do"))


def require_word(request: Request, token: str) -> None:
    """Refuse a change in a session that does not carry the session's word, or comes from another site's page.

    Parameters
    ----------
    request : Request
        What is asked.
    token : str
        Of the session that it came in.

    Raises
    ------
    NotOursError
        If so.
    """
    if request.method in _SAFE:
        return
    require_ours(request)
    given = request.headers.get(HEADER, "")
    if not hmac.compare_digest(given.encode(), csrf_token(token).encode()):
        raise NotOursError(say("api.csrf"), fix=say("api.csrf-do"))


def _same(request: Request, origin: str) -> bool:
    scheme: str = request.scope["scheme"]
    host = request.headers.get("host", "").lower()
    return origin.lower().removesuffix(_PORTS[scheme]) == f"{scheme}://{host.removesuffix(_PORTS[scheme])}"
