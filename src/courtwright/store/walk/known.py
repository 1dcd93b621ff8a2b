"""Keeps which ids of a document are taken, and tells whether an update may be given to the engine yet.

The engine that merges updates follows what they name without looking: an update that names what is not there, or is of
another kind, can end the process. So it gets an update only when all that it names is known and of the right kind; one
that names what has not come waits here, whole; one that lies is refused.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator

from courtwright.store.walk.decode import Id, Struct, Update
from courtwright.store.walk.envelope import refusal

#: More ids are no walk: a day has some ten thousands. Half a million take a gigabyte to understand. [-]
MOST_IDS = 500_000

_VALUE, _MAP, _OTHER_TYPE, _NOTHING = 1, 2, 3, 4


class Known:
    """What stands at each id: one byte an id, by client."""

    __slots__ = ("_codes", "_total")

    def __init__(self, codes: Iterable[tuple[int, bytes]] = ()) -> None:
        self._codes: dict[int, bytearray] = {client: bytearray(told) for client, told in codes}
        self._total = sum(map(len, self._codes.values()))

    def codes(self) -> Iterator[tuple[int, bytes]]:
        """Yield the clients with what stands at their ids, by client."""
        for client in sorted(self._codes):
            yield client, bytes(self._codes[client])

    def vector(self) -> dict[int, int]:
        """Return how far each client is known."""
        return {client: len(codes) for client, codes in self._codes.items()}

    def has(self, id: Id) -> bool:
        """Tell whether an id has come."""
        return id[1] < len(self._codes.get(id[0], b""))

    def add(self, update: Update) -> None:
        """Take in an update that nothing is missing for."""
        for struct in sorted(update.structs, key=lambda one: (one.client, one.clock)):
            codes = self._codes.setdefault(struct.client, bytearray())
            more = struct.clock + struct.length - len(codes)
            if more > 0:
                codes += bytes([_code(struct)]) * more
                self._total += more

    def after(self, update: Update) -> dict[int, int]:
        """Return how far each client is known once an update has come that nothing is missing for."""
        found = self.vector()
        for struct in update.structs:
            found[struct.client] = max(found.get(struct.client, 0), struct.clock + struct.length)
        return found

    def missing(self, update: Update) -> Id | None:
        """Return an id that an update needs and that has not come; None when the engine may have the update.

        Raises
        ------
        EnvelopeError
            If it puts something where nothing can stand, or takes up too many ids.
        """
        if self._total + sum(one.length for one in update.structs) > MOST_IDS:
            raise refusal("walk-ids", most=MOST_IDS)
        within = _Within(self)
        queues = _queues(update.structs)
        while sum(within.put_all(queue) for queue in queues):
            pass  # what one client did may have waited for another
        if any(queues):
            return next(lack for queue in queues if queue and (lack := within.lacks(queue[0])) is not None)
        ends = ((client, clock + length - 1) for client, clock, length in update.deleted if length)
        return next((id for id in ends if not within.has(id)), None)

    def code(self, id: Id) -> int:
        """Return what stands at an id that has come."""
        return self._codes[id[0]][id[1]]

    def length(self, client: int) -> int:
        """Return how far a client is known."""
        return len(self._codes.get(client, b""))


class _Within:
    """What is known together with the first part of one update."""

    def __init__(self, known: Known) -> None:
        self._known = known
        self._new: dict[Id, int] = {}
        self._ends: dict[int, int] = {}

    def has(self, id: Id) -> bool:
        return id[1] < self._end(id[0])

    def lacks(self, struct: Struct) -> Id | None:
        """Return an id that has to come before a struct, or None when it can be put."""
        if struct.clock > self._end(struct.client):
            return struct.client, self._end(struct.client)
        if self._known.has((struct.client, struct.clock + struct.length - 1)) or struct.kind == "nothing":
            return None
        named = struct.origin or (struct.parent if not isinstance(struct.parent, str) else None)
        if named is None:
            return None
        if not self.has(named):
            return named
        code = self._code(named)
        if code == _NOTHING or (struct.origin is None and code != _MAP):
            raise refusal("update-place")
        return None

    def put_all(self, queue: deque[Struct]) -> bool:
        """Put structs from the front of a queue as long as nothing lacks; return whether there were any."""
        before = len(queue)
        while queue and self.lacks(queue[0]) is None:
            self.put(queue.popleft())
        return len(queue) < before

    def put(self, struct: Struct) -> None:
        start, end = struct.clock, struct.clock + struct.length
        if end <= self._end(struct.client):
            return
        for clock in range(max(start, self._end(struct.client)), end) if struct.length > 1 else (start,):
            self._new[struct.client, clock] = _code(struct)
        self._ends[struct.client] = end

    def _end(self, client: int) -> int:
        return self._ends.get(client) or self._known.length(client)

    def _code(self, id: Id) -> int:
        return self._known.code(id) if self._known.has(id) else self._new[id]


def _queues(structs: Iterable[Struct]) -> list[deque[Struct]]:
    found: defaultdict[int, list[Struct]] = defaultdict(list)
    for one in structs:
        found[one.client].append(one)
    return [deque(sorted(own, key=lambda one: one.clock)) for own in found.values()]


def _code(struct: Struct) -> int:
    if struct.kind == "type":
        return _MAP if struct.values == ("map",) else _OTHER_TYPE
    return _NOTHING if struct.kind == "nothing" else _VALUE


def check_shape(update: Update) -> None:
    """Refuse an update that puts anything elsewhere than into maps, as all of a walk is.

    Raises
    ------
    EnvelopeError
        If there are lists or rich text in it.
    """
    if not all(_is_of_a_map(one) for one in update.structs):
        raise refusal("update-sequence")


def _is_of_a_map(struct: Struct) -> bool:
    if struct.kind == "nothing":
        return True
    is_placed = struct.key is not None if struct.parent is not None else struct.origin is not None
    return struct.right is None and struct.kind in ("value", "type", "gone") and is_placed
