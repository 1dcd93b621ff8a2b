"""One digest of all data of the trade: an offer keeps it, so that what it was reckoned from can be told later."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable

_DATA = (".toml", ".csv")


@functools.cache
def trade_digest() -> str:
    """Return the SHA-256 of every TOML and CSV file of the trade, in hexadecimal.

    Examples
    --------
    >>> len(trade_digest())
    64
    """
    return digest_of(files("courtwright.trade"))


def digest_of(folder: Traversable) -> str:
    """Return the SHA-256 of the data in a folder and the folders in it.

    Names count as well as contents, and nothing else does: neither the order in which a disk lists the
    files, nor their dates, nor files that hold no data.
    """
    whole = hashlib.sha256()
    for name, file in sorted(_data(folder), key=lambda entry: entry[0]):
        whole.update(f"{hashlib.sha256(file.read_bytes()).hexdigest()} {name}\n".encode())
    return whole.hexdigest()


def _data(folder: Traversable, above: str = "") -> Iterator[tuple[str, Traversable]]:
    for entry in folder.iterdir():
        if entry.is_dir():
            yield from _data(entry, f"{above}{entry.name}/")
        elif entry.name.endswith(_DATA):
            yield above + entry.name, entry
