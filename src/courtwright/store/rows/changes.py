"""The history: who changed what, when, from what to what. It only grows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select

from courtwright.store import tables
from courtwright.store.hand import Hand


@dataclass(frozen=True, slots=True)
class Change:
    """One change of one record.

    Parameters
    ----------
    seq : int
        Grows with each change. [-]
    at : datetime
        When, in UTC.
    who, record, id, action : str
        By whom; the kind of record and its id; made, changed, withdrawn or brought back.
    before, after : mapping or None
        The values that changed, by column.
    """

    seq: int
    at: dt.datetime
    who: str
    record: str
    id: str
    action: str
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened and changed no record of a job: a sign-in, a refused link, a backup.

    Parameters
    ----------
    seq : int
        Grows with each event. [-]
    at : datetime
        When, in UTC.
    who, what, about : str
        By whom, what, and the id of what it is about.
    """

    seq: int
    at: dt.datetime
    who: str
    what: str
    about: str


class Changes:
    """The history, as one unit of work sees it.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, record: str, id: str, *, most: int, after: int = 0) -> tuple[Change, ...]:
        """Return the changes of one record, oldest first, at most ``most`` [-], those after a sequence number [-]."""
        table = tables.change
        query = (
            select(table)
            .where(table.c.record == record, table.c.id == id, table.c.seq > after)
            .order_by(table.c.seq)
            .limit(most)
        )
        return tuple(Change(**row) for row in self._connection.execute(query).mappings())

    def events(self, *, most: int, after: int = 0) -> tuple[Event, ...]:
        """Return events, oldest first, at most ``most`` [-], those after a sequence number [-]."""
        table = tables.event
        query = select(table).where(table.c.seq > after).order_by(table.c.seq).limit(most)
        return tuple(Event(**row) for row in self._connection.execute(query).mappings())

    def note(self, hand: Hand, what: str, about: str = "") -> None:
        """Write an event down.

        Parameters
        ----------
        hand : Hand
            Who, and when.
        what : str
            A word of the kind ``signed-in``.
        about : str
            Id of what it is about; never a name, an address or a secret.
        """
        self._connection.execute(insert(tables.event).values(at=hand.at, who=hand.who, what=what, about=about))
