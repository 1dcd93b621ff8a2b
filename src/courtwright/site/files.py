"""The files of a site, whether they lie in a folder or in an archive."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import BinaryIO, Protocol


class SiteFiles(Protocol):
    """What a folder and an archive have in common. Names are relative, with forward strokes."""

    def names(self) -> tuple[str, ...]:
        """Return the names of all files, sorted."""
        ...

    def size(self, name: str) -> int:
        """Return the size of a file. [bytes]"""
        ...

    def open(self, name: str) -> BinaryIO:
        """Open a file for reading from its start.

        Raises
        ------
        OSError
            If it cannot be opened. Reading may raise it too.
        """
        ...


class HeldFiles:
    """The files of a site that are in memory already.

    Parameters
    ----------
    contents : mapping of str to bytes
        By name, relative and with forward strokes.
    """

    def __init__(self, contents: Mapping[str, bytes]) -> None:
        self._contents = contents

    def names(self) -> tuple[str, ...]:
        """Return the names of all files, sorted."""
        return tuple(sorted(self._contents))

    def size(self, name: str) -> int:
        """Return the size of a file. [bytes]"""
        return len(self._contents[name])

    def open(self, name: str) -> BinaryIO:
        """Open one file."""
        return io.BytesIO(self._contents[name])


def plain_name(name: str) -> str | None:
    r"""Return a file's name as `SiteFiles.names` gives it, or None when it leaves the site.

    Examples
    --------
    >>> plain_name("photos\\a.jpg"), plain_name("./north.csv"), plain_name("../north.csv"), plain_name("C:/north.csv")
    ('photos/a.jpg', 'north.csv', None, None)
    """
    parts = name.replace("\\", "/").split("/")
    if ".." in parts or "\x00" in name or name.startswith(("/", "\\")) or parts[0].endswith(":"):
        return None
    return "/".join(part for part in parts if part not in ("", ".")) or None
