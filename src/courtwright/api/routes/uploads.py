"""Photos and survey files that come in parts, in the manner of the IETF's draft on resumable uploads."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import APIRouter, Header, Request, Response, status
from fastapi.concurrency import run_in_threadpool
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import ClientDisconnect

from courtwright.api import problem
from courtwright.api.problem import problems
from courtwright.api.raw import takes
from courtwright.api.texts import Line
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks import uploads as desk
from courtwright.store.parts import OffsetError

router = APIRouter(prefix="/api", tags=["uploads"])

PARTIAL = "application/partial-upload"
#: So much of a body is put on the disk at a time; what a broken connection costs is less. [bytes]
BLOCK = 1_000_000
_HEADERS: dict[str, Any] = {
    "Upload-Offset": {"description": "How much of the file is here. [bytes]", "schema": {"type": "integer"}},
    "Upload-Complete": {"description": "?1 once the file is kept, else ?0.", "schema": {"type": "string"}},
    "Upload-Length": {"description": "Size of the file. [bytes]", "schema": {"type": "integer"}},
}


class UploadGiven(BaseModel):
    """A file that is to come."""

    model_config = ConfigDict(extra="forbid")

    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$", description="Of what is in it.")]
    size_bytes: Annotated[int, Field(ge=1, le=2**40)]
    name: Line
    kind: Literal["photo", "survey"]


class UploadOut(BaseModel):
    """How far a file has come."""

    id: UUID | None = Field(description="Of the upload; null where the file was here already.")
    offset_bytes: int
    size_bytes: int
    is_complete: bool
    kept_id: UUID | None = Field(description="Of the photo or survey file, once it is whole.")


def _out(found: desk.Progress, size: int, response: Response) -> UploadOut:
    for name, value in _told(found, size).items():
        response.headers[name] = value
    return UploadOut(
        id=None if found.upload is None else UUID(found.upload.id),
        offset_bytes=found.offset,
        size_bytes=size,
        is_complete=found.is_complete,
        kept_id=None if found.kept is None else UUID(found.kept.id),
    )


def _told(found: desk.Progress, size: int) -> dict[str, str]:
    done = "?1" if found.is_complete else "?0"
    return {"Upload-Offset": str(found.offset), "Upload-Complete": done, "Upload-Length": str(size)}


@router.post(
    "/walks/{id}/uploads",
    status_code=status.HTTP_201_CREATED,
    responses={
        200: {"model": UploadOut, "description": "The file is here already, and is one of the walk now."},
        201: {"headers": _HEADERS},
        **problems(404, 409),
    },
)
def announce(id: UUID, given: UploadGiven, office: TheOffice, caller: SignedIn, response: Response) -> UploadOut:
    """Announce a file; announced again by the same caller, it is the same upload."""
    found = desk.announce(office, caller, str(id), **given.model_dump())
    if found.upload is None:
        response.status_code = status.HTTP_200_OK
    else:
        response.headers["Location"] = f"/api/uploads/{found.upload.id}"
    return _out(found, given.size_bytes, response)


@router.head(
    "/uploads/{id}",
    status_code=status.HTTP_204_NO_CONTENT,
    responses={204: {"headers": _HEADERS, "description": "How far it has come."}, **problems(404)},
)
def progress(id: UUID, office: TheOffice, caller: SignedIn) -> Response:
    """Tell how far a file has come."""
    return _empty(desk.progress(office, caller, str(id)))


@router.get("/uploads/{id}", responses={200: {"headers": _HEADERS}, **problems(404)})
def upload(id: UUID, office: TheOffice, caller: SignedIn, response: Response) -> UploadOut:
    """Return how far a file has come, and what became of it."""
    found = desk.progress(office, caller, str(id))
    size = found.offset if found.upload is None else found.upload.size_bytes
    return _out(found, size, response)


@router.patch(
    "/uploads/{id}",
    status_code=status.HTTP_204_NO_CONTENT,
    responses={204: {"headers": _HEADERS, "description": "How far it has come."}, **problems(404, 409)},
    openapi_extra=takes(PARTIAL),
)
async def append(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    offset: Annotated[int, Header(alias="Upload-Offset", ge=0, le=2**40, description="Where the body begins. [bytes]")],
    complete: Annotated[
        Literal["?0", "?1"], Header(alias="Upload-Complete", description="?1 when the file ends with this body.")
    ] = "?0",
) -> Response:
    """Append to a file; what a broken connection brought is kept, and Upload-Offset of a 409 tells where to go on."""
    try:
        return _empty(await _append(office, caller, str(id), offset, request, is_last=complete == "?1"))
    except OffsetError as error:
        told = {"Upload-Offset": str(error.kept), "Upload-Complete": "?0"}
        return problem.answer(request, 409, error.code, error.problem, error.fix, error.where, headers=told)


async def _append(
    office: Office, caller: Caller, id: str, offset: int, request: Request, *, is_last: bool
) -> desk.Progress:
    """Append a body block by block: a slow caller holds no thread, and what came is on the disk."""
    blocks, held = _blocks(request), b""
    async for block in blocks:
        if held:
            found = await run_in_threadpool(desk.append, office, caller, id, offset, held)
            offset = found.offset
        held = block
    is_broken = await request.is_disconnected()
    return await run_in_threadpool(desk.append, office, caller, id, offset, held, is_last=is_last and not is_broken)


async def _blocks(request: Request) -> AsyncIterator[bytes]:
    """Yield a body in blocks; a broken connection ends it where it broke."""
    held = bytearray()
    try:
        async for chunk in request.stream():
            held += chunk
            while len(held) >= BLOCK:
                yield bytes(held[:BLOCK])
                del held[:BLOCK]
    except ClientDisconnect:
        pass
    if held:
        yield bytes(held)


def _empty(found: desk.Progress) -> Response:
    size = found.offset if found.upload is None else found.upload.size_bytes
    return Response(status_code=status.HTTP_204_NO_CONTENT, headers=_told(found, size))


@router.delete("/uploads/{id}", status_code=status.HTTP_204_NO_CONTENT, responses=problems(404))
def give_up(id: UUID, office: TheOffice, caller: SignedIn) -> None:
    """Give an upload up; what has come of it is dropped. One that is whole stays."""
    desk.give_up(office, caller, str(id))
