"""The updates of walks, the truth of what was typed. They only grow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from courtwright.store import tables
from courtwright.store.hand import Hand
from courtwright.store.walk.envelope import Envelope
from courtwright.store.walk.history import Row

#: Shas asked for in one query. [-]
_AT_ONCE = 500
#: Made once: a phone that was away sends thousands.
_APPENDING = insert(tables.walk_update)


@dataclass(frozen=True, slots=True)
class Last:
    """How far the updates of a walk have come.

    Parameters
    ----------
    seq : int
        Number of the last one; 0 before the first. [-]
    at : datetime or None
        When it came.
    count, size : int
        How many there are. [-] Sum of their sizes. [bytes]
    """

    seq: int
    at: dt.datetime | None
    count: int
    size: int


class Updates:
    """The updates, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    hand : Hand or None
        Who sends them; None where nothing may be changed.
    """

    def __init__(self, connection: Connection, hand: Hand | None) -> None:
        self._connection = connection
        self._hand = hand

    def last(self, walk_id: str) -> Last:
        """Return how far a walk has come."""
        table = tables.walk_update.c
        size = func.coalesce(func.sum(func.length(table.body)), 0)
        query = select(func.max(table.seq), func.max(table.at), func.count(), size).where(table.walk_id == walk_id)
        seq, at, count, bytes_ = self._connection.execute(query).one()
        return Last(seq or 0, at, count, int(bytes_))

    def seq(self, walk_id: str) -> int:
        """Return the number of the last update of a walk; 0 before the first. [-]"""
        table = tables.walk_update.c
        query = select(func.max(table.seq)).where(table.walk_id == walk_id)
        return self._connection.execute(query).scalar_one() or 0

    def bodies(self, walk_id: str) -> Iterator[bytes]:
        """Yield the updates of a walk, in the order in which they came."""
        table = tables.walk_update.c
        query = select(table.body).where(table.walk_id == walk_id).order_by(table.seq)
        for (body,) in self._connection.execute(query):
            yield bytes(body)

    def rows(self, walk_id: str) -> Iterator[Row]:
        """Yield the updates of a walk with who sent each, in the order in which they came."""
        table = tables.walk_update
        query = select(table).where(table.c.walk_id == walk_id).order_by(table.c.seq)
        for row in self._connection.execute(query).mappings():
            told_at = dt.datetime.fromisoformat(row["device_time"])
            yield Row(row["seq"], bytes(row["body"]), row["who"], row["device"], row["at"], told_at)

    def envelopes(self, walk_id: str) -> Iterator[Envelope]:
        """Yield the updates of a walk as they were sent."""
        for row in self.rows(walk_id):
            yield Envelope(row.device, row.told_at or row.at, row.update)

    def known(self, walk_id: str, hashes: Collection[str]) -> set[str]:
        """Return which of these updates are here already, by SHA-256."""
        table, found, asked = tables.walk_update.c, set[str](), sorted(hashes)
        for start in range(0, len(asked), _AT_ONCE):
            some = asked[start : start + _AT_ONCE]
            query = select(table.sha256).where(table.walk_id == walk_id, table.sha256.in_(some))
            found.update(self._connection.execute(query).scalars())
        return found

    def append(self, walk_id: str, envelope: Envelope) -> int:
        """Keep an update, and return its number. [-]

        Raises
        ------
        ConflictError
            If it is here already.
        """
        if self._hand is None:
            message = "a unit that reads was asked to write"
            raise RuntimeError(message)
        values = {
            "walk_id": walk_id,
            "sha256": envelope.sha256,
            "who": self._hand.who,
            "device": envelope.device,
            "device_time": envelope.told_at.isoformat(),
            "at": self._hand.at,
            "body": envelope.update,
        }
        done = self._connection.execute(_APPENDING, values)
        key = done.inserted_primary_key
        return int(key[0]) if key else self.seq(walk_id)
