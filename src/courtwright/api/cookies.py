"""The two cookies: of a person who is signed in, and of a customer who came by the link of an offer.

HttpOnly, so that no script reads them; Secure under https, where their name says so too (``__Host-``), so that nobody
on a neighbouring name can plant one. SameSite is Strict: our pages are still and ask for everything afterwards, from
our own site, so that a link in a mail works all the same, and no stranger's page ever sends the cookie along.
"""

from __future__ import annotations

from typing import Literal

from fastapi import Request, Response

Kind = Literal["courtwright_session", "courtwright_offer"]
SESSION: Kind = "courtwright_session"
OFFER: Kind = "courtwright_offer"


def name_of(request: Request, kind: Kind) -> str:
    """Return what a cookie is called in answers to this request."""
    return f"__Host-{kind}" if _is_https(request) else kind


def read(request: Request, kind: Kind) -> str:
    """Return the token in a cookie, empty when there is none."""
    return request.cookies.get(name_of(request, kind), "")


def give(request: Request, response: Response, kind: Kind, token: str, seconds: int) -> None:
    """Put a token into a cookie.

    Parameters
    ----------
    request, response
        What is answered, and the answer.
    kind : str
        `SESSION` or `OFFER`.
    token : str
        Of the session.
    seconds : int
        How long the browser is to keep it; the session may end earlier. [s]
    """
    response.set_cookie(
        name_of(request, kind),
        token,
        max_age=seconds,
        path="/",
        secure=_is_https(request),
        httponly=True,
        samesite="strict",
    )


def take(request: Request, response: Response, kind: Kind) -> None:
    """Take a cookie back."""
    give(request, response, kind, "", 0)


def _is_https(request: Request) -> bool:
    return request.scope["scheme"] == "https"
