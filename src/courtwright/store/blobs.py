"""Files kept by what is in them: photos, survey files, papers. Written once, never changed, checked when read."""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import os
import re
import tempfile
from pathlib import Path
from typing import Any, Protocol

from courtwright.errors import CallError, DamagedError
from courtwright.says import say
from courtwright.store.failures import disk, told

_NAME = re.compile(r"[0-9a-f]{64}")
#: Half-written files carry this ending; a start takes away those of a crash.
_HALF = ".half"


class Blobs(Protocol):
    """Where files are kept."""

    def put(self, data: bytes) -> str:
        """Keep bytes so that they outlast a crash, and return their SHA-256.

        Raises
        ------
        StoreError
            If they cannot be kept.
        """
        ...

    def get(self, sha256: str) -> bytes:
        """Return the bytes.

        Raises
        ------
        DamagedError
            If they are not there, or no longer what they were.
        StoreError
            If they cannot be read.
        """
        ...

    def has(self, sha256: str) -> bool:
        """Tell whether a file of that name is there, whole or not."""
        ...

    def tidy(self, before: dt.datetime) -> int:
        """Take away what was left half-written before then; return how many files that were. [-]"""
        ...

    def check(self) -> None:
        """Begin to keep something, and leave nothing behind.

        Raises
        ------
        StoreError
            If nothing can be kept.
        """
        ...


def digest(data: bytes) -> str:
    """Return the SHA-256 of bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


class FolderBlobs:
    """Files in a folder of this machine.

    Parameters
    ----------
    root : Path
        The folder; made when missing.

    Raises
    ------
    StoreError
        If it cannot be made.
    """

    def __init__(self, root: Path) -> None:
        self._root = root
        with told():
            root.mkdir(parents=True, exist_ok=True, mode=0o700)

    def put(self, data: bytes) -> str:
        """Keep bytes: whole and on the disk under their final name, or not at all."""
        sha256 = digest(data)
        path = self._path(sha256)
        if path.exists() and _whole(path, sha256):
            return sha256
        with told():
            path.parent.mkdir(exist_ok=True, mode=0o700)
            handle, half = tempfile.mkstemp(suffix=_HALF, dir=path.parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(data)
                    file.flush()
                    os.fsync(file.fileno())
                Path(half).replace(path)
            except BaseException:
                with contextlib.suppress(OSError):
                    Path(half).unlink()
                raise
            settle(path.parent)
            settle(self._root)
        return sha256

    def get(self, sha256: str) -> bytes:
        """Return the bytes, once they are seen to be what was kept."""
        path = self._path(sha256)
        try:
            data = path.read_bytes()
        except FileNotFoundError as error:
            raise _missing(sha256) from error
        except OSError as error:
            raise disk(error) from error
        return _checked(data, sha256)

    def has(self, sha256: str) -> bool:
        """Tell whether a file of that name is there."""
        return self._path(sha256).is_file()

    def check(self) -> None:
        """Write a page of nothing, and take it away."""
        with told(), tempfile.TemporaryFile(suffix=_HALF, dir=self._root) as file:
            file.write(bytes(4096))
            file.flush()

    def tidy(self, before: dt.datetime) -> int:
        """Take away what was left half-written before then, by a crash; return how many files that were. [-]"""
        with told():
            old = [one for one in self._root.glob(f"??/*{_HALF}") if one.stat().st_mtime < before.timestamp()]
            for half in old:
                half.unlink(missing_ok=True)
        return len(old)

    def _path(self, sha256: str) -> Path:
        return self._root / sha256[:2] / named(sha256)


class RemoteBlobs:
    """Files in any place that fsspec speaks with: an object store, a network share, memory.

    Parameters
    ----------
    address : str
        As fsspec reads it, e.g. ``s3://bucket/folder``.

    Raises
    ------
    CallError
        If nothing speaks with such an address.
    StoreError
        If the place cannot be reached.
    """

    def __init__(self, address: str) -> None:
        import fsspec

        try:
            with told():
                found: tuple[Any, str] = fsspec.core.url_to_fs(address)
        except (ValueError, ImportError) as error:
            raise CallError(say("store.blobs-address"), fix=say("store.blobs-address-do")) from error
        self._files, self._root = found

    def put(self, data: bytes) -> str:
        """Keep bytes."""
        sha256 = digest(data)
        path = self._path(sha256)
        with told():
            if not (self._files.exists(path) and self._files.size(path) == len(data)):
                self._files.makedirs(path.rpartition("/")[0], exist_ok=True)
                self._files.pipe_file(path, data)
        return sha256

    def get(self, sha256: str) -> bytes:
        """Return the bytes, once they are seen to be what was kept."""
        path = self._path(sha256)
        try:
            data: bytes = self._files.cat_file(path)
        except FileNotFoundError as error:
            raise _missing(sha256) from error
        except OSError as error:
            raise disk(error) from error
        return _checked(data, sha256)

    def has(self, sha256: str) -> bool:
        """Tell whether a file of that name is there."""
        with told():
            return bool(self._files.exists(self._path(sha256)))

    def check(self) -> None:
        """Ask the place whether it is there; to write there may cost money."""
        with told():
            self._files.exists(self._root)

    def tidy(self, before: dt.datetime) -> int:
        """Do nothing: such places show a file once it is whole, and see to the rest themselves."""
        del before
        return 0

    def _path(self, sha256: str) -> str:
        return f"{self._root.rstrip('/')}/{sha256[:2]}/{named(sha256)}"


def blobs_at(place: str) -> Blobs:
    """Return the blobs of a folder, or of an address that fsspec speaks with.

    Parameters
    ----------
    place : str
        A folder's path, or an address with ``://``.

    Raises
    ------
    CallError, StoreError
        If it cannot be used.
    """
    return RemoteBlobs(place) if "://" in place else FolderBlobs(Path(place))


def named(sha256: str) -> str:
    """Return a hash that may be part of a path.

    Raises
    ------
    DamagedError
        If it is no SHA-256 in hexadecimal.
    """
    if not _NAME.fullmatch(sha256):
        raise DamagedError(say("store.blob-name"), fix=say("store.blob-missing-do"))
    return sha256


def _missing(sha256: str) -> DamagedError:
    return DamagedError(say("store.blob-missing", sha256=sha256[:12]), fix=say("store.blob-missing-do"))


def _checked(data: bytes, sha256: str) -> bytes:
    if digest(data) != sha256:
        raise DamagedError(say("store.blob-damaged", sha256=sha256[:12]), fix=say("store.blob-missing-do"))
    return data


def _whole(path: Path, sha256: str) -> bool:
    try:
        return digest(path.read_bytes()) == sha256
    except OSError:
        return False


def settle(folder: Path) -> None:
    """Make a folder's names outlast a crash."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
