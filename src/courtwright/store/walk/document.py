"""The state of a walk's document: what updates make of it, tried on a copy first.

A state is bytes: the document as one update, which ids are taken, and the updates that wait for others. It is a cache:
the updates are the truth, and `merged` makes the state of them again. Nothing is ever collected: what was typed over is
kept, so that a device that asks for what it misses gets that too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pycrdt import Map
from pycrdt._base import BaseDoc, BaseType

from courtwright.errors import EnvelopeError
from courtwright.store.walk.lib0 import not_plain, plain_number
from courtwright.store.walk.scratch import Outcome, Scratch, read_vector_bytes, vector_bytes

#: The state before the first update.
EMPTY = b""


@dataclass(frozen=True, slots=True)
class Tried:
    """What an update would make of a document.

    Parameters
    ----------
    outcome : Outcome
        What the update brings.
    state : bytes
        The state with it; the state as it was when all is known.
    """

    outcome: Outcome
    state: bytes


def try_update(state: bytes, update: bytes) -> Tried:
    """Try an update on a copy of a document.

    Parameters
    ----------
    state : bytes
        The document; `EMPTY` for a new one.
    update : bytes
        The update.

    Returns
    -------
    Tried
        What it makes of it.

    Raises
    ------
    EnvelopeError
        If the update is none, is too large, is no part of a walk, or breaks what reads it. Nothing has changed then.
    """
    scratch = Scratch(state)
    outcome = scratch.take(update)
    return Tried(outcome, state if outcome == "known" else scratch.state())


def try_updates(state: bytes, updates: Iterable[bytes]) -> tuple[bytes, tuple[Outcome | EnvelopeError, ...]]:
    """Try several updates on one copy, one after the other; one that is refused leaves nothing behind.

    Parameters
    ----------
    state : bytes
        The document.
    updates : iterable of bytes
        The updates, in the order in which they came.

    Returns
    -------
    bytes, tuple of Outcome or EnvelopeError
        The state with all that were not refused, and what became of each.
    """
    scratch = Scratch(state)
    outcomes: list[Outcome | EnvelopeError] = []
    for update in updates:
        try:
            outcomes.append(scratch.take(update))
        except EnvelopeError as error:
            outcomes.append(error)
    is_changed = any(outcome in ("new", "waits") for outcome in outcomes)
    return scratch.state() if is_changed else state, tuple(outcomes)


def merged(updates: Iterable[bytes]) -> bytes:
    """Return the state that accepted updates make, in any order."""
    scratch = Scratch(EMPTY)
    scratch.take_all(updates)
    return scratch.state()


def state_vector(state: bytes) -> bytes:
    """Return how far each client is known, as Yjs writes it; what waits for others does not count."""
    return vector_bytes(Scratch(state).vector())


def missing_since(state: bytes, vector: bytes) -> bytes:
    """Return the update that brings a device up to a document; it changes nothing where nothing is lacking.

    Parameters
    ----------
    state : bytes
        The document.
    vector : bytes
        What the device knows, as Yjs writes it; empty for nothing.

    Returns
    -------
    bytes
        What the device lacks, with all deletions, which a vector does not tell. What waits for others is not in it.

    Raises
    ------
    EnvelopeError
        If the vector is none.
    """
    told, scratch = read_vector_bytes(vector), Scratch(state)
    own = scratch.vector()
    return scratch.doc.get_update(vector_bytes({c: min(clock, own[c]) for c, clock in told.items() if c in own}))


def waiting(state: bytes) -> tuple[bytes, ...]:
    """Return the updates of a document that wait for others, as they came."""
    return Scratch(state).waiting()


def plain(state: bytes) -> dict[str, object]:
    """Return what a document says in plain values.

    Returns
    -------
    dict
        Root types by name, each a map of values or of flat maps, as JSON holds them; anything that is not so is
        ``{"not plain": kind}``.
    """
    doc = Scratch(state).doc
    found: dict[str, object] = {}
    with doc.transaction():
        for name in sorted(doc.keys()):
            root = doc.get(name, type=Map)
            found[name] = {key: _plain(value, is_item=True) for key, value in sorted(root.items())}
    return found


def _plain(value: object, is_item: bool = False) -> object:
    if isinstance(value, BaseDoc):
        return not_plain("document")
    if isinstance(value, Map) and is_item:
        return {key: _plain(inner) for key, inner in sorted(value.items())}
    if isinstance(value, BaseType):
        return not_plain(value.type_name)
    return _json(value)


def _json(value: object) -> object:
    """Return a value that is no shared type as JSON holds it."""
    match value:
        case None | bool() | str() | int():
            return value
        case float():
            return plain_number(value)
        case list() | tuple():
            return [_json(inner) for inner in value]
        case dict():
            return {str(key): _json(inner) for key, inner in value.items()}
        case bytes() | bytearray():
            return not_plain("bytes")
        case _:
            return not_plain(type(value).__name__.lower())
