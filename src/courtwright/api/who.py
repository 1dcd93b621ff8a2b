"""Who asks: found from the session's cookie; a change must also come from our own pages."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office


def office_of(request: Request) -> Office:
    """Return the office that the app serves."""
    return request.app.state.office


TheOffice = Annotated[Office, Depends(office_of)]


def signed_in(request: Request, office: TheOffice) -> Caller:
    """Return who asks."""
    raise NotImplementedError


SignedIn = Annotated[Caller, Depends(signed_in)]
