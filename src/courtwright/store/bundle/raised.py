"""Rows of an earlier release, brought to the form of this one by the very steps that bring a database there."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Generator, Iterator, Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, MetaData, Table, create_engine, insert, select
from sqlalchemy.pool import NullPool

from courtwright.store.bundle.filled import filled
from courtwright.store.bundle.lines import value_of
from courtwright.store.bundle.reader import Bundle, Rows
from courtwright.store.columns import METADATA
from courtwright.store.migrate import STEPS, take_steps

_AT_ONCE = 500


@contextlib.contextmanager
def of_this_release(bundle: Bundle) -> Generator[Rows]:
    """Give the rows of a bundle in the form of this release.

    Parameters
    ----------
    bundle : Bundle
        Checked.

    Raises
    ------
    InputError
        If its form is neither of this release nor of an earlier one, nor of one that may be read as this.
    """
    bundle.require_known_tables()
    step = bundle.manifest.step
    if step == STEPS[-1] or step not in STEPS:
        yield bundle
        return
    with tempfile.TemporaryDirectory(prefix="courtwright-") as folder:
        engine = create_engine(f"sqlite:///{Path(folder) / 'rows.sqlite'}", poolclass=NullPool)
        with engine.connect() as connection, connection.begin():
            take_steps(connection, step)
            _load(bundle, connection)
            take_steps(connection)
            yield _Raised(connection)


class _Raised:
    """The rows in a database of their own, after its last step."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def rows(self, table: Table) -> Iterator[dict[str, Any]]:
        """Yield the rows of a table, in their order."""
        order = [table.c[name] for name in ("walk_id", "seq") if name in table.c] or list(table.primary_key.columns)
        for row in self._connection.execute(select(table).order_by(*order)).mappings():
            yield dict(row)


def _load(bundle: Bundle, connection: Connection) -> None:
    """Put the rows into a database of their own form; what leads out of the bundle is not looked for."""
    found = MetaData()
    found.reflect(connection)
    for name in bundle.tables():
        if name not in found.tables:
            raise bundle.broken("must", name=name[:80])
        table, held = found.tables[name], list[dict[str, Any]]()
        for number, row in enumerate(bundle.plain_rows(name), 1):
            with bundle.row_told(name, number):
                held.append(_made(filled(table, row, bundle.manifest.as_of), table, number))
        for start in range(0, len(held), _AT_ONCE):
            connection.execute(insert(_typed(table)), held[start : start + _AT_ONCE])


def _made(row: Mapping[str, Any], table: Table, number: int) -> dict[str, Any]:
    made = {column.name: _value(row.get(column.name), table, column.name) for column in table.columns}
    if "seq" in made and made["seq"] is None:
        made["seq"] = number
    return made


def _value(given: Any, table: Table, name: str) -> Any:
    if given is None:
        return None
    return value_of(given, table.columns[name], _kind(table, name))


def _kind(table: Table, name: str) -> Any:
    """Return how a column is read: as this release does where it still has it."""
    known = METADATA.tables.get(table.name)
    return known.columns[name].type if known is not None and name in known.columns else table.columns[name].type


def _typed(table: Table) -> Table:
    for column in table.columns:
        column.type = _kind(table, column.name)
    return table
