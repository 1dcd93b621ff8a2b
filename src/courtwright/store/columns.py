"""The columns that records have in common, and times that keep their zone in every database."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, DateTime, Dialect, Integer, MetaData, String, Table, Text, TypeDecorator

#: Named, so that a migration can find a constraint again.
METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: Longest line of text in a record, such as a name. [characters]
LINE = 200


class Instant(TypeDecorator[dt.datetime]):
    """A moment. SQLite has no zones: there it is kept in UTC and given back so."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Return the moment in UTC, without its zone where the database has none."""
        if value is None:
            return None
        utc = value.astimezone(dt.UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Return the moment in UTC, zone and all."""
        if value is None:
            return None
        return value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)


class Plain(TypeDecorator[Mapping[str, Any]]):
    """A plain JSON value, kept as its text: the same in every database, and readable without us."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Return the text."""
        return None if value is None else json.dumps(value, ensure_ascii=False, sort_keys=True, allow_nan=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """Return the value."""
        return None if value is None else json.loads(value)


def key() -> Column[str]:
    """Return the column of a record's id."""
    return Column("id", String(36), primary_key=True)


def record_table(name: str, *parts: Any) -> Table:
    """Return the table of a record that people change: with its version, and withdrawn instead of deleted.

    Parameters
    ----------
    name : str
        Of the table.
    parts : Column, Constraint or Index
        Those of its own.
    """
    return Table(
        name,
        METADATA,
        key(),
        *(part for part in parts if isinstance(part, Column)),
        Column("version", Integer, nullable=False),
        Column("made_at", Instant, nullable=False),
        Column("changed_at", Instant, nullable=False),
        Column("withdrawn_at", Instant),
        *(part for part in parts if not isinstance(part, Column)),
    )


def hidden(column: Column[Any]) -> Column[Any]:
    """Mark a column whose values never enter the history: passwords and tokens, hashed as they are."""
    column.info["hidden"] = True
    return column
