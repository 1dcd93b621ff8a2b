"""A whole store as one file, taken while others use it, and back into an empty one of either database."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Generator, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Connection, Table, func, insert, inspect, select, text

from courtwright.errors import StoreError
from courtwright.says import say
from courtwright.site.record import Complaint
from courtwright.store import tables
from courtwright.store.blobs import Blobs
from courtwright.store.bundle.contents import CACHES, PASSES, order_of
from courtwright.store.bundle.lines import Row
from courtwright.store.bundle.manifest import Manifest
from courtwright.store.bundle.pack import release, write_blobs, write_rows
from courtwright.store.bundle.raised import of_this_release
from courtwright.store.bundle.reader import Bundle, Rows
from courtwright.store.bundle.writer import Writer
from courtwright.store.columns import METADATA
from courtwright.store.engine import engine_for
from courtwright.store.failures import told
from courtwright.store.migrate import STEPS, upgrade_within
from courtwright.store.opened import Store
from courtwright.store.unit import Unit
from courtwright.store.verify import SealCheck, complaint, require_sound

#: Left out: what is made again, and what lets somebody in; after a restore everybody signs in anew.
LEFT_OUT = frozenset((*CACHES, *PASSES))
_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What a backup holds.

    Parameters
    ----------
    manifest : Manifest
        With every file.
    rows : mapping
        Number of rows by table. [-]
    complaints : tuple of Complaint
        Kept files that were lost or damaged before, and are not in it.
    """

    manifest: Manifest
    rows: Mapping[str, int]
    complaints: tuple[Complaint, ...] = ()

    @property
    def files(self) -> int:
        """How many kept files it holds. [-]"""
        return sum(one.name.startswith("blobs/") for one in self.manifest.files)


def kept_tables() -> tuple[Table, ...]:
    """Return the tables that a backup holds, in the order in which they are filled."""
    return tuple(table for table in METADATA.sorted_tables if table.name not in LEFT_OUT)


# --- out --------------------------------------------------------------------------------------------


def back_up(store: Store, target: Path, at: dt.datetime) -> BackedUp:
    """Write a whole store to one file: complete under its name, or not at all.

    Parameters
    ----------
    store : Store
        Open; others may go on using it.
    target : Path
        The file, not there yet.
    at : datetime
        Now.

    Raises
    ------
    StoreError
        If the store cannot be read, the file not be written, or what was written cannot be read back.
    """
    with told(), written_whole(target) as half:
        with half.open("w+b") as file:
            counts, manifest = _write(store, file, at)
        with half.open("rb") as file:
            Bundle(file, target.name, "store").check()
    return BackedUp(manifest, counts, tuple(lost(manifest.missing)))


def lost(names: Iterable[str]) -> Iterator[Complaint]:
    """Yield a complaint for each kept file that was lost or damaged before."""
    for sha256 in names:
        says = say("store.blob-missing", sha256=sha256[:12])
        yield complaint("files", "blob-missing", says, say("store.blob-missing-do"), at=sha256)


@contextlib.contextmanager
def written_whole(target: Path) -> Generator[Path]:
    """Give a file to write in the target's place; it gets that name once it is whole and on the disk.

    Parameters
    ----------
    target : Path
        The file, not there yet.

    Raises
    ------
    OSError
        If it cannot be written, or is there.
    """
    half = target.with_name(f".{target.name}.half")
    try:
        # what is in it concerns the people named in it, not every user of the machine
        os.close(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
        yield half
        _settle(half, os.O_RDWR)
        if target.exists():
            raise FileExistsError(target)
        half.replace(target)
        _settle(target.parent, os.O_RDONLY)
    finally:
        half.unlink(missing_ok=True)


def _settle(path: Path, how: int) -> None:
    handle = os.open(path, how)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write(store: Store, file: BinaryIO, at: dt.datetime) -> tuple[dict[str, int], Manifest]:
    """Write one state of the database, then the files that it names: they were there before it named them."""
    counts: dict[str, int] = {}
    with Writer(file) as writer:
        with store.reading() as unit:
            for table in kept_tables():
                counts[table.name] = 0
                write_rows(writer, table, _counted(_rows(unit.connection, table), counts, table.name))
            query = select(tables.blob.c.sha256).order_by(tables.blob.c.sha256)
            names = [str(name) for (name,) in unit.connection.execute(query)]
        missing = tuple(write_blobs(writer, store.blobs, names))
        manifest = Manifest("store", release(), at.isoformat(), STEPS[-1], missing=missing)
        return counts, writer.close(manifest)


def _rows(connection: Connection, table: Table) -> Iterator[Row]:
    query = select(table).order_by(*order_of(table)).execution_options(yield_per=_AT_ONCE)
    for row in connection.execute(query).mappings():
        yield dict(row)


def _counted(rows: Iterable[Row], counts: dict[str, int], name: str) -> Iterator[Row]:
    for row in rows:
        counts[name] += 1
        yield row


# --- in ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored.

    Parameters
    ----------
    manifest : Manifest
        Of the backup.
    rows : mapping
        Number of rows by table. [-]
    files : int
        How many kept files. [-]
    complaints : tuple of Complaint
        What is not whole, and was not when the backup was made.
    """

    manifest: Manifest
    rows: Mapping[str, int]
    files: int
    complaints: tuple[Complaint, ...] = ()


def check_backup(handle: BinaryIO, where: str) -> Manifest:
    """Read a whole backup and check all of it but what only a database can tell.

    Parameters
    ----------
    handle : BinaryIO
        The file.
    where : str
        Its name.

    Raises
    ------
    InputError
        If it is no backup, of a newer form, cut short or damaged.
    """
    bundle = Bundle(handle, where, "store")
    bundle.check()
    bundle.require_known_tables()
    with of_this_release(bundle) as source:
        for table in kept_tables():
            for _ in source.rows(table):
                pass
    return bundle.manifest


def restore(handle: BinaryIO, where: str, database: str, blobs: Blobs, seals: SealCheck | None = None) -> Restored:
    """Put a backup into an empty store: all of it or nothing.

    Parameters
    ----------
    handle : BinaryIO
        The file.
    where : str
        Its name.
    database : str
        Address of a database that is new or holds no row yet.
    blobs : Blobs
        Where its files go.
    seals : callable or None
        Looks at the seals; left out where there is no key.

    Raises
    ------
    ConflictError, StoreError
        If the store is not empty, cannot be written, or what was written is not sound.
    InputError
        If the file is no backup, of a newer form, cut short or damaged.
    """
    bundle = Bundle(handle, where, "store")
    bundle.check()
    engine = engine_for(database)
    try:
        with told(), of_this_release(bundle) as source:
            with engine.connect() as connection:
                _require_empty(connection)
            # Files first: what a row names is there before the row is.
            for member in bundle.blobs():
                blobs.put(bundle.blob(member.sha256))
            with engine.connect().execution_options(writes=True) as connection, connection.begin():
                _require_empty(connection)
                upgrade_within(connection)
                counts = _fill(connection, source)
                require_sound(connection)
        with told(), engine.connect() as connection, connection.begin():
            wrong = tuple(seals(Unit(connection, blobs))) if seals is not None else ()
    finally:
        engine.dispose()
    manifest = bundle.manifest
    return Restored(manifest, counts, len(bundle.blobs()), (*lost(manifest.missing), *wrong))


def _require_empty(connection: Connection) -> None:
    for name in inspect(connection).get_table_names():
        table = METADATA.tables.get(name)
        if table is not None and connection.execute(select(func.count()).select_from(table)).scalar_one():
            raise StoreError(say("store.not-empty"), fix=say("store.not-empty-do"))


def _fill(connection: Connection, source: Rows) -> dict[str, int]:
    counts: dict[str, int] = {}
    for table in kept_tables():
        counts[table.name] = 0
        for held in _bunches(source.rows(table), table):
            connection.execute(insert(table), held)
            counts[table.name] += len(held)
        if counts[table.name] and "seq" in table.c and connection.dialect.name == "postgresql":
            _count_on(connection, table)
    return counts


def _bunches(rows: Iterable[Row], table: Table) -> Iterator[list[Row]]:
    held: list[Row] = []
    for row in rows:
        held.append({column.name: row.get(column.name) for column in table.columns})
        if len(held) == _AT_ONCE:
            yield held
            held = []
    if held:
        yield held


def _count_on(connection: Connection, table: Table) -> None:
    """Let PostgreSQL number the next row after the last one; SQLite does so by itself."""
    values: dict[str, Any] = {"table": table.name}
    sequence = connection.execute(text("SELECT pg_get_serial_sequence(:table, 'seq')"), values).scalar()
    if sequence is not None:
        last = connection.execute(select(func.max(table.c.seq))).scalar_one()
        connection.execute(text("SELECT setval(:sequence, :last)"), {"sequence": sequence, "last": last})
