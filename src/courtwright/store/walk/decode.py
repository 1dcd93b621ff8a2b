"""Reads what a Yjs update sets and takes away, without applying it.

The format is that of update version 1 as Yjs publishes it: for each client a run of structs, then the ranges that were
deleted. All of it is checked before anything else sees an update, for a document engine may trust what it is given.
Contents that no map of a walk holds (marks of rich text, embedded things, XML, the JSON of old releases) are refused
here: engines do not even agree on how they are written.

References
----------
Yjs, "Yjs internals" and the module ``encoding``; lib0, module ``encoding``.
"""

from __future__ import annotations

from typing import NamedTuple

from courtwright.store.walk.lib0 import LARGEST, LARGEST_CLIENT, NotReadError, Reader, not_plain

#: One struct of one client: (client, clock).
Id = tuple[int, int]

_ORIGIN, _RIGHT, _KEY, _CONTENT = 0x80, 0x40, 0x20, 0x1F
_GC, _DELETED, _TEXT, _ANY, _SKIP = 0, 1, 4, 8, 10
#: No update of a walk has more ids in runs, which take a few bytes to tell and much room to keep. [-]
_MOST_IN_RUNS = 200_000
_TYPES = {0: "list", 1: "map", 2: "text"}


class Struct(NamedTuple):
    """One struct of an update.

    Parameters
    ----------
    client, clock, length : int
        The ids that it takes up.
    kind : str
        ``value``, ``text``, ``type``, ``gone`` (deleted, its content no longer told) or ``nothing`` (collected: not
        even its place is told).
    values : tuple
        What it sets, plain; of a type its kind.
    origin, right : Id or None
        What stood before and after it where it was put.
    parent : str, Id or None
        The root type by name, or the type by id; None when the neighbours tell.
    key : str or None
        Its key in a map.
    """

    client: int
    clock: int
    length: int
    kind: str
    values: tuple[object, ...] = ()
    origin: Id | None = None
    right: Id | None = None
    parent: str | Id | None = None
    key: str | None = None


class Update(NamedTuple):
    """What an update holds: its structs, and the ranges it deletes as (client, clock, length)."""

    structs: tuple[Struct, ...]
    deleted: tuple[tuple[int, int, int], ...]


def read_update(data: bytes) -> Update:
    r"""Return what an update holds.

    Raises
    ------
    NotReadError
        If it is no update, or has anything after its end.

    Examples
    --------
    >>> update = read_update(b"\x01\x01\x01\x00\x28\x01\x04walk\x04name\x01w\x05North\x00")
    >>> update.structs[0].parent, update.structs[0].key, update.structs[0].values
    ('walk', 'name', ('North',))
    """
    reader = Reader(data)
    structs: list[Struct] = []
    clients, in_runs = set[int](), 0
    for _ in range(reader.count()):
        many, client, clock = reader.count(), reader.count(LARGEST_CLIENT), reader.count()
        if not many or client in clients:
            raise NotReadError("a client without structs, or twice")  # the engine breaks on those, perhaps later
        clients.add(client)
        for _ in range(many):
            info = reader.byte()
            if info & _CONTENT == _SKIP:
                clock += reader.count()
                continue
            struct = _struct(reader, info, client, clock)
            clock += struct.length
            in_runs += struct.length if struct.length > 1 else 0
            if not struct.length or in_runs > _MOST_IN_RUNS or clock > LARGEST:
                raise NotReadError("clock out of bounds")
            structs += [struct] if struct.length == 1 else _single(struct)
    deleted = _deleted(reader)
    if reader.at != reader.end:
        raise NotReadError("bytes after the end")
    return Update(tuple(structs), deleted)


def read_vector(data: bytes) -> dict[int, int]:
    r"""Return a state vector: how far each client is known.

    Raises
    ------
    NotReadError
        If it is none.

    Examples
    --------
    >>> read_vector(b"\x01\x07\x03")
    {7: 3}
    """
    reader = Reader(data)
    found = {reader.count(LARGEST_CLIENT): reader.count() for _ in range(reader.count())}
    if reader.at != reader.end:
        raise NotReadError("bytes after the end")
    return found


def _deleted(reader: Reader) -> tuple[tuple[int, int, int], ...]:
    found: list[tuple[int, int, int]] = []
    for _ in range(reader.count()):
        client, many = reader.count(LARGEST_CLIENT), reader.count()
        for _ in range(many):
            clock, length = reader.count(), reader.count()
            if clock + length > LARGEST:
                raise NotReadError("clock out of bounds")
            found.append((client, clock, length))
    return tuple(found)


def _id(reader: Reader) -> Id:
    return reader.count(LARGEST_CLIENT), reader.count()


def _struct(reader: Reader, info: int, client: int, clock: int) -> Struct:
    if info & _CONTENT == _GC:
        return Struct(client, clock, reader.count(), "nothing")
    origin = _id(reader) if info & _ORIGIN else None
    right = _id(reader) if info & _RIGHT else None
    parent: str | Id | None = None
    key: str | None = None
    if origin is None and right is None:
        parent = reader.text() if _flag(reader) else _id(reader)
        key = reader.text() if info & _KEY else None
    kind, values, length = _content(reader, info & _CONTENT)
    return Struct(client, clock, length, kind, values, origin, right, parent, key)


def _flag(reader: Reader) -> bool:
    value = reader.count()
    if value > 1:
        raise NotReadError("no flag")
    return value == 1


def _content(reader: Reader, content: int) -> tuple[str, tuple[object, ...], int]:
    """Return the kind of a struct's content, what it sets, and how many ids it takes up."""
    if content == _ANY:
        many = reader.count()
        if many > reader.end - reader.at:
            raise NotReadError("cut off")
        return "value", tuple(reader.any() for _ in range(many)), many
    if content == _DELETED:
        return "gone", (), reader.count()
    if content == _TEXT:
        text = reader.text()
        return "text", (text,), len(text.encode("utf-16-le")) // 2
    return *_lone(reader, content), 1


def _lone(reader: Reader, content: int) -> tuple[str, tuple[object, ...]]:
    """Return the kind and value of a content that takes up one id."""
    match content:
        case 7:
            kind = reader.count()
            if kind not in _TYPES:
                raise NotReadError(f"type of kind {kind}")
            return "type", (_TYPES[kind],)
        case 3:
            reader.bytes(reader.count())
            return "value", (not_plain("bytes"),)
        case 9:
            reader.text()
            reader.any()
            return "value", (not_plain("document"),)
        case _:
            raise NotReadError(f"content of kind {content}")


def _single(struct: Struct) -> list[Struct]:
    """Return values that were joined to a run one by one, each standing after the one before it."""
    if struct.kind not in ("value", "gone"):
        return [struct]
    client, clock, values = struct.client, struct.clock, struct.values
    first = struct._replace(length=1, values=values[:1])
    after = (
        Struct(client, clock + i, 1, struct.kind, values[i : i + 1], origin=(client, clock + i - 1))
        for i in range(1, struct.length)
    )
    return [first, *after]
