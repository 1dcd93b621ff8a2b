"""An insert that can say what becomes of a row that is there already, in one statement in either database."""

from __future__ import annotations

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_unless(connection: Connection, table: Table) -> postgresql.Insert | sqlite.Insert:
    """Return an insert with ``on_conflict_do_nothing`` and ``on_conflict_do_update``."""
    return (sqlite if connection.dialect.name == "sqlite" else postgresql).insert(table)
