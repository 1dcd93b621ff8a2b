"""The pages of a link: one button or one short form. Looking uses nothing up, so that a preview of the link may look.

After the form the way leads to ``/`` and nowhere else, whatever the link says.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, TypeVar

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, ValidationError

from courtwright.api import pages
from courtwright.api.arrivals import Before, arrived
from courtwright.api.csrf import require_ours
from courtwright.api.forms import TheForm
from courtwright.api.problem import headers_of, language_of, status_of
from courtwright.api.routes.entry import EntryGiven, PasswordChosen, SetUpGiven
from courtwright.api.routes.invitations import JoinGiven
from courtwright.api.who import TheOffice
from courtwright.desk.office import Office
from courtwright.desk.people import entries, invitations
from courtwright.desk.people.sessions import Arrival
from courtwright.errors import CourtwrightError, InputError, MissingError
from courtwright.says import Says, say
from courtwright.store.rows.invitations import Invitation

router = APIRouter(include_in_schema=False)

Token = Annotated[str, Query(max_length=200)]
M = TypeVar("M", bound=BaseModel)


@router.get("/enter")
def entry_page(request: Request, office: TheOffice, token: Token = "") -> Response:
    """Show what a one-time link opens."""
    try:
        opens = entries.entry_of(office, token).opens
    except CourtwrightError as error:
        return _gone(request, error)
    return pages.page(opens, language_of(request), {"token": token, **_kept({}, "company", "name", "email")})


@router.post("/enter")
def go_in(request: Request, office: TheOffice, form: TheForm, before: Before) -> Response:
    """Go in by a one-time link."""
    token = form.get("token", "")
    try:
        require_ours(request)
        opens = entries.entry_of(office, token).opens
    except CourtwrightError as error:
        return _gone(request, error)

    def again(status: int, wrong: tuple[Says, ...]) -> Response:
        values = _kept(form, "token", "company", "name", "email")
        return pages.page(opens, language_of(request), values, status, wrong)

    return _gone_in(request, lambda: _ENTRIES[opens](request, office, form, before), again)


@router.get("/join")
def invitation_page(request: Request, office: TheOffice, token: Token = "") -> Response:
    """Show an invitation."""
    try:
        invitation = invitations.invitation_of(office, token)
    except CourtwrightError as error:
        return _gone(request, error)
    return _join_page(request, invitation, token, {})


@router.post("/join")
def join(request: Request, office: TheOffice, form: TheForm, before: Before) -> Response:
    """Join by an invitation."""
    token = form.get("token", "")
    try:
        require_ours(request)
        invitation = invitations.invitation_of(office, token)
    except CourtwrightError as error:
        return _gone(request, error)

    def joined() -> Arrival:
        given = _read(JoinGiven, {**_kept(form, "token", "name", "password"), "language": language_of(request)})
        newcomer = invitations.Newcomer(given.name, given.password, given.language, given.units)
        return invitations.join(office, given.token, newcomer, before)

    return _gone_in(request, joined, lambda status, wrong: _join_page(request, invitation, token, form, status, wrong))


@router.get("/enter.css")
def look() -> Response:
    """Return how these pages look."""
    return Response(pages.stylesheet(), media_type="text/css", headers={"Cache-Control": "max-age=3600"})


@router.get("/enter.ttf")
def letters() -> Response:
    """Return the letters of these pages."""
    return Response(pages.font(), media_type="font/ttf", headers={"Cache-Control": "max-age=86400"})


def _set_up(request: Request, office: Office, form: dict[str, str], before: str) -> Arrival:
    kept = _kept(form, "token", "name", "email", "password", "company")
    given = _read(SetUpGiven, {**kept, "language": language_of(request)})
    who = entries.SetUp(given.name, given.email, given.password, given.company, given.language, given.units)
    return entries.set_up(office, given.token, who, before)


def _sign_in(_request: Request, office: Office, form: dict[str, str], before: str) -> Arrival:
    return entries.enter(office, _read(EntryGiven, _kept(form, "token")).token, before)


def _password(_request: Request, office: Office, form: dict[str, str], before: str) -> Arrival:
    given = _read(PasswordChosen, _kept(form, "token", "password"))
    return entries.choose_password(office, given.token, given.password, before)


_ENTRIES: dict[str, Callable[[Request, Office, dict[str, str], str], Arrival]] = {
    "set-up": _set_up,
    "sign-in": _sign_in,
    "password": _password,
}


def _gone_in(
    request: Request, go: Callable[[], Arrival], again: Callable[[int, tuple[Says, ...]], Response]
) -> Response:
    """Return the way to the work with its cookie, or the page again with what is wrong."""
    try:
        arrival = go()
    except MissingError as error:
        return _gone(request, error)
    except CourtwrightError as error:
        answer = again(status_of(error), (error.problem, *([error.fix] if error.fix else [])))
        answer.headers.update(headers_of(error, answer.status_code))
        return answer
    answer = RedirectResponse("/", 303, {"Cache-Control": "no-store"})
    arrived(request, answer, arrival)
    return answer


def _gone(request: Request, error: CourtwrightError) -> Response:
    wrong = (error.problem, *([error.fix] if error.fix else []))
    return pages.page("gone", language_of(request), status=status_of(error), wrong=wrong)


def _join_page(
    request: Request,
    invitation: Invitation,
    token: str,
    form: dict[str, str],
    status: int = 200,
    wrong: tuple[Says, ...] = (),
) -> Response:
    lead = say(f"api.page-join-as-{invitation.role}")
    values = {"lead": lead, "token": token, "email": invitation.email, **_kept(form, "name")}
    return pages.page("join", language_of(request), values, status, wrong)


def _kept(form: dict[str, str], *names: str) -> dict[str, str]:
    """Return these fields of a form, empty where it has none."""
    return {name: form.get(name, "") for name in names}


def _read(model: type[M], values: dict[str, str]) -> M:
    """Return what a form says, as the API takes it too.

    Raises
    ------
    InputError
        With the fields that are wrong.
    """
    try:
        return model.model_validate(values)
    except ValidationError as error:
        fields = tuple(dict.fromkeys(say(f"api.page-field-{one['loc'][0]}") for one in error.errors()))
        raise InputError(say("api.page-wrong", fields=fields)) from error
