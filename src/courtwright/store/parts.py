"""Files that come in parts: what has come of each lies in a folder of this machine until it is whole."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import threading
from collections.abc import Generator
from pathlib import Path
from typing import BinaryIO

from courtwright.errors import BusyError, ConflictError, InputError
from courtwright.says import say
from courtwright.store.blobs import settle
from courtwright.store.failures import disk, told

_ID = re.compile(r"[0-9a-f-]{36}")
_ENDING = ".part"
_CHUNK = 1 << 20


class OffsetError(ConflictError):
    """A part does not begin where the one before ended.

    Parameters
    ----------
    kept, given : int
        How much is here, and where the part was to begin. [bytes]
    """

    code = "upload-offset"

    def __init__(self, kept: int, given: int) -> None:
        super().__init__(
            say("store.part-offset", kept=kept, given=given), where="Upload-Offset", fix=say("store.part-offset-do")
        )
        self.kept = kept


class Parts:
    """Half-received files, each by an id, written by one request at a time.

    Parameters
    ----------
    root : Path
        The folder; made when it is needed.
    """

    def __init__(self, root: Path) -> None:
        self._root = root
        self._lock = threading.Lock()
        self._taken: set[str] = set()

    def size(self, id: str) -> int:
        """Return how much of a file is here. [bytes]"""
        try:
            return self._path(id).stat().st_size
        except FileNotFoundError:
            return 0
        except OSError as error:
            raise disk(error) from error

    @contextlib.contextmanager
    def held(self, id: str) -> Generator[None, None, None]:
        """Hold a file, so that no other request writes it meanwhile.

        Raises
        ------
        BusyError
            If another one does just now.
        """
        with self._lock:
            if id in self._taken:
                raise BusyError(say("store.part-taken"), fix=say("store.busy-do"))
            self._taken.add(id)
        try:
            yield
        finally:
            with self._lock:
                self._taken.discard(id)

    def append(self, id: str, offset: int, data: bytes, most: int) -> int:
        """Append bytes, on the disk when this ends, and return how much is here then. [bytes]

        Parameters
        ----------
        id : str
            Of the file, which is held.
        offset : int
            Where they begin. [bytes]
        data : bytes
            What came.
        most : int
            Size of the whole file. [bytes]

        Raises
        ------
        OffsetError
            If they do not begin where those before ended.
        InputError
            If more comes than there is to come; nothing of it is kept then.
        StoreError
            If the disk refuses.
        """
        kept = self.size(id)
        if kept != offset:
            raise OffsetError(kept, offset)
        if kept + len(data) > most:
            raise InputError(say("store.part-more", size=most), fix=say("store.part-more-do"))
        with told():
            self._root.mkdir(parents=True, exist_ok=True, mode=0o700)
            with self._path(id).open("ab", buffering=0) as file:
                _write(file, data)
                os.fsync(file.fileno())
            if kept == 0:
                settle(self._root)
        return kept + len(data)

    def sha256(self, id: str) -> str:
        """Return the hash of what is here."""
        found = hashlib.sha256()
        with told(), self._path(id).open("rb") as file:
            while chunk := file.read(_CHUNK):
                found.update(chunk)
        return found.hexdigest()

    def read(self, id: str) -> bytes:
        """Return what is here."""
        try:
            return self._path(id).read_bytes()
        except FileNotFoundError:
            return b""
        except OSError as error:
            raise disk(error) from error

    def drop(self, id: str) -> None:
        """Take away what is here."""
        with told():
            self._path(id).unlink(missing_ok=True)

    def older(self, than: float) -> list[str]:
        """Return the ids of files to which nothing has come since a time [s since 1970 in UTC]."""
        found: list[str] = []
        for path in self._root.glob(f"*{_ENDING}"):
            with contextlib.suppress(FileNotFoundError):
                if path.stat().st_mtime < than:
                    found.append(path.name.removesuffix(_ENDING))
        return sorted(found)

    def _path(self, id: str) -> Path:
        if not _ID.fullmatch(id):
            message = "no id"
            raise ValueError(message)
        return self._root / f"{id}{_ENDING}"


def _write(file: BinaryIO, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[file.write(view) :]
