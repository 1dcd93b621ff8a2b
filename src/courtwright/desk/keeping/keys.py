"""The keys of the seals in a file of their own, beside a backup that does not hold them."""

from __future__ import annotations

import contextlib
import io
import re
import zipfile
from collections.abc import Generator
from pathlib import Path

from courtwright.desk.places import Places
from courtwright.errors import InputError
from courtwright.says import say
from courtwright.site.archive import Bounds, ZipFiles
from courtwright.store.backup import written_whole
from courtwright.store.failures import told
from courtwright.store.keys import Keys
from courtwright.store.seals import verify_seals
from courtwright.store.verify import SealCheck

#: A key is a few lines.
_BOUNDS = Bounds(1000, 10_000_000)
_A_KEY = re.compile(r"seal(-[0-9a-f]{16})?\.key")


def keys_beside(backup: Path) -> Path:
    """Return the name of the file of keys beside a backup.

    Examples
    --------
    >>> keys_beside(Path("friday.zip")).name
    'friday-keys.zip'
    """
    return backup.with_name(f"{backup.stem}-keys.zip")


def write_keys(places: Places, backup: Path) -> Path:
    """Write the keys of an office beside a backup; return the file.

    Raises
    ------
    StoreError
        If they cannot be read or written.
    """
    target = keys_beside(backup)
    with told(), written_whole(target) as half, zipfile.ZipFile(half, "w") as file:
        for key in sorted(path for path in places.keys.glob("*.key") if _A_KEY.fullmatch(path.name)):
            file.write(key, key.name)
    return target


@contextlib.contextmanager
def read_keys(file: Path | None, places: Places) -> Generator[None]:
    """Put keys where an office keeps them; they go again when what follows does not end well.

    Parameters
    ----------
    file : Path or None
        That `write_keys` wrote; None to leave the keys as they are.
    places : Places
        Of the office.

    Raises
    ------
    InputError
        If the file is none, or another key of that name is there.
    StoreError
        If they cannot be written.
    """
    written: list[Path] = []
    try:
        if file is not None:
            for name, data in _keys(file).items():
                written += _put(places.keys / name, data, file.name)
        yield
    except BaseException:
        for path in written:
            path.unlink(missing_ok=True)
        raise


def _keys(file: Path) -> dict[str, bytes]:
    with told():
        files = ZipFiles(io.BytesIO(file.read_bytes()), file.name, _BOUNDS)
        found: dict[str, bytes] = {}
        for name in files.names():
            if not _A_KEY.fullmatch(name):
                raise InputError(say("desk.keys-foreign"), where=file.name, fix=say("desk.keys-foreign-do"))
            with files.open(name) as part:
                found[name] = part.read()
    return found


def _put(path: Path, data: bytes, where: str) -> list[Path]:
    """Write a key, and return it as a list; an empty one when it is there already."""
    with told():
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if path.exists():
            if path.read_bytes() == data:
                return []
            raise InputError(say("desk.key-differs"), where=where, fix=say("desk.key-differs-do"))
        with written_whole(path) as half:
            half.write_bytes(data)
    return [path]


def seal_check(places: Places) -> SealCheck:
    """Return what looks at the seals with the keys of an office."""
    keys = Keys(places.keys)
    return lambda unit: verify_seals(unit, keys)
