"""The demo site, to try the service with."""

from __future__ import annotations

from fastapi import APIRouter, Response

from courtwright.api.raw import gives, never_a_page
from courtwright.api.who import SignedIn
from courtwright.desk.walks import demo as desk

router = APIRouter(prefix="/api/demo", tags=["walks"])

_ZIP = "application/zip"


@router.get("/site.zip", response_class=Response, responses=gives("The site folder.", _ZIP))
def demo_site(caller: SignedIn) -> Response:
    """Return the demo site: an invented site folder that a job takes in as a walk, at its walks/file."""
    return Response(desk.demo_site(caller), media_type=_ZIP, headers=never_a_page("demo-site.zip"))
