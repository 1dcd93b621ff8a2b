"""Which rows and files belong to a job, and which tables never leave with one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, cast

from sqlalchemy import Connection, Table, and_, select

from courtwright.errors import MissingError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.bundle.lines import Row, line_of, read_line

#: The tables of a job, each behind the one that its column leads to. The first is the job itself.
BRANCHES: tuple[tuple[Table, str, Table], ...] = (
    (tables.assignment, "job_id", tables.job),
    (tables.walk, "job_id", tables.job),
    (tables.photo, "walk_id", tables.walk),
    (tables.survey, "walk_id", tables.walk),
    (tables.upload, "walk_id", tables.walk),
    (tables.walk_update, "walk_id", tables.walk),
    (tables.offer, "job_id", tables.job),
    (tables.link, "offer_id", tables.offer),
    (tables.question, "offer_id", tables.offer),
    (tables.acceptance, "offer_id", tables.offer),
    (tables.seal, "offer_id", tables.offer),
    (tables.paper, "offer_id", tables.offer),
)
#: What became of those rows.
HISTORY: tuple[Table, ...] = (tables.change, tables.event)
#: Everything that a bundle of a job may hold, in the order in which it can be put into a store.
OF_A_JOB: tuple[Table, ...] = (tables.person, tables.job, *(table for table, _, _ in BRANCHES), *HISTORY)
#: Caches: made again from the rest.
CACHES = ("walk_state", "answer", "preview")
#: Who is signed in, and links that are used once: they end with the store that gave them out.
PASSES = ("session", "entry")
#: What a job leaves behind: the company's own, what is given out to people, work in hand, and files by their name.
NOT_OF_A_JOB = ("company", "house_rates", "invitation", "task", "once", "blob", *CACHES, *PASSES)
#: What a bundle says of itself when it comes or goes; packing must not change what is packed.
OWN_EVENTS = ("packed", "unpacked", "unpacked-more", "exported")

_AT_ONCE = 500
_SHA256 = re.compile(r"[0-9a-f]{64}")
_NUMBERED = frozenset({"change", "event", "walk_update"})


def left_out(table: Table) -> frozenset[str]:
    """Return the columns that do not leave with a job: secrets, and numbers that count this store's own rows."""
    if table.name == "person":
        return frozenset(column.name for column in table.columns) - {"id", "name"}
    hidden = {column.name for column in table.columns if column.info.get("hidden")}
    return frozenset(hidden | ({"seq"} if table.name in _NUMBERED else set()))


def rows_of(connection: Connection, job_id: str) -> dict[str, list[Row]]:
    """Return every row of a job, by table.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that sees one state of the store.
    job_id : str
        Of the job.

    Raises
    ------
    MissingError
        If there is no such job.
    """
    found: dict[str, list[Row]] = {"job": list(_where(connection, tables.job, "id", [job_id]))}
    if not found["job"]:
        raise MissingError(say("store.missing", record=say("store.record-job")))
    for table, column, parent in BRANCHES:
        found[table.name] = list(_where(connection, table, column, _ids(found[parent.name])))
    ids = [id for name, rows in found.items() if name not in _NUMBERED for id in _ids(rows)]
    found["change"] = list(_changes(connection, found))
    found["event"] = [row for row in _where(connection, tables.event, "about", ids) if row["what"] not in OWN_EVENTS]
    found["person"] = list(_where(connection, tables.person, "id", sorted(_texts(found.values()))))
    return found


def _ids(rows: Iterable[Row]) -> list[str]:
    return [str(row["id"]) for row in rows if "id" in row]


def order_of(table: Table) -> list[Any]:
    """Return the columns by which the rows of a table follow each other."""
    first = ("walk_id", "seq") if table.name == "walk_update" else tuple(c.name for c in table.primary_key.columns)
    return [table.c[name] for name in first]


def _where(connection: Connection, table: Table, column: str, among: Sequence[str]) -> Iterator[Row]:
    found: list[Row] = []
    for start in range(0, len(among), _AT_ONCE):
        query = select(table).where(table.c[column].in_(among[start : start + _AT_ONCE]))
        found += [dict(row) for row in connection.execute(query).mappings()]
    keys = [key.name for key in order_of(table)]
    yield from sorted(found, key=lambda row: tuple(row[key] for key in keys))


def _changes(connection: Connection, found: Mapping[str, list[Row]]) -> Iterator[Row]:
    table, rows = tables.change, list[Row]()
    for name, of in found.items():
        ids = _ids(of)
        for start in range(0, len(ids), _AT_ONCE):
            where = and_(table.c.record == name, table.c.id.in_(ids[start : start + _AT_ONCE]))
            rows += [dict(row) for row in connection.execute(select(table).where(where)).mappings()]
    yield from sorted(rows, key=lambda row: row["seq"])


def _texts(rows: Iterable[Iterable[Row]]) -> set[str]:
    """Return every text of the length of an id: who did something is named in many columns."""
    return {v for of in rows for row in of for v in row.values() if isinstance(v, str) and len(v) == len(_AN_ID)}


_AN_ID = "00000000-0000-0000-0000-000000000000"


def named_files(connection: Connection, rows: Iterable[Iterable[Row]]) -> list[str]:
    """Return the kept files that rows name anywhere in them, by SHA-256.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    rows : iterable
        By table.
    """
    hashes = sorted({text for of in rows for row in of for value in row.values() for text in _hashes(value)})
    return [str(row["sha256"]) for row in _where(connection, tables.blob, "sha256", hashes)]


def _hashes(value: object) -> Iterator[str]:
    match value:
        case str():
            if _SHA256.fullmatch(value):
                yield value
        case Mapping():
            for key, part in cast("Mapping[object, object]", value).items():
                yield from _hashes(key)
                yield from _hashes(part)
        case list() | tuple():
            for part in cast("Sequence[object]", value):
                yield from _hashes(part)
        case _:
            return


def as_of(rows: Mapping[str, Iterable[Row]]) -> Any:
    """Return when the last thing among rows happened, or None when there is none."""
    moments = [row[name] for of in rows.values() for row in of for name in ("at", "changed_at") if row.get(name)]
    return max(moments, default=None)


#: What of the tables that belong to no one job is written down for everybody to read.
_LISTS: Mapping[str, tuple[str, ...]] = {
    "job": ("id", "name", "customer", "address", "stage", "made_at", "changed_at", "withdrawn_at"),
    "person": ("id", "name", "email", "role", "language", "units", "made_at", "withdrawn_at"),
    "company": ("id", "name", "licence", "address", "phone", "terms"),
    "house_rates": ("id", "rates"),
}


def export_lists(connection: Connection) -> dict[str, tuple[tuple[str, ...], list[Row]]]:
    """Return the jobs, the people without their secrets, the company and its rates: columns and plain rows by table.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """
    found: dict[str, tuple[tuple[str, ...], list[Row]]] = {}
    for name, columns in _LISTS.items():
        table = tables.METADATA.tables[name]
        query = select(*(table.c[column] for column in columns)).order_by(table.c.id)
        found[name] = columns, [read_line(line_of(dict(row), table)) for row in connection.execute(query).mappings()]
    return found
