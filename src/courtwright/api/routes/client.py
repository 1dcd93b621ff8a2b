"""The web client as it was built: a page for the company, one for the customer, and what they load.

Both pages are the same for everybody; who is signed in shows when they ask the API. Where the client was not built,
a page without a script says so.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response

from courtwright.api import pages
from courtwright.api.built import built_file
from courtwright.api.problem import language_of

router = APIRouter(include_in_schema=False)

_READ = ["GET", "HEAD"]
#: Kept, and asked about each time.
_ASK = {"Cache-Control": "no-cache"}
#: The name holds a hash of the content.
_FOR_GOOD = {"Cache-Control": "public, max-age=31536000, immutable"}
#: Somebody's offer is opened by it: what stands behind ``#`` is sent to nobody, and the page is kept and found nowhere.
_NOWHERE = {"Cache-Control": "no-store", "X-Robots-Tag": "noindex"}


def _folder(request: Request) -> Path:
    return request.app.state.client


TheClient = Annotated[Path, Depends(_folder)]


@router.api_route("/", methods=_READ)
def home(request: Request, client: TheClient) -> Response:
    """Return the page of the company."""
    return built_file(request, client, "index.html", _ASK) or _not_built(request, "unbuilt")


@router.api_route("/offer", methods=_READ)
def offer_page(request: Request, client: TheClient) -> Response:
    """Return the page of a customer who follows the link of an offer."""
    return built_file(request, client, "offer.html", _NOWHERE) or _not_built(request, "offer")


@router.api_route("/assets/{name}", methods=_READ)
def asset(request: Request, client: TheClient, name: str) -> Response:
    """Return a script, a style or a font of a page."""
    return _there(built_file(request, client / "assets", name, _FOR_GOOD))


@router.api_route("/icons/{name}", methods=_READ)
def icon(request: Request, client: TheClient, name: str) -> Response:
    """Return a picture by which a device shows the client among its programs."""
    return _there(built_file(request, client / "icons", name, _ASK))


@router.api_route("/sw.js", methods=_READ)
def worker(request: Request, client: TheClient) -> Response:
    """Return the script that keeps the client on the device."""
    return _there(built_file(request, client, "sw.js", _ASK))


@router.api_route("/manifest.webmanifest", methods=_READ)
def manifest(request: Request, client: TheClient) -> Response:
    """Return how a device shows the client among its programs."""
    return _there(built_file(request, client, "manifest.webmanifest", _ASK))


def _not_built(request: Request, page: str) -> Response:
    return pages.page(page, language_of(request), status=503)


def _there(answer: Response | None) -> Response:
    if answer is None:
        raise HTTPException(404)
    return answer
