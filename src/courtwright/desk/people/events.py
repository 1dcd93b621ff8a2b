"""What happened and changed no job: who came and went, whose role changed, which links were made."""

from __future__ import annotations

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.store.rows.changes import Event


def list_events(office: Office, caller: Caller, *, most: int = 100, after: int = 0) -> tuple[Event, ...]:
    """Return events, oldest first.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    RefusedError
        If the caller may not.
    """
    caller.require("events.read")
    with office.reading() as unit:
        return unit.changes.events(most=most, after=after)
