"""Reads a bundle: its names, sizes and checksums first, then its rows and files."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Generator, Iterator, Mapping
from typing import Any, BinaryIO, Protocol, cast

from sqlalchemy import Table

from courtwright.errors import InputError
from courtwright.site.archive import Bounds, ZipFiles
from courtwright.store.bundle.contents import left_out
from courtwright.store.bundle.lines import RowError, read_line, value_of
from courtwright.store.bundle.manifest import (
    BLOBS,
    MUST,
    NAME,
    OPEN,
    RECORDS,
    UPDATES,
    Kind,
    Member,
    read_manifest,
    refused,
)
from courtwright.store.columns import METADATA

#: One job is a few thousand files at most; a whole store has every photo of every job.
BOUNDS: Mapping[Kind, Bounds] = {"job": Bounds(100_000, 100_000_000_000), "store": Bounds(5_000_000, 10**14)}
#: More than any bundle says of itself, which is read in one piece; and than the rows and updates of one job, which are
#: held together until all is checked. [bytes]
_LONGEST_MANIFEST: Mapping[Kind, int] = {"job": 40_000_000, "store": 1_500_000_000}
_MOST_HELD: Mapping[Kind, int] = {"job": 1_000_000_000, "store": BOUNDS["store"].size}
#: More than any row. [bytes]
_LONGEST_LINE = 50_000_000
_CHUNK = 1 << 20
_ENDING = ".jsonl"


class Rows(Protocol):
    """Where rows can be read from in the form of this release."""

    def rows(self, table: Table) -> Iterator[dict[str, Any]]:
        """Yield the rows of a table, in their order."""
        ...


class Bundle:
    """A bundle, open for reading.

    Parameters
    ----------
    handle : BinaryIO
        The file.
    where : str
        Its name.
    kind : {"job", "store"}
        What it has to hold.

    Raises
    ------
    ArchiveError
        If it is an archive that must not be opened.
    InputError
        If it is none of ours, of a newer form, or not the files that it lists.
    """

    def __init__(self, handle: BinaryIO, where: str, kind: Kind) -> None:
        self._where = where
        self._files = ZipFiles(handle, where, BOUNDS[kind])
        if NAME not in self._files.names() or self._files.size(NAME) > _LONGEST_MANIFEST[kind]:
            raise refused("foreign", where)
        self.manifest = read_manifest(self._read(NAME), where, kind)
        self._members = {one.name: one for one in self.manifest.files}
        self._check_names()
        self._updates: tuple[str, bytes] = ("", b"")

    def _check_names(self) -> None:
        there = set(self._files.names()) - {NAME}
        for name in sorted(there ^ self._members.keys()):
            raise refused("more" if name in there else "less", self._where, name=name[:80])
        for name, member in self._members.items():
            folder = name.partition("/")[0]
            if folder not in (*MUST, OPEN) and not self.manifest.may_ignore_folder(folder):
                raise refused("must", self._where, name=folder[:80])
            if member.size != self._files.size(name) or (folder == BLOBS and name != f"{BLOBS}/{member.sha256}"):
                raise refused("damaged", self._where, name=name[:80])
        held = sum(one.size for name, one in self._members.items() if name.startswith((f"{RECORDS}/", f"{UPDATES}/")))
        if held > _MOST_HELD[self.manifest.kind]:
            raise refused("large", self._where, megabytes=held / 1e6, most=_MOST_HELD[self.manifest.kind] / 1e6)

    def check(self) -> None:
        """Read every file once and compare it with its checksum.

        Raises
        ------
        InputError
            If one is not what was packed.
        """
        for name, member in self._members.items():
            hashed = hashlib.sha256()
            with self._told(name), self._files.open(name) as file:
                while part := file.read(_CHUNK):
                    hashed.update(part)
            if hashed.hexdigest() != member.sha256:
                raise refused("damaged", self._where, name=name[:80])

    @contextlib.contextmanager
    def _told(self, name: str) -> Generator[None]:
        try:
            yield
        except OSError as error:
            raise refused("damaged", self._where, name=name[:80]) from error

    def _read(self, name: str) -> bytes:
        with self._told(name), self._files.open(name) as file:
            return file.read()

    # --- what is in it ---

    def tables(self) -> tuple[str, ...]:
        """Return the names of the tables that it holds rows of."""
        names = (name.removeprefix(f"{RECORDS}/") for name in self._members if name.startswith(f"{RECORDS}/"))
        return tuple(name.removesuffix(_ENDING) for name in names if name.endswith(_ENDING))

    def blobs(self) -> tuple[Member, ...]:
        """Return the kept files that it holds."""
        return tuple(one for name, one in self._members.items() if name.startswith(f"{BLOBS}/"))

    def blob(self, sha256: str) -> bytes:
        """Return a kept file.

        Raises
        ------
        InputError
            If it cannot be read, or is not what was packed.
        """
        data = self._read(f"{BLOBS}/{sha256}")
        if hashlib.sha256(data).hexdigest() != sha256:
            raise refused("damaged", self._where, name=f"{BLOBS}/{sha256}")
        return data

    def plain_rows(self, table: str) -> Iterator[dict[str, Any]]:
        """Yield the rows of a table as they stand in it, with the bytes of updates.

        Raises
        ------
        InputError
            If a line is none.
        """
        name = f"{RECORDS}/{table}{_ENDING}"
        if name not in self._members:
            return
        with self._told(name), self._files.open(name) as file:
            # Of a longer line only a piece is read, which is no row.
            lines = iter(lambda: file.readline(_LONGEST_LINE), b"")
            for number, line in enumerate(lines, 1):
                with self.row_told(table, number):
                    row = read_line(line)
                    self._require_no_secret(table, row)
                    if "body" in row and isinstance(row["body"], dict):
                        row["body"] = self._update(str(row["walk_id"]), cast("dict[str, Any]", row["body"]))
                yield row

    def _require_no_secret(self, table: str, row: Mapping[str, Any]) -> None:
        """Refuse a job that brings an account or a link that opens: no job ever leaves with one."""
        known = METADATA.tables.get(table)
        if self.manifest.kind == "job" and known is not None and left_out(known) & row.keys():
            raise RowError

    def _update(self, walk_id: str, place: Mapping[str, Any]) -> bytes:
        name = f"{UPDATES}/{walk_id}/{UPDATES}.bin"
        if name not in self._members or type(place.get("from")) is not int or type(place.get("bytes")) is not int:
            raise RowError
        if self._updates[0] != name:
            self._updates = name, self._read(name)
        body = self._updates[1][place["from"] : place["from"] + place["bytes"]]
        if place["from"] < 0 or len(body) != place["bytes"]:
            raise RowError
        return body

    @contextlib.contextmanager
    def row_told(self, table: str, number: int) -> Generator[None]:
        """Say which line it is that is no row of its table."""
        try:
            yield
        except (RowError, KeyError) as error:
            raise refused("row", self._where, table=table, number=number) from error

    def rows(self, table: Table) -> Iterator[dict[str, Any]]:
        """Yield the rows of a table.

        Raises
        ------
        InputError
            If a line is none, or has a column that this release neither knows nor may leave out.
        """
        for number, row in enumerate(self.plain_rows(table.name), 1):
            with self.row_told(table.name, number):
                made = {name: value_of(row[name], table.columns[name]) for name in row if self._is_known(table, name)}
            yield made

    def _is_known(self, table: Table, name: str) -> bool:
        if name in table.columns:
            return True
        if self.manifest.may_ignore_column(table.name, name):
            return False
        raise refused("must", self._where, name=f"{table.name}.{name}"[:80])

    def require_known_tables(self) -> None:
        """Refuse a bundle with records of a kind that this release neither knows nor may leave out.

        Raises
        ------
        InputError
            If so.
        """
        for name in self.tables():
            if name not in METADATA.tables and not self.manifest.may_ignore_table(name):
                raise refused("must", self._where, name=name[:80])

    def broken(self, id: str, **values: object) -> InputError:
        """Return the refusal of this bundle."""
        return refused(id, self._where, **values)
