"""Finds where in the document each struct of many updates stands, whatever the order in which they came.

A struct tells its parent and key only where nothing stood before it; else they are those of its neighbour, which
another update may hold. So the index is carried over the updates, and what cannot be placed yet waits.
"""

from __future__ import annotations

import bisect
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from courtwright.store.walk.decode import Id, Struct, Update

#: Stands for the key of what lies in a sequence, where there is none.
IN_SEQUENCE = "[]"


@dataclass(slots=True, eq=False)
class Placed:
    """One struct with its place.

    Parameters
    ----------
    struct : Struct
        As the update holds it.
    row : int
        The update that brought it first.
    base : tuple of str
        Path of its parent: a root type's name, then keys.
    key : str or None
        Its key there; None in a sequence.
    parent : Id or None
        The struct that made its parent; None for a root type.
    """

    struct: Struct
    row: int
    base: tuple[str, ...]
    key: str | None
    parent: Id | None

    @property
    def id(self) -> Id:
        """Its first id."""
        return self.struct.client, self.struct.clock

    @property
    def last(self) -> Id:
        """Its last id: what is put after it names that one."""
        return self.struct.client, self.struct.clock + self.struct.length - 1

    @property
    def path(self) -> tuple[str, ...]:
        """Where it stands, by keys from the root."""
        return (*self.base, IN_SEQUENCE if self.key is None else self.key)

    @property
    def value(self) -> object:
        """What the document shows where this stands."""
        return self.struct.values[-1] if self.struct.values else None


class _Runs:
    """Structs of one client that do not overlap, found by any clock within."""

    __slots__ = ("_placed", "_starts")

    def __init__(self) -> None:
        self._starts: list[int] = []
        self._placed: list[Placed] = []

    def at(self, clock: int) -> Placed | None:
        index = bisect.bisect_right(self._starts, clock) - 1
        if index < 0:
            return None
        struct = self._placed[index].struct
        return self._placed[index] if clock < struct.clock + struct.length else None

    def next_start(self, clock: int) -> int | None:
        index = bisect.bisect_right(self._starts, clock)
        return self._starts[index] if index < len(self._starts) else None

    def put(self, placed: Placed) -> None:
        index = bisect.bisect_right(self._starts, placed.struct.clock)
        self._starts.insert(index, placed.struct.clock)
        self._placed.insert(index, placed)

    def __iter__(self) -> Iterator[Placed]:
        return iter(self._placed)


@dataclass(slots=True)
class Index:
    """Structs of any number of updates by their ids, each with its place.

    Parameters
    ----------
    clashes : list of Placed
        Values under an id that another value has already: two devices that take themselves for the same.
    """

    _told: defaultdict[int, _Runs] = field(default_factory=lambda: defaultdict(_Runs))
    _gone: defaultdict[int, _Runs] = field(default_factory=lambda: defaultdict(_Runs))
    _waiting: defaultdict[int, dict[int, list[tuple[Struct, int]]]] = field(default_factory=lambda: defaultdict(dict))
    clashes: list[Placed] = field(default_factory=list[Placed])
    _deleted: dict[int, list[tuple[int, int, int]]] = field(default_factory=dict[int, list[tuple[int, int, int]]])

    def add(self, update: Update, row: int) -> None:
        """Take in what one update holds.

        Parameters
        ----------
        update : Update
            As read.
        row : int
            Its number; what comes twice belongs to the first.
        """
        for client, clock, length in update.deleted:
            if length:
                self._deleted.setdefault(client, []).append((clock, clock + length, row))
        for struct in update.structs:
            if struct.kind != "nothing":
                self._take(struct, row)

    def placed(self) -> Iterator[Placed]:
        """Yield every struct whose place and content are told, and then those of which only the place is."""
        for runs in self._told.values():
            yield from runs
        for client, runs in self._gone.items():
            told = self._told[client]
            yield from (one for one in runs if told.at(one.struct.clock) is None)

    def unplaced(self) -> Iterator[tuple[Struct, int]]:
        """Yield what still waits for its neighbours, each with its row."""
        for clocks in self._waiting.values():
            for waiting in clocks.values():
                yield from waiting

    def at(self, id: Id) -> Placed | None:
        """Return what has this id, with its content where any update told it."""
        client, clock = id
        told = self._told[client].at(clock) if client in self._told else None
        return told or (self._gone[client].at(clock) if client in self._gone else None)

    def deleted_in(self, id: Id) -> int | None:
        """Return the first row that deletes this id, or None when none does."""
        client, clock = id
        rows = (row for start, end, row in self._deleted.get(client, ()) if start <= clock < end)
        return min(rows, default=None)

    def _take(self, struct: Struct, row: int) -> None:
        work = [(struct, row)]
        while work:
            struct, row = work.pop()
            self._tell_clash(struct, row)
            for piece in self._fresh(struct):
                place = self._place(piece)
                if isinstance(place, _Missing):
                    self._waiting[place.id[0]].setdefault(place.id[1], []).append((piece, row))
                    continue
                store = self._gone if piece.kind == "gone" else self._told
                store[piece.client].put(Placed(piece, row, *place))
                work += self._released(piece)

    def _tell_clash(self, struct: Struct, row: int) -> None:
        known = self._told[struct.client].at(struct.clock) if struct.kind != "gone" else None
        if known is None or struct.length > 1 or known.struct.values == struct.values:
            return
        if not any(one.struct == struct for one in self.clashes):
            self.clashes.append(Placed(struct, row, known.base, known.key, known.parent))

    def _fresh(self, struct: Struct) -> Iterator[Struct]:
        """Yield the parts of a struct that are not known yet; nearly always all of it or nothing."""
        runs = (self._gone if struct.kind == "gone" else self._told)[struct.client]
        clock, end = struct.clock, struct.clock + struct.length
        while clock < end:
            known = runs.at(clock)
            if known is not None:
                clock = known.struct.clock + known.struct.length
                continue
            following = runs.next_start(clock)
            stop = end if following is None else min(end, following)
            yield _part(struct, clock, stop)
            clock = stop

    def _place(self, struct: Struct) -> tuple[tuple[str, ...], str | None, Id | None] | _Missing:
        """Return the path of the parent, the key and the parent's id."""
        if isinstance(struct.parent, str):
            return (struct.parent,), struct.key, None
        if struct.parent is not None:
            parent = self.at(struct.parent)
            return _Missing(struct.parent) if parent is None else (parent.path, struct.key, struct.parent)
        beside = struct.origin or struct.right
        if beside is None:
            return ("",), None, None
        neighbour = self.at(beside)
        return _Missing(beside) if neighbour is None else (neighbour.base, neighbour.key, neighbour.parent)

    def _released(self, struct: Struct) -> list[tuple[Struct, int]]:
        """Return what waited for a struct, and let it wait no longer."""
        clocks = self._waiting.get(struct.client)
        if not clocks:
            return []
        if struct.length == 1:
            return clocks.pop(struct.clock, [])
        there = [clock for clock in clocks if struct.clock <= clock < struct.clock + struct.length]
        return [waiting for clock in there for waiting in clocks.pop(clock)]


@dataclass(frozen=True, slots=True)
class _Missing:
    id: Id


def _part(struct: Struct, start: int, stop: int) -> Struct:
    """Return the part of a struct between two clocks; a later part stands after the one before it."""
    if start == struct.clock and stop == struct.clock + struct.length:
        return struct
    low, high = start - struct.clock, stop - struct.clock
    values = struct.values
    if struct.kind == "value":
        values = values[low:high]
    elif struct.kind == "text":
        units = str(values[0]).encode("utf-16-le")[2 * low : 2 * high]
        values = (units.decode("utf-16-le", "replace"),)
    part = struct._replace(clock=start, length=stop - start, values=values)
    return part if low == 0 else part._replace(origin=(struct.client, start - 1), right=None, parent=None, key=None)
