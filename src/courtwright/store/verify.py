"""Looks through a whole store for what is no longer what was kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from sqlalchemy import Connection, Table, func, select

from courtwright.errors import DamagedError, EnvelopeError
from courtwright.says import Says, say
from courtwright.site.record import Complaint
from courtwright.store import tables
from courtwright.store.blobs import digest
from courtwright.store.failures import told
from courtwright.store.opened import Store
from courtwright.store.unit import Unit
from courtwright.store.walk.document import merged

#: Looks at the seals of accepted offers with the key that the database does not hold; yields what is wrong.
SealCheck = Callable[[Unit], Iterable[Complaint]]
Progress = Callable[[int, int], None]


def verify(store: Store, seals: SealCheck | None = None, progress: Progress | None = None) -> tuple[Complaint, ...]:
    """Return everything in a store that is not whole; nothing is changed.

    Parameters
    ----------
    store : Store
        Open; others may go on using it.
    seals : callable or None
        Looks at the seals; they are left out where there is no key.
    progress : callable or None
        Is told how many kept files of how many were read.

    Returns
    -------
    tuple of Complaint
        Each an error; empty when all is well.

    Raises
    ------
    StoreError
        If the store cannot be read at all.
    """
    try:
        with store.reading() as unit:
            found = [*_database(unit.connection), *_ledgers(unit.connection), *_updates(unit.connection)]
            found += _files(unit, progress)
            found += seals(unit) if seals is not None else ()
    except DamagedError as error:
        return (complaint("database", "damaged", error.problem, error.fix),)
    return tuple(found)


def complaint(file: str, code: str, says: Says, do: Says | None, at: str = "") -> Complaint:
    """Return what is wrong with a part of the store."""
    return Complaint(file, at, code, "error", says, do or say("store.damaged-do"))


# --- the database ---------------------------------------------------------------------------------


def _database(connection: Connection) -> Iterator[Complaint]:
    """Yield what the database finds wrong with itself; PostgreSQL checks its own pages as it reads them."""
    if connection.dialect.name != "sqlite":
        return
    for (text,) in _ask(connection, "PRAGMA integrity_check"):
        if text != "ok":
            yield complaint("database", "integrity", say("store.integrity", detail=str(text)[:200]), None)
    for table, row, parent, *_ in _ask(connection, "PRAGMA foreign_key_check"):
        says = say("store.leads-nowhere", table=str(table), number=row or 0, parent=str(parent))
        yield complaint("database", "leads-nowhere", says, None)


def _ask(connection: Connection, command: str) -> list[tuple[object, ...]]:
    return [tuple(row) for row in connection.exec_driver_sql(command)]


def _ledgers(connection: Connection) -> Iterator[Complaint]:
    """Yield records whose version is not the number of changes that were written down."""
    change = tables.change
    counted = select(change.c.record, change.c.id, func.count().label("changes")).group_by(change.c.record, change.c.id)
    told_of = {(row.record, row.id): row.changes for row in connection.execute(counted)}
    for table in tables.METADATA.sorted_tables:
        if not _is_written_down(table):
            continue
        for row in connection.execute(select(table.c.id, table.c.version)):
            number = told_of.get((table.name, row.id))
            if number is not None and number != row.version:
                says = say(
                    "store.history-gap", record=say(f"store.record-{table.name}"), version=row.version, of=number
                )
                yield complaint("database", "history-gap", says, None, at=row.id)


def _is_written_down(table: Table) -> bool:
    return {"id", "version"} <= set(table.columns.keys())


def _updates(connection: Connection) -> Iterator[Complaint]:
    """Yield updates of walks that are not what their hash says, and walks whose updates make no document."""
    table = tables.walk_update
    for (walk_id,) in connection.execute(select(table.c.walk_id).distinct().order_by(table.c.walk_id)).all():
        bodies: list[bytes] = []
        query = select(table.c.seq, table.c.sha256, table.c.body).where(table.c.walk_id == walk_id)
        for row in connection.execute(query.order_by(table.c.seq)):
            if digest(row.body) == row.sha256:
                bodies.append(row.body)
            else:
                yield complaint(
                    "database", "update-damaged", say("store.update-damaged", number=row.seq), None, walk_id
                )
        try:
            merged(bodies)
        except EnvelopeError as error:
            yield complaint("database", error.code, error.problem, error.fix, at=walk_id)


# --- the files ------------------------------------------------------------------------------------


def _files(unit: Unit, progress: Progress | None) -> Iterator[Complaint]:
    """Yield kept files that are lost or no longer what they were."""
    names = [str(name) for (name,) in unit.connection.execute(select(tables.blob.c.sha256).order_by("sha256"))]
    for done, sha256 in enumerate(names, 1):
        try:
            unit.blobs.get(sha256)
        except DamagedError as error:
            yield complaint("files", error.problem.id.removeprefix("store."), error.problem, error.fix, at=sha256)
        if progress is not None:
            progress(done, len(names))


def require_sound(connection: Connection) -> None:
    """Refuse a database that finds something wrong with itself.

    Raises
    ------
    DamagedError
        If so.
    StoreError
        If it cannot be asked.
    """
    with told():
        for found in _database(connection):
            raise DamagedError(found.says, fix=found.do)
