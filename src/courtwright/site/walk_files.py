"""The files of a site folder that a walk's document makes, in memory; photos and survey files are read when opened."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import BinaryIO

#: Gives the bytes that have a SHA-256, or None where they have not come.
ReadBlob = Callable[[str], bytes | None]


@dataclass(slots=True)
class WalkedFiles:
    """A site folder made of a document: `courtwright.site.files.SiteFiles`.

    Parameters
    ----------
    written : dict of str to bytes
        Files made of the document.
    blobs : dict of str to str
        SHA-256 of the others, by name.
    read_blob : callable
        Gives their bytes.
    owners : dict
        The UUID that a place is about, by file and place.
    missing : set of str
        Names of those that were opened and have not come.
    """

    written: dict[str, bytes]
    blobs: dict[str, str]
    read_blob: ReadBlob
    owners: dict[tuple[str, str], str] = field(default_factory=dict[tuple[str, str], str])
    missing: set[str] = field(default_factory=set[str])

    def names(self) -> tuple[str, ...]:
        """Return the names of all files, sorted."""
        return tuple(sorted({*self.written, *self.blobs}))

    def size(self, name: str) -> int:
        """Return the size of a file. [bytes]

        Raises
        ------
        OSError
            If it has not come.
        """
        return len(self.read(name))

    def open(self, name: str) -> BinaryIO:
        """Open a file for reading from its start.

        Raises
        ------
        OSError
            If it has not come.
        """
        return io.BytesIO(self.read(name))

    def read(self, name: str) -> bytes:
        """Return a whole file.

        Raises
        ------
        OSError
            If it has not come.
        """
        if name in self.written:
            return self.written[name]
        data = self.read_blob(self.blobs[name])
        if data is None:
            self.missing.add(name)
            raise FileNotFoundError(name)
        return data
