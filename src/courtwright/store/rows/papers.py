"""The papers of accepted offers: they show the seal, and so are made after it; one to an offer, and never another."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, select

from courtwright.store import tables
from courtwright.store.insert import insert_unless


class Papers:
    """The papers, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, offer_id: str) -> str | None:
        """Return the SHA-256 of the paper of an accepted offer, or None while it is not made."""
        query = select(tables.paper.c.sha256).where(tables.paper.c.offer_id == offer_id)
        return self._connection.execute(query).scalar_one_or_none()

    def add(self, id: str, offer_id: str, sha256: str, at: dt.datetime) -> None:
        """Write down which file is the paper of an accepted offer; the first one stays."""
        values = {"id": id, "offer_id": offer_id, "sha256": sha256, "at": at}
        made = insert_unless(self._connection, tables.paper).values(values)
        self._connection.execute(made.on_conflict_do_nothing())
