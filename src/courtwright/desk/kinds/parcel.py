"""Named parts as one run of bytes, to be handed to a worker and back.

A parcel is the mark ``CWP1``, the length of its list as four bytes (the highest first), the list as JSON
``[[name, bytes], …]`` in UTF-8, and the parts one after another in the list's order. Nothing else: no packing, no
checksums; a parcel lives for the time of one call.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping

from courtwright.errors import InputError
from courtwright.says import say

_MARK = b"CWP1"
_HEAD = struct.Struct(">4sI")
#: A site of ten thousand files fits; a list or a parcel beyond is nobody's work. [-], [bytes]
MOST_PARTS = 20_000
MOST_BYTES = 2_000_000_000
_LONGEST_LIST = 8_000_000


def pack(parts: Mapping[str, bytes]) -> bytes:
    """Return parts as one parcel.

    Raises
    ------
    InputError
        If they are too many, or too large together.

    Examples
    --------
    >>> unpack(pack({"a": b"1", "b": b""}))
    {'a': b'1', 'b': b''}
    """
    table = json.dumps([[name, len(part)] for name, part in parts.items()], ensure_ascii=True).encode()
    if len(parts) > MOST_PARTS or len(table) > _LONGEST_LIST or sum(map(len, parts.values())) > MOST_BYTES:
        raise _broken("parcel-large")
    return b"".join((_HEAD.pack(_MARK, len(table)), table, *parts.values()))


def is_parcel(payload: bytes) -> bool:
    """Tell whether bytes begin as a parcel does."""
    return payload.startswith(_MARK)


def unpack(parcel: bytes) -> dict[str, bytes]:
    """Return the parts of a parcel, in the order they were packed.

    Raises
    ------
    InputError
        If it is no whole parcel: cut short, with something behind it, with a name twice, or too large.
    """
    return {name: parcel[start:end] for name, start, end in _places(parcel)}


def part(parcel: bytes, name: str) -> bytes | None:
    """Return one part of a parcel, without a copy of the others; None where there is none of that name.

    Raises
    ------
    InputError
        As `unpack` does.

    Examples
    --------
    >>> part(pack({"a": b"1", "b": b"2"}), "b")
    b'2'
    """
    return next((parcel[start:end] for known, start, end in _places(parcel) if known == name), None)


def _places(parcel: bytes) -> list[tuple[str, int, int]]:
    """Return the name of every part, and where it begins and ends."""
    if len(parcel) < _HEAD.size:
        raise _broken("parcel-broken")
    mark, length = _HEAD.unpack_from(parcel)
    if mark != _MARK or length > _LONGEST_LIST:
        raise _broken("parcel-broken")
    table = _table(parcel[_HEAD.size : _HEAD.size + length])
    at = _HEAD.size + length
    if at + sum(size for _, size in table) != len(parcel) or len(dict(table)) != len(table):
        raise _broken("parcel-broken")
    places: list[tuple[str, int, int]] = []
    for name, size in table:
        places.append((name, at, at + size))
        at += size
    return places


def _table(text: bytes) -> list[tuple[str, int]]:
    try:
        listed = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _broken("parcel-broken") from error
    if not isinstance(listed, list) or len(listed) > MOST_PARTS:
        raise _broken("parcel-broken")
    table: list[tuple[str, int]] = []
    for entry in listed:
        match entry:
            case [str(name), int(size)] if size >= 0 and not isinstance(size, bool):
                table.append((name, size))
            case _:
                raise _broken("parcel-broken")
    return table


def _broken(code: str) -> InputError:
    return InputError(say(f"desk.{code}"), fix=say("desk.parcel-do"))
