"""The states of walks' documents: a cache, checked when read, made again from the updates whenever it does not hold."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from importlib.metadata import version

from sqlalchemy import Connection, delete, insert, select, update

from courtwright.store import tables

_RELEASE = version("courtwright")


@dataclass(frozen=True, slots=True)
class WalkState:
    """What the updates of a walk make.

    Parameters
    ----------
    seq : int
        Number of the last update in it; 0 before the first. [-]
    state : bytes
        As `walk.document` makes it.
    vector : bytes
        How far each editing round of a device is known, as Yjs writes it.
    """

    seq: int
    state: bytes
    vector: bytes

    @property
    def sha256(self) -> str:
        """By which damage shows, and what another release has made."""
        head = f"{_RELEASE} {self.seq} {len(self.state)} {len(self.vector)} ".encode()
        return hashlib.sha256(head + self.state + self.vector).hexdigest()


class WalkStates:
    """The cache, as one unit of work sees it.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(self, walk_id: str) -> WalkState | None:
        """Return what is kept, or None where there is nothing or it is damaged."""
        table = tables.walk_state.c
        query = select(table.seq, table.state, table.vector, table.sha256).where(table.walk_id == walk_id)
        row = self._connection.execute(query).one_or_none()
        if row is None:
            return None
        found = WalkState(row.seq, bytes(row.state), bytes(row.vector))
        return found if found.sha256 == row.sha256 else None

    def put(self, walk_id: str, state: WalkState) -> None:
        """Keep a state in place of an earlier one; the walk must be locked."""
        table = tables.walk_state
        values = {"seq": state.seq, "state": state.state, "vector": state.vector, "sha256": state.sha256}
        done = self._connection.execute(update(table).where(table.c.walk_id == walk_id).values(values))
        if done.rowcount == 0:
            self._connection.execute(insert(table).values(walk_id=walk_id, **values))

    def drop(self, walk_id: str) -> None:
        """Forget a state."""
        self._connection.execute(delete(tables.walk_state).where(tables.walk_state.c.walk_id == walk_id))
