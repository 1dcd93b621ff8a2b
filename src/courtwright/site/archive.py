"""A site in a zip, read in memory; one that must not be opened is refused whole."""

from __future__ import annotations

import io
import stat
import struct
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import IO, BinaryIO

from courtwright.errors import ArchiveError, InputError
from courtwright.says import say
from courtwright.site.files import plain_name

MOST_FILES = 10_000
#: Largest sum of sizes, and the growth from which a file of more than a megabyte counts as a bomb. [bytes], [-]
MOST_BYTES = 4_000_000_000
MOST_GROWTH = 200
_MEGABYTE = 1_000_000
#: Longest entry of a table of contents; a longer table lists more files than are taken. [bytes]
_LONGEST_ENTRY = 400
_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, struct.error)


@dataclass(frozen=True, slots=True)
class Bounds:
    """How much an archive may hold.

    Parameters
    ----------
    files : int
        Number of files. [-]
    size : int
        Sum of their sizes. [bytes]
    """

    files: int
    size: int


OF_A_SITE = Bounds(MOST_FILES, MOST_BYTES)


class ZipFiles:
    """The files of an archive.

    Parameters
    ----------
    handle : BinaryIO
        The archive.
    where : str
        Its name.
    bounds : Bounds
        How much it may hold.

    Raises
    ------
    ArchiveError
        If a name leaves the archive's folder, a link or another special file is in it, or it would grow beyond
        bounds: nothing of it is read then.
    InputError
        If it is no archive that can be read.
    """

    def __init__(self, handle: BinaryIO, where: str, bounds: Bounds = OF_A_SITE) -> None:
        self._where, self._bounds = where, bounds
        self._size = handle.seek(0, io.SEEK_END)
        if _contents_size(handle) > bounds.files * _LONGEST_ENTRY:
            raise self._refused("archive-many-files", most=bounds.files)
        try:
            self._zip = zipfile.ZipFile(handle)
        except (*_UNREADABLE, OSError) as error:
            raise InputError(say("site.archive-broken"), where=where, fix=say("site.archive-broken-do")) from error
        self._entries = self._checked()

    def _refused(self, code: str, **values: object) -> ArchiveError:
        return ArchiveError(say(f"site.{code}", **values), where=self._where, fix=say("site.archive-do"))

    def _checked(self) -> dict[str, zipfile.ZipInfo]:
        entries = self._zip.infolist()
        if len(entries) > self._bounds.files:
            raise self._refused("archive-many-files", most=self._bounds.files)
        found: dict[str, zipfile.ZipInfo] = {}
        for entry in entries:
            name = plain_name(entry.orig_filename)
            if name is None or plain_name(entry.filename) is None:
                raise self._refused("archive-name", name=entry.orig_filename[:80])
            kind = stat.S_IFMT(entry.external_attr >> 16)
            if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
                raise self._refused("archive-link", name=name[:80])
            if entry.file_size > max(_MEGABYTE, MOST_GROWTH * max(entry.compress_size, 1)):
                raise self._refused("archive-bomb", name=name[:80])
            if not entry.is_dir():
                found.setdefault(name, entry)
        whole = sum(entry.file_size for entry in entries)
        if whole > min(self._bounds.size, max(20 * _MEGABYTE, MOST_GROWTH * self._size)):
            raise self._refused("archive-bomb", name=self._where)
        return _without_top_folder(found)

    def names(self) -> tuple[str, ...]:
        """Return the names of all files, sorted."""
        return tuple(sorted(self._entries))

    def size(self, name: str) -> int:
        """Return the size of a file once unpacked. [bytes]"""
        return self._entries[name].file_size

    def open(self, name: str) -> BinaryIO:
        """Open one file.

        Raises
        ------
        OSError
            If it cannot be unpacked: damaged, locked by a password, or packed in an unusual way.
        """
        try:
            handle = self._zip.open(self._entries[name])
        except _UNREADABLE as error:
            raise OSError(str(error)) from error
        return io.BufferedReader(_Guarded(handle))


class _Guarded(io.RawIOBase):
    """A file of an archive whose damage shows as `OSError`, as that of any file does."""

    def __init__(self, handle: IO[bytes]) -> None:
        self._handle = handle

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return self._handle.seekable()

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]  # any writable buffer will do
        try:
            data = self._handle.read(len(buffer))
        except _UNREADABLE as error:
            raise OSError(str(error)) from error
        buffer[: len(data)] = data
        return len(data)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        try:
            return self._handle.seek(offset, whence)
        except _UNREADABLE as error:
            raise OSError(str(error)) from error

    def tell(self) -> int:
        return self._handle.tell()


def _contents_size(handle: BinaryIO) -> int:
    """Return the size of the table of contents as the archive's end tells it; 0 when it tells none. [bytes]"""
    end = handle.seek(0, io.SEEK_END)
    handle.seek(max(0, end - 65_557))
    tail = handle.read()
    handle.seek(0)
    at = tail.rfind(b"PK\x05\x06")
    return struct.unpack_from("<L", tail, at + 12)[0] if 0 <= at <= len(tail) - 22 else 0


def _without_top_folder(found: dict[str, zipfile.ZipInfo]) -> dict[str, zipfile.ZipInfo]:
    """Return the files of a zipped folder by their names inside it."""
    found = {name: entry for name, entry in found.items() if not name.startswith("__MACOSX/")}
    tops = {PurePosixPath(name).parts[0] for name in found}
    if "site.toml" in found or len(tops) != 1:
        return found
    top = f"{tops.pop()}/"
    return {name.removeprefix(top): entry for name, entry in found.items() if name != top.rstrip("/")} or found
