"""The keys of the seals: files that only this user may read, outside the database and outside every backup."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import stat
import tempfile
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from courtwright.errors import DamagedError, StoreError
from courtwright.says import say
from courtwright.store.failures import told

#: The key in use; those before it are kept under their ids, for the seals that they made.
_CURRENT = "seal.key"
_FORMER = re.compile(r"seal-([0-9a-f]{16})\.key")
#: Length of a key. [bytes]
_LENGTH = 32


@dataclass(frozen=True, slots=True)
class Key:
    """A secret that seals.

    Parameters
    ----------
    id : str
        The beginning of its SHA-256: names it, and tells nothing of it.
    secret : bytes
        32 random bytes.
    """

    id: str
    secret: bytes = field(repr=False)


class Keys:
    """The keys in a folder.

    Parameters
    ----------
    folder : Path
        Where they are; made with the first key.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def current(self) -> Key | None:
        """Return the key in use, or None where there is none yet.

        Raises
        ------
        DamagedError
            If it is no key.
        StoreError
            If others may read it, or this user may not.
        """
        path = self._folder / _CURRENT
        return _read(path) if _is_there(path) else None

    def make(self) -> Key:
        """Make the first key, unless somebody else is quicker, and return the key in use.

        Raises
        ------
        DamagedError, StoreError
            As `current` does, or if it cannot be written.
        """
        with _written(self._folder) as half, contextlib.suppress(FileExistsError):
            # A link takes no name that is taken, and shows no half-written file.
            os.link(half, self._folder / _CURRENT)
        return _read(self._folder / _CURRENT)

    def rotate(self) -> Key:
        """Put the key in use aside, for the seals that it made, and return a new one.

        Raises
        ------
        DamagedError, StoreError
            As `make` does.
        """
        former = self.current()
        if former is None:
            return self.make()
        with _written(self._folder) as half:
            with contextlib.suppress(FileExistsError):
                os.link(self._folder / _CURRENT, self._folder / f"seal-{former.id}.key")
            half.replace(self._folder / _CURRENT)
        return _read(self._folder / _CURRENT)

    def all(self) -> dict[str, Key]:
        """Return every key by its id.

        Raises
        ------
        DamagedError, StoreError
            As `current` does, and if a key does not go by its own id.
        """
        found = {key.id: key for key in self._former()}
        current = self.current()
        return found if current is None else {**found, current.id: current}

    def _former(self) -> Iterator[Key]:
        with told():
            names = sorted(path.name for path in self._folder.iterdir()) if self._folder.is_dir() else []
        for name in names:
            is_former = _FORMER.fullmatch(name)
            if is_former is None:
                continue
            key = _read(self._folder / name)
            if key.id != is_former[1]:
                raise _broken(self._folder / name)
            yield key


@contextlib.contextmanager
def _written(folder: Path) -> Generator[Path, None, None]:
    """Write a new key beside its place, on the disk, for this user's eyes; make the folder's names outlast a crash."""
    with told():
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, name = tempfile.mkstemp(suffix=".half", dir=folder)
        half = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(_LENGTH))
                file.flush()
                os.fsync(file.fileno())
            yield half
        finally:
            half.unlink(missing_ok=True)
        settled = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(settled)
        finally:
            os.close(settled)


def _is_there(path: Path) -> bool:
    with told():
        return path.exists()


def _read(path: Path) -> Key:
    with told(), path.open("rb") as file:
        mode = os.fstat(file.fileno()).st_mode
        secret = file.read(_LENGTH + 1)
    if os.name == "posix" and mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise StoreError(say("store.key-open"), where=str(path), fix=say("store.key-open-do"))
    if len(secret) != _LENGTH:
        raise _broken(path)
    return Key(hashlib.sha256(secret).hexdigest()[:16], secret)


def _broken(path: Path) -> DamagedError:
    return DamagedError(say("store.key-broken"), where=str(path), fix=say("store.key-broken-do"))
