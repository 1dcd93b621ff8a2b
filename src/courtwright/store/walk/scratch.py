"""A copy of a document to try updates on; what breaks it leaves nothing behind."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from typing import Literal

from pycrdt import Doc, Map

from courtwright.errors import EnvelopeError
from courtwright.store.walk.decode import Id, Struct, Update, read_update, read_vector
from courtwright.store.walk.envelope import MOST_UPDATE, refusal
from courtwright.store.walk.known import Known, check_shape
from courtwright.store.walk.lib0 import NotReadError, Reader
from courtwright.store.walk.ranges import Ranges

#: A larger document is refused. [bytes]
MOST_DOCUMENT = 64_000_000
#: A walk is flat: things within things within maps are no part of its shape, and the engine goes through them by
#: recursion; some ten thousand within each other would end the process. [-]
MOST_DEEP = 1000
#: More updates that wait for others are refused until those have come. [-]
MOST_WAITING = 10_000

#: An update brings something new; it waits, whole, for an update not here yet; or all of it is there already.
Outcome = Literal["new", "waits", "known"]

_MAGIC = b"cw-state\x01"
_HASH = 32


class Scratch:
    """A copy of a document, with what is known of it beside what the engine keeps.

    Parameters
    ----------
    state : bytes
        The document; empty for a new one.

    Raises
    ------
    EnvelopeError
        If that is no state.
    """

    def __init__(self, state: bytes) -> None:
        self._base, self._deep, self._known, waiting = _parts(state)
        self._applied: list[bytes] = []
        self._size = len(state)
        self.doc = self._afresh()
        self._deleted = Ranges(read_update(self.doc.get_update(self.doc.get_state())).deleted)
        self._waiting: dict[bytes, tuple[Update, Id]] = {}
        self.take_all(waiting)

    def take(self, update: bytes) -> Outcome:
        """Apply an update, keep it waiting, or refuse it; after a refusal the copy is as it was.

        Raises
        ------
        EnvelopeError
            If the update is none, too large, no part of a walk, or breaks the engine.
        """
        read = self._checked(update)
        if update in self._waiting:
            return "known"
        lacks = self._known.missing(read)
        if lacks is not None:
            if len(self._waiting) >= MOST_WAITING:
                raise refusal("update-waits", most=MOST_WAITING)
            self._waiting[update] = read, lacks
            self._size += len(update)
            return "waits"
        if not self._apply(update, read):
            return "known"
        self._size += len(update)
        self._settle()
        return "new"

    def take_all(self, updates: Iterable[bytes]) -> None:
        """Apply updates that were accepted before, in any order.

        One that was accepted while what it names had not come, and lies about that, is passed over as it was then.
        """
        for update in updates:
            try:
                self.take(update)
            except EnvelopeError:
                continue

    def waiting(self) -> tuple[bytes, ...]:
        """Return the updates that wait for others, as they came."""
        return tuple(self._waiting)

    def state(self) -> bytes:
        """Return the document as bytes."""
        clients = b"".join(count(c) + count(len(codes)) + codes for c, codes in self._known.codes())
        parts = [self.doc.get_update(), clients, *self._waiting]
        whole = b"".join([count(self._deep), *(count(len(part)) + part for part in parts)])
        return _MAGIC + hashlib.sha256(whole).digest() + whole

    def vector(self) -> dict[int, int]:
        """Return how far each client is known."""
        return self._known.vector()

    def _checked(self, update: bytes) -> Update:
        if not 0 < len(update) <= MOST_UPDATE:
            raise refusal("envelope-size", megabytes=len(update) / 1e6, most=MOST_UPDATE / 1e6)
        if self._size + len(update) > MOST_DOCUMENT:
            raise refusal("walk-large", most=MOST_DOCUMENT / 1e6)
        try:
            read = read_update(update)
        except NotReadError as error:
            raise refusal("update-not-read", detail=str(error)) from error
        check_shape(read)
        return read

    def _apply(self, update: bytes, read: Update) -> bool:
        """Give an update to the engine; return whether anything of it is new."""
        fresh = [one for one in read.structs if not self._known.has((one.client, one.clock + one.length - 1))]
        deep = self._deep + sum(map(_is_deep, fresh))
        if deep > MOST_DEEP:
            raise refusal("update-deep", most=MOST_DEEP)
        if not fresh and all(self._deleted.has(*one) for one in read.deleted):
            return False
        vector = self._known.after(read)
        try:
            give(self.doc, update, vector)
        except EnvelopeError:
            self.doc = self._afresh()
            raise
        self._known.add(read)
        for one in read.deleted:
            self._deleted.add(*one)
        self._deep = deep
        self._applied.append(update)
        return True

    def _settle(self) -> None:
        """Apply what waited for what has come, as long as there is any."""
        while came := [update for update, (_, lacks) in self._waiting.items() if self._known.has(lacks)]:
            for update in came:
                read, _ = self._waiting.pop(update)
                try:
                    lacks = self._known.missing(read)
                    if lacks is None:
                        self._apply(update, read)
                    else:
                        self._waiting[update] = read, lacks
                except EnvelopeError:
                    continue  # it lies about what it waited for; it stays in the list of updates and has no effect

    def _afresh(self) -> Doc[Map[object]]:
        """Return the document without what broke it."""
        doc: Doc[Map[object]] = Doc(skip_gc=True)
        for update in (self._base, *self._applied):
            give(doc, update)
        return doc


def give(doc: Doc[Map[object]], update: bytes, vector: Mapping[int, int] | None = None) -> None:
    """Let the engine apply an update.

    Raises
    ------
    EnvelopeError
        If it breaks on it, or has not come as far afterwards as it should.
    """
    if not update:
        return
    try:
        doc.apply_update(update)
        reached = read_vector(doc.get_state())
    except (ValueError, RuntimeError, TypeError) as error:
        raise refusal("update-not-read", detail=type(error).__name__) from error
    except BaseException as error:
        if not _is_panic(error):
            raise
        raise refusal("update-not-read", detail="panic") from error
    if vector is not None and reached != vector:
        raise refusal("update-not-read", detail="applied in part")


def _is_panic(error: BaseException) -> bool:
    """Tell whether the engine, which is compiled, gave up; its error stands outside `Exception` and has no name."""
    return type(error).__name__ == "PanicException" and type(error).__module__ == "pyo3_runtime"


def _is_deep(struct: Struct) -> bool:
    """Tell whether a struct makes a thing within a thing, or may do so."""
    return struct.kind == "type" and not isinstance(struct.parent, str)


def count(value: int) -> bytes:
    r"""Return a whole number as `lib0.Reader.count` takes it.

    Examples
    --------
    >>> count(300)
    b'\xac\x02'
    """
    found = bytearray()
    while value > 127:
        found.append(value & 127 | 128)
        value >>= 7
    return bytes([*found, value])


def vector_bytes(vector: Mapping[int, int]) -> bytes:
    """Return a state vector as Yjs writes it."""
    return count(len(vector)) + b"".join(count(client) + count(clock) for client, clock in sorted(vector.items()))


def read_vector_bytes(vector: bytes) -> dict[int, int]:
    """Return a state vector that a device sent; an empty one knows nothing.

    Raises
    ------
    EnvelopeError
        If it is none.
    """
    if len(vector) > MOST_UPDATE:
        raise refusal("envelope-size", megabytes=len(vector) / 1e6, most=MOST_UPDATE / 1e6)
    try:
        return read_vector(vector) if vector else {}
    except NotReadError as error:
        raise refusal("vector-not-read", detail=str(error)) from error


def _parts(state: bytes) -> tuple[bytes, int, Known, list[bytes]]:
    """Return the document, the number of things within things, what is known, and the updates that wait."""
    if not state:
        return b"", 0, Known(), []
    head = len(_MAGIC) + _HASH
    if not state.startswith(_MAGIC) or hashlib.sha256(state[head:]).digest() != state[len(_MAGIC) : head]:
        raise refusal("state-damaged")
    try:
        reader = Reader(state[head:])
        deep, parts = reader.count(), list[bytes]()
        while reader.at < reader.end:
            parts.append(reader.bytes(reader.count(MOST_DOCUMENT)))
        return parts[0], deep, Known(_clients(parts[1])), parts[2:]
    except (NotReadError, IndexError) as error:
        raise refusal("state-damaged") from error


def _clients(part: bytes) -> list[tuple[int, bytes]]:
    reader = Reader(part)
    found: list[tuple[int, bytes]] = []
    while reader.at < reader.end:
        client = reader.count(2**53)
        found.append((client, reader.bytes(reader.count())))
    return found
