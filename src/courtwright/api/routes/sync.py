"""What phones and the office exchange of a walk, and what was typed into it."""

from __future__ import annotations

import base64
import binascii
import datetime as dt
import hashlib
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.asked import Most
from courtwright.api.problem import problems
from courtwright.api.raw import OCTETS, gives, has_it, sent, takes, unchanged
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.walks import sync as desk
from courtwright.errors import InputError
from courtwright.says import say
from courtwright.store.walk.history import Fate

router = APIRouter(prefix="/api/walks", tags=["walks"])

#: Largest body with updates. [bytes]
MOST_SENT = 32_000_000
_SEQ, _VECTOR = "Walk-Seq", "Walk-Vector"
_HEADERS = {
    _SEQ: {"description": "Number of the last update.", "schema": {"type": "integer"}},
    _VECTOR: {"description": "How far the walk is known here, base64.", "schema": {"type": "string"}},
    "ETag": {"description": "Of this answer.", "schema": {"type": "string"}},
}


class SyncedOut(BaseModel):
    """How far a walk is known here."""

    seq: int = Field(description="Number of the last update.")
    vector: str = Field(description="How far each editing round of a device is known, as Yjs writes it, in base64.")
    received: int = Field(description="How many updates came.")
    new: int = Field(description="How many of them brought anything.")
    waits: int = Field(description="How many updates wait for others that have not come.")


class TypedOut(BaseModel):
    """One value that was typed."""

    model_config = ConfigDict(from_attributes=True)

    root: str
    item: str
    field: str
    before: Any
    after: Any
    seq: int
    who: str
    device: str
    at: dt.datetime
    told_at: dt.datetime | None = Field(description="When the device says it was typed; it may be wrong.")
    fate: Fate


class TypedPage(BaseModel):
    """Some of what was typed into a walk, in the order in which it came."""

    items: list[TypedOut]
    total: int


def synced_out(synced: desk.Synced) -> SyncedOut:
    """Return how far a walk is known, as an answer."""
    vector = base64.b64encode(synced.vector).decode()
    return SyncedOut(seq=synced.seq, vector=vector, received=synced.received, new=synced.new, waits=synced.waits)


def _vector(since: str) -> bytes:
    """Return a vector from base64, as it is written in addresses or elsewhere."""
    try:
        return base64.b64decode(since.replace("-", "+").replace("_", "/") + "=" * (-len(since) % 4), validate=True)
    except (ValueError, binascii.Error) as error:
        raise InputError(say("api.no-base64"), where="since", fix=say("store.vector-not-read-do")) from error


@router.post("/{id}/updates", responses=problems(404, 409), openapi_extra=takes())
def send(id: UUID, office: TheOffice, caller: SignedIn, body: Annotated[bytes, Depends(sent(MOST_SENT))]) -> SyncedOut:
    """Take in updates in their envelopes, all or none; what was sent before is acknowledged and not kept twice."""
    return synced_out(desk.send(office, caller, str(id), body))


@router.get(
    "/{id}/updates",
    response_class=Response,
    responses={
        200: {**gives("Envelopes; they change nothing where nothing is lacking.")[200], "headers": _HEADERS},
        304: {"description": "The caller has this answer."},
        **problems(404),
    },
)
def lacking(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    since: Annotated[
        str, Query(max_length=40_000, description="How far the caller knows the walk, base64; empty for nothing.")
    ] = "",
) -> Response:
    """Return what a device lacks of a walk."""
    found = desk.lacking(office, caller, str(id), _vector(since))
    tag = f'"{found.seq}-{hashlib.sha256(found.body).hexdigest()[:16]}"'
    if has_it(request, tag):
        return unchanged(tag)
    vector = base64.b64encode(found.vector).decode()
    headers = {_SEQ: str(found.seq), _VECTOR: vector, "ETag": tag, "Cache-Control": "private, no-cache"}
    return Response(found.body, media_type=OCTETS, headers=headers)


@router.get("/{id}/state", responses=problems(404))
def synced(id: UUID, office: TheOffice, caller: SignedIn) -> SyncedOut:
    """Return how far a walk is known here."""
    return synced_out(desk.synced(office, caller, str(id)))


@router.get("/{id}/history", responses=problems(404))
def typed(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    most: Most = 100,
    after: Annotated[int, Query(ge=0, le=2**31, description="How many values to pass over.")] = 0,
) -> TypedPage:
    """Return everything that was typed into a walk: by whom, when, from what to what, and what became of it."""
    entries, total = desk.typed(office, caller, str(id), most=most, after=after)
    return TypedPage(items=[TypedOut.model_validate(one) for one in entries], total=total)
