"""What happened and changed no job."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict

from courtwright.api.asked import Most, Since
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.people import events as desk

router = APIRouter(prefix="/api/events", tags=["events"])


class EventOut(BaseModel):
    """One event."""

    model_config = ConfigDict(from_attributes=True)

    seq: int
    at: dt.datetime
    who: str
    what: str
    about: str


@router.get("")
def list_events(office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0) -> list[EventOut]:
    """Return events, oldest first; for the head."""
    return [EventOut.model_validate(one) for one in desk.list_events(office, caller, most=most, after=after)]
