"""Writes a bundle: the same contents give the same bytes, on every machine and on any day."""

from __future__ import annotations

import contextlib
import hashlib
import stat
import zipfile
from collections.abc import Iterable
from dataclasses import replace
from typing import BinaryIO

from courtwright.store.bundle.manifest import NAME, Manifest, Member, manifest_text

#: The earliest time that a zip can tell; the real ones stand in the records.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_UNIX = 3
_LARGE = 2**31 - 1


class Writer:
    """A bundle that is being written.

    Nothing in it is packed smaller: photos cannot be, and what packs smaller differs between releases of the packer.

    Parameters
    ----------
    file : BinaryIO
        Where to; it has to let itself be read back and be moved in.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._zip = zipfile.ZipFile(file, "w", zipfile.ZIP_STORED, allowZip64=True, strict_timestamps=False)
        self._members: list[Member] = []

    def __enter__(self) -> Writer:
        """Return the bundle."""
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        """Let go of a bundle that was not written to its end."""
        if kind is not None:
            with contextlib.suppress(OSError, ValueError):
                self._zip.close()

    def add(self, name: str, parts: Iterable[bytes], *, is_large: bool = False) -> None:
        """Write one file.

        Parameters
        ----------
        name : str
            Its path inside.
        parts : iterable of bytes
            What is in it, piece by piece.
        is_large : bool
            Whether it may be larger than 2 GB.
        """
        hashed, size = hashlib.sha256(), 0
        with self._zip.open(_info(name), "w", force_zip64=is_large) as out:
            for part in parts:
                hashed.update(part)
                size += len(part)
                out.write(part)
        self._members.append(Member(name, size, hashed.hexdigest()))

    def add_bytes(self, name: str, data: bytes) -> None:
        """Write one file that is in memory."""
        self.add(name, (data,), is_large=len(data) > _LARGE)

    def close(self, manifest: Manifest) -> Manifest:
        """Write what the bundle says of itself, last; return it with its files."""
        whole = replace(manifest, files=tuple(sorted(self._members, key=lambda one: one.name)))
        self._zip.writestr(_info(NAME), manifest_text(whole))
        self._zip.close()
        return whole


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _NO_TIME)
    info.create_system = _UNIX
    info.external_attr = (stat.S_IFREG | 0o600) << 16
    return info
