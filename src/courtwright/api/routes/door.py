"""The page at the address of the service itself: sign in by password, see who is in, sign out. Without a script."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from courtwright.api import cookies, pages
from courtwright.api.arrivals import Before, TheGuesses, arrived
from courtwright.api.csrf import require_ours
from courtwright.api.forms import TheForm
from courtwright.api.problem import headers_of, language_of, status_of
from courtwright.api.who import TheOffice
from courtwright.desk.people import people, sessions
from courtwright.errors import CourtwrightError, UnknownCallerError
from courtwright.says import Says, say

router = APIRouter(include_in_schema=False)


@router.get("/")
def door(request: Request, office: TheOffice, before: Before) -> Response:
    """Show who is signed in here, or the form to sign in."""
    try:
        caller = sessions.caller_of(office, before)
    except UnknownCallerError:
        return _form(request)
    lead = say("api.page-inside-lead", name=people.person(office, caller, caller.who).name)
    return pages.page("inside", language_of(request), {"lead": lead})


@router.post("/")
def come_in(request: Request, office: TheOffice, guesses: TheGuesses, form: TheForm, before: Before) -> Response:
    """Sign in by email address and password."""
    # Not every database can even look for a NUL.
    email, password = form.get("email", "").replace("\0", " ")[:200], form.get("password", "")[:200]
    try:
        require_ours(request)
        arrival = sessions.sign_in(office, guesses, email, password, before)
    except CourtwrightError as error:
        wrong = (error.problem, *([error.fix] if error.fix else []))
        answer = _form(request, email, status_of(error), wrong)
        answer.headers.update(headers_of(error, answer.status_code))
        return answer
    answer = _home()
    arrived(request, answer, arrival)
    return answer


@router.get("/offer")
def offer_page(request: Request) -> Response:
    """Tell a customer who follows the link of an offer how to come by it; what stands behind ``#`` is not sent."""
    return pages.page("offer", language_of(request))


@router.post("/leave")
def leave(request: Request, office: TheOffice, before: Before) -> Response:
    """Sign out here."""
    require_ours(request)
    answer = _home()
    try:
        sessions.sign_out(office, sessions.caller_of(office, before))
    except UnknownCallerError:
        return answer
    cookies.take(request, answer, cookies.SESSION)
    return answer


def _home() -> Response:
    return RedirectResponse("/", 303, {"Cache-Control": "no-store"})


def _form(request: Request, email: str = "", status: int = 200, wrong: tuple[Says, ...] = ()) -> Response:
    return pages.page("door", language_of(request), {"email": email}, status, wrong)
