"""A walk as a record of a site, and as one file, out and in."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from typing import Annotated, Any, BinaryIO, cast
from uuid import UUID

from fastapi import APIRouter, Query, Request, Response, status
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from courtwright.api.problem import language_of, problems
from courtwright.api.raw import OCTETS, gives, never_a_page, takes
from courtwright.api.routes.sync import SyncedOut, synced_out
from courtwright.api.routes.walks import WalkOut, walk_out
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.walks import walk_files as desk
from courtwright.desk.walks import walk_records
from courtwright.errors import TooLargeError
from courtwright.says import say
from courtwright.trade.words import UnitSystem

router = APIRouter(prefix="/api", tags=["walks"])

ZIP = "application/zip"
#: Largest file of a walk that is taken in. [bytes]
MOST_FILE = 2_000_000_000
_CHUNK = 1 << 20
#: Smaller files are held in memory. [bytes]
_SMALL = 8_000_000


class ComplaintOut(BaseModel):
    """One wrong place in a walk, and what to do about it."""

    file: str
    at: str
    code: str
    weight: str
    says: str
    do: str
    id: str | None = Field(description="Of the item of the walk that it is about.")


class RecordOut(BaseModel):
    """What a walk says."""

    seq: int = Field(description="Number of the last update in it.")
    plain: dict[str, Any] = Field(description="The document in plain values.")
    complaints: list[ComplaintOut]
    pads: list[dict[str, Any]] = Field(description="What was found, counted by kind; empty when no pad can be used.")


class ImportedOut(BaseModel):
    """A walk that came in as a file."""

    walk: WalkOut
    synced: SyncedOut


@router.get("/walks/{id}/record", responses=problems(404))
def record(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    units: Annotated[UnitSystem | None, Query(description="Of the sentences; those of the walk unless given.")] = None,
) -> RecordOut:
    """Return what a walk says, with every complaint and counts; what it means is asked for under answers."""
    found = walk_records.walk_record(office, caller, str(id), language_of(request), units)
    complaints = [ComplaintOut.model_validate(one) for one in found.complaints]
    return RecordOut(seq=found.seq, plain=dict(found.plain), complaints=complaints, pads=found.pads)


@router.get("/walks/{id}/file", response_class=Response, responses={**gives("The walk.", ZIP), **problems(404)})
def walk_file(id: UUID, office: TheOffice, caller: SignedIn) -> Response:
    """Return a walk as one file: a site folder that every command reads, with everything that was typed beside it."""
    name, file = desk.walk_file(office, caller, str(id))
    return _streamed(file, f"{name}.walk.zip")


@router.get(
    "/walks/{id}/site.zip", response_class=Response, responses={**gives("The site folder.", ZIP), **problems(404)}
)
def site_file(id: UUID, office: TheOffice, caller: SignedIn) -> Response:
    """Return the site folder of a walk alone."""
    name, file = desk.site_file(office, caller, str(id))
    return _streamed(file, f"{name}.zip")


def _streamed(file: BinaryIO, name: str) -> Response:
    size = file.seek(0, 2)
    file.seek(0)
    headers = {**never_a_page(name), "Content-Length": str(size), "Cache-Control": "private, no-store"}
    return StreamingResponse(_chunks(file), media_type=ZIP, headers=headers)


def _chunks(file: BinaryIO) -> Iterator[bytes]:
    with file:
        while chunk := file.read(_CHUNK):
            yield chunk


@router.post(
    "/jobs/{id}/walks/file",
    status_code=status.HTTP_201_CREATED,
    responses={200: {"model": ImportedOut, "description": "The walk was here before."}, **problems(404, 409)},
    openapi_extra=takes(OCTETS),
)
async def import_file(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    response: Response,
    walk: Annotated[UUID | None, Query(description="Id of the walk; that which the file tells unless given.")] = None,
) -> ImportedOut:
    """Take a walk in from a file: one of ours, a zipped site folder, or what a phone saved."""
    own = None if walk is None else str(walk)
    with tempfile.SpooledTemporaryFile(_SMALL) as file:
        size = 0
        async for chunk in request.stream():
            size += len(chunk)
            if size > MOST_FILE:
                raise TooLargeError(say("api.edge-large", most=MOST_FILE / 1e6), fix=say("api.edge-large-do"))
            await run_in_threadpool(file.write, chunk)
        file.seek(0)
        handle = cast("BinaryIO", file)
        found = await run_in_threadpool(desk.import_file, office, caller, str(id), handle, "file", own)
    if not found.is_new:
        response.status_code = status.HTTP_200_OK
    response.headers["Location"] = f"/api/walks/{found.walk.id}"
    return ImportedOut(walk=walk_out(found.walk, response), synced=synced_out(found.synced))
