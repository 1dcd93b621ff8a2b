"""Answers about walks, kept so that they need not be computed again: a cache, which may be dropped."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from courtwright.store import tables
from courtwright.store.insert import insert_unless


@dataclass(frozen=True, slots=True)
class Answer:
    """The last answer to one question about one walk.

    Parameters
    ----------
    walk_id, what, language, seed : str, str, str, int
        Of which walk, which answer, in which language, drawn from which seed. [-]
    seq : int
        The last update of the walk that it rests on. [-]
    made_with : str
        The release and the trade's data.
    at : datetime
        When it was kept.
    sha256 : str
        Of the document.
    """

    walk_id: str
    what: str
    language: str
    seed: int
    seq: int
    made_with: str
    at: dt.datetime
    sha256: str


class Answers:
    """The answers, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(self, walk_id: str, what: str, language: str, seed: int) -> Answer | None:
        """Return the last answer to a question, or None."""
        table = tables.answer
        query = select(table).where(
            table.c.walk_id == walk_id, table.c.what == what, table.c.language == language, table.c.seed == seed
        )
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else Answer(**row)

    def keep(self, answer: Answer) -> None:
        """Keep an answer in the place of the one before, unless that rests on a later update of the walk."""
        table = tables.answer
        values = {column.name: getattr(answer, column.name) for column in table.columns}
        fresh = insert_unless(self._connection, table).values(values)
        others = {name: fresh.excluded[name] for name in values if name not in table.primary_key.columns}
        self._connection.execute(
            fresh.on_conflict_do_update(
                index_elements=list(table.primary_key.columns),
                set_=others,
                where=table.c.seq <= fresh.excluded.seq,
            )
        )
