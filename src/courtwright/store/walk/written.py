"""Writes plain values into a new document, as a phone would that types them all."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any, cast

from pycrdt import Doc, Map, TransactionEvent

#: So many items go into one update, so that none is too large. [-]
_AT_ONCE = 500


def updates_of(plain: Mapping[str, dict[str, Any]], client: int) -> tuple[bytes, ...]:
    """Return the updates of a document that says these values; the same for the same values and client.

    Parameters
    ----------
    plain : mapping
        Maps of values or of flat maps, by their names; a text beside maps is put as it is.
    client : int
        The editing round, that no other document of the walk has. [-]
    """
    doc: Doc[Any] = Doc(client_id=client, skip_gc=True)
    found: list[bytes] = []

    def keep(event: TransactionEvent) -> None:
        found.append(event.update)

    watch = doc.observe(keep)
    for name, values in plain.items():
        root: Map[Any] = doc.get(name, type=Map)
        for some in _groups(values):
            with doc.transaction():
                for key, value in some.items():
                    root[key] = Map(cast("dict[str, Any]", value)) if isinstance(value, dict) else value
    doc.unobserve(watch)
    return tuple(found)


def _groups(values: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    left = iter(values.items())
    while some := dict(itertools.islice(left, _AT_ONCE)):
        yield some
