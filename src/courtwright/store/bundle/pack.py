"""Packs one job: the same job packs to the same bytes."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import version
from typing import BinaryIO

from sqlalchemy import Table

from courtwright.errors import DamagedError
from courtwright.store.blobs import Blobs
from courtwright.store.bundle import contents
from courtwright.store.bundle.lines import Row, line_of
from courtwright.store.bundle.manifest import BLOBS, OPEN, RECORDS, UPDATES, Kind, Manifest
from courtwright.store.bundle.writer import Writer
from courtwright.store.failures import told
from courtwright.store.migrate import STEPS
from courtwright.store.unit import Unit

RowsByTable = Mapping[str, list[Row]]
#: Copies in open formats, for people without this program: name and bytes, from rows and what reads a kept file.
Copies = Callable[[RowsByTable, Blobs], Iterable[tuple[str, bytes]]]


@dataclass(frozen=True, slots=True)
class Packed:
    """What was packed.

    Parameters
    ----------
    manifest : Manifest
        With every file.
    rows : mapping
        Number of rows by table. [-]
    """

    manifest: Manifest
    rows: Mapping[str, int]


def pack(unit: Unit, job_id: str, out: BinaryIO, copies: Copies | None = None) -> Packed:
    """Write one job as a bundle.

    Parameters
    ----------
    unit : Unit
        That reads one state of the store.
    job_id : str
        Of the job.
    out : BinaryIO
        Where to.
    copies : callable or None
        Makes the copies for people without this program.

    Raises
    ------
    MissingError
        If there is no such job.
    StoreError
        If the store cannot be read, or the bundle not be written. A kept file that is lost or damaged does not keep the
        rest from being packed: the manifest names it.
    """
    rows = contents.rows_of(unit.connection, job_id)
    with told(), Writer(out) as writer:
        for table in contents.OF_A_JOB:
            write_rows(writer, table, rows[table.name], contents.left_out(table))
        named = contents.named_files(unit.connection, rows.values())
        missing = tuple(write_blobs(writer, unit.blobs, named))
        if copies is not None:
            for name, data in copies(rows, unit.blobs):
                writer.add_bytes(f"{OPEN}/{name}", data)
        manifest = writer.close(_manifest("job", rows, job_id, missing))
    return Packed(manifest, {name: len(of) for name, of in rows.items()})


def _manifest(kind: Kind, rows: RowsByTable, job_id: str, missing: tuple[str, ...]) -> Manifest:
    return Manifest(kind, release(), contents.as_of(rows).isoformat(), STEPS[-1], job_id, missing)


def release() -> str:
    """Return the name of this release."""
    return f"courtwright {version('courtwright')}"


def write_rows(writer: Writer, table: Table, rows: Iterable[Row], without: frozenset[str] = frozenset()) -> None:
    """Write the rows of a table; the bytes of updates go into a file for each walk.

    Parameters
    ----------
    writer : Writer
        Of the bundle.
    table : Table
        Of which they are rows.
    rows : iterable of Row
        In their order; updates of one walk after those of another.
    without : frozenset of str
        Columns that stay.
    """
    if "body" in table.columns and table.name == "walk_update":
        rows = list(_with_updates(writer, rows))
    writer.add(f"{RECORDS}/{table.name}.jsonl", (line_of(row, table, without) for row in rows), is_large=True)


def _with_updates(writer: Writer, rows: Iterable[Row]) -> Iterator[Row]:
    """Write the updates of each walk, one behind the other, and yield the rows that say where each is."""
    walk, held = "", io.BytesIO()
    for row in rows:
        if row["walk_id"] != walk:
            _write_updates(writer, walk, held)
            walk, held = row["walk_id"], io.BytesIO()
        yield {**row, "body": {"from": held.tell(), "bytes": len(row["body"])}}
        held.write(row["body"])
    _write_updates(writer, walk, held)


def _write_updates(writer: Writer, walk: str, held: io.BytesIO) -> None:
    if walk:
        writer.add_bytes(f"{UPDATES}/{walk}/{UPDATES}.bin", held.getvalue())


def write_blobs(writer: Writer, blobs: Blobs, names: Iterable[str]) -> Iterator[str]:
    """Write kept files, and yield the names of those that are lost or damaged."""
    for sha256 in names:
        try:
            data = blobs.get(sha256)
        except DamagedError:
            yield sha256
            continue
        writer.add_bytes(f"{BLOBS}/{sha256}", data)
