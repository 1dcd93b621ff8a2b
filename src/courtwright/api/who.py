"""Who asks: found from the session's cookie; a change must also come from our own pages."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request
from fastapi.security import APIKeyCookie

from courtwright.api import cookies
from courtwright.api.csrf import require_word
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.people import sessions

_CHANGES = "What changes something also needs the header X-CSRF-Token, with the word that GET {path} gives."
_PERSON = APIKeyCookie(
    name=cookies.SESSION,
    scheme_name="person",
    description="Somebody of the company; __Host- in front under https. " + _CHANGES.format(path="/api/session"),
    auto_error=False,
)
_CUSTOMER = APIKeyCookie(
    name=cookies.OFFER,
    scheme_name="customer",
    description="A customer who came by the link of an offer; __Host- in front under https. "
    + _CHANGES.format(path="/api/customer/session"),
    auto_error=False,
)


async def office_of(request: Request) -> Office:
    """Return the office that the app serves."""
    return request.app.state.office


TheOffice = Annotated[Office, Depends(office_of)]


def signed_in(request: Request, office: TheOffice, _scheme: Annotated[str | None, Depends(_PERSON)]) -> Caller:
    """Return the person of the company who asks.

    Raises
    ------
    UnknownCallerError
        If nobody is signed in.
    NotOursError
        If a change does not come from a page of ours.
    """
    token = cookies.read(request, cookies.SESSION)
    caller = sessions.caller_of(office, token)
    require_word(request, token)
    return caller


def customer(request: Request, office: TheOffice, _scheme: Annotated[str | None, Depends(_CUSTOMER)]) -> Caller:
    """Return the customer who asks.

    Raises
    ------
    UnknownCallerError
        If nobody came by a link that holds.
    NotOursError
        If a change does not come from a page of ours.
    """
    token = cookies.read(request, cookies.OFFER)
    caller = sessions.customer_of(office, token)
    require_word(request, token)
    return caller


SignedIn = Annotated[Caller, Depends(signed_in)]
TheCustomer = Annotated[Caller, Depends(customer)]
