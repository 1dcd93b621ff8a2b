"""Walks."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Response, status
from pydantic import BaseModel, ConfigDict

from courtwright.api.asked import After, Most, Since, TheOnce
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.texts import Line
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.walks import walks as desk
from courtwright.store.rows.walks import Walk

router = APIRouter(prefix="/api", tags=["walks"])

Seen = Annotated[int, Depends(seen)]


class WalkGiven(BaseModel):
    """A walk as it is begun; a phone that began it without signal gives the id that it chose."""

    model_config = ConfigDict(extra="forbid")

    id: UUID | None = None
    name: Line = ""
    walked_on: dt.date | None = None


class WalkChanged(BaseModel):
    """The fields of a walk that change."""

    model_config = ConfigDict(extra="forbid")

    name: Line | None = None
    walked_on: dt.date | None = None

    def values(self) -> dict[str, Any]:
        """Return what was sent; only the day may be sent as unknown."""
        sent = self.model_dump(exclude_unset=True)
        return {name: value for name, value in sent.items() if value is not None or name == "walked_on"}


class WalkOut(BaseModel):
    """A walk."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    job_id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None
    name: str
    walked_on: dt.date | None


class WalkPage(BaseModel):
    """Some walks."""

    items: list[WalkOut]
    next: str | None


class WalkChangeOut(BaseModel):
    """One change of the record of a walk."""

    model_config = ConfigDict(from_attributes=True)

    seq: int
    at: dt.datetime
    who: str
    action: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


def walk_out(walk: Walk, response: Response) -> WalkOut:
    """Return a walk as an answer, with its ETag."""
    tagged(response, walk.version)
    return WalkOut.model_validate(walk)


@router.get("/jobs/{id}/walks", responses=problems(404))
def list_walks(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    withdrawn: Annotated[bool, Query(description="Those withdrawn instead of the others.")] = False,
    most: Most = 50,
    after: After = None,
) -> WalkPage:
    """Return the walks of a job, changed last first."""
    page = desk.list_walks(office, caller, str(id), is_withdrawn=withdrawn, most=most, after=after)
    return WalkPage(items=[WalkOut.model_validate(walk) for walk in page.items], next=page.next)


@router.post(
    "/jobs/{id}/walks",
    status_code=status.HTTP_201_CREATED,
    responses={200: {"model": WalkOut, "description": "The walk was begun before."}, **problems(404, 409)},
)
def begin_walk(
    id: UUID, given: WalkGiven, office: TheOffice, caller: SignedIn, once: TheOnce, response: Response
) -> WalkOut:
    """Begin a walk; sent again with the same id, or the same Idempotency-Key, it is the same walk."""
    own = None if given.id is None else str(given.id)
    walk, is_new = desk.begin_walk(
        office, caller, str(id), id=own, name=given.name, walked_on=given.walked_on, once=once
    )
    if not is_new:
        response.status_code = status.HTTP_200_OK
    response.headers["Location"] = f"/api/walks/{walk.id}"
    return walk_out(walk, response)


@router.get("/walks/{id}", responses=problems(404))
def walk(id: UUID, office: TheOffice, caller: SignedIn, response: Response) -> WalkOut:
    """Return one walk, with its ETag."""
    return walk_out(desk.walk(office, caller, str(id)), response)


@router.patch("/walks/{id}", responses=problems(404, 409, 412, 428))
def change_walk(
    id: UUID, given: WalkChanged, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> WalkOut:
    """Change the name or the day of a walk, as it was seen."""
    return walk_out(desk.change_walk(office, caller, str(id), version, given.values()), response)


@router.post("/walks/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_walk(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> WalkOut:
    """Withdraw a walk; nothing of it is lost, and it can be brought back."""
    return walk_out(desk.withdraw_walk(office, caller, str(id), version), response)


@router.post("/walks/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_walk(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> WalkOut:
    """Bring a withdrawn walk back."""
    return walk_out(desk.bring_back_walk(office, caller, str(id), version), response)


@router.get("/walks/{id}/changes", responses=problems(404))
def walk_changes(
    id: UUID, office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0
) -> list[WalkChangeOut]:
    """Return what became of the record of a walk, oldest change first; what was typed into it is its history."""
    changes = desk.walk_changes(office, caller, str(id), most=most, after=after)
    return [WalkChangeOut.model_validate(one) for one in changes]
