"""Photos and survey files of walks: given out to be saved, never to be shown as a page."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import BaseModel, ConfigDict

from courtwright.api.asked import After, Most
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.raw import OCTETS, file_answer, gives, has_it, unchanged
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.walks import photos as desk

router = APIRouter(prefix="/api", tags=["photos"])

Seen = Annotated[int, Depends(seen)]
Withdrawn = Annotated[bool, Query(description="Those withdrawn instead of the others.")]
_THERE: dict[int | str, dict[str, Any]] = {304: {"description": "The caller has it."}}


class SurveyOut(BaseModel):
    """A survey file."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    walk_id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None
    sha256: str
    name: str
    media: str
    size_bytes: int


class PhotoOut(SurveyOut):
    """A photo; its facts are what it tells of itself."""

    facts: dict[str, Any]


class PhotoPage(BaseModel):
    """Some photos."""

    items: list[PhotoOut]
    next: str | None


class SurveyPage(BaseModel):
    """Some survey files."""

    items: list[SurveyOut]
    next: str | None


@router.get("/walks/{id}/photos", responses=problems(404))
def list_photos(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    withdrawn: Withdrawn = False,
    most: Most = 50,
    after: After = None,
) -> PhotoPage:
    """Return the photos of a walk, changed last first."""
    page = desk.list_files(office, caller, str(id), "photo", is_withdrawn=withdrawn, most=most, after=after)
    return PhotoPage(items=[PhotoOut.model_validate(one) for one in page.items], next=page.next)


@router.get("/walks/{id}/surveys", responses=problems(404))
def list_surveys(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    withdrawn: Withdrawn = False,
    most: Most = 50,
    after: After = None,
) -> SurveyPage:
    """Return the survey files of a walk, changed last first."""
    page = desk.list_files(office, caller, str(id), "survey", is_withdrawn=withdrawn, most=most, after=after)
    return SurveyPage(items=[SurveyOut.model_validate(one) for one in page.items], next=page.next)


@router.get(
    "/photos/{id}",
    response_class=Response,
    responses={
        **gives("The photo as the camera wrote it.", "image/jpeg", "image/png", "image/heic"),
        **_THERE,
        **problems(404),
    },
)
def photo(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> Response:
    """Return a photo as the camera wrote it, place and all."""
    found, data = desk.content(office, caller, "photo", str(id))
    tag = f'"{found.sha256}"'
    if has_it(request, tag):
        return unchanged(tag)
    return file_answer(data, found.media, found.name, tag, is_kept_for_good=True)


@router.get(
    "/photos/{id}/preview",
    response_class=Response,
    responses={**gives("A small copy.", "image/jpeg"), **_THERE, **problems(404)},
)
def preview(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    size: Annotated[Literal["320", "1600"], Query(description="Longest side. [px]")] = "320",
) -> Response:
    """Return a small copy of a photo: upright, its pixels and nothing else."""
    sha256, data = desk.preview(office, caller, str(id), 1600 if size == "1600" else 320)
    tag = f'"{sha256}"'
    if has_it(request, tag):
        return unchanged(tag)
    return file_answer(data, "image/jpeg", f"{id}-{size}.jpg", tag, is_kept_for_good=True)


@router.post("/photos/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_photo(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> PhotoOut:
    """Withdraw a photo; nothing of it is lost, and it can be brought back."""
    found = desk.withdraw_file(office, caller, "photo", str(id), version)
    tagged(response, found.version)
    return PhotoOut.model_validate(found)


@router.post("/photos/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_photo(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> PhotoOut:
    """Bring a withdrawn photo back."""
    found = desk.bring_back_file(office, caller, "photo", str(id), version)
    tagged(response, found.version)
    return PhotoOut.model_validate(found)


@router.get(
    "/surveys/{id}",
    response_class=Response,
    responses={**gives("The file as it came.", OCTETS), **_THERE, **problems(404)},
)
def survey(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> Response:
    """Return a survey file as it came."""
    found, data = desk.content(office, caller, "survey", str(id))
    tag = f'"{found.sha256}"'
    if has_it(request, tag):
        return unchanged(tag)
    return file_answer(data, OCTETS, found.name, tag, is_kept_for_good=True)


@router.post("/surveys/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_survey(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> SurveyOut:
    """Withdraw a survey file; nothing of it is lost, and it can be brought back."""
    found = desk.withdraw_file(office, caller, "survey", str(id), version)
    tagged(response, found.version)
    return SurveyOut.model_validate(found)


@router.post("/surveys/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_survey(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> SurveyOut:
    """Bring a withdrawn survey file back."""
    found = desk.bring_back_file(office, caller, "survey", str(id), version)
    tagged(response, found.version)
    return SurveyOut.model_validate(found)
