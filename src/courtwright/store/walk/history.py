"""Tells everything that anyone typed into a walk: also what was typed over, and what lost to another hand."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from courtwright.store.walk.decode import Id, read_update
from courtwright.store.walk.index import Index, Placed
from courtwright.store.walk.lib0 import NotReadError, not_plain

#: What became of a value: it is what the document says; someone who saw it typed over it; it was typed at the same time
#: as another and gave way to that; it was deleted without another in its place; or it waits for updates not yet here.
Fate = Literal["stands", "overwritten", "lost", "deleted", "waits"]

_MAPS_OF_ITEMS = ("pads", "courts", "marks", "tallies", "shots", "photos", "files")

_ITEM_DEPTH = 2


@dataclass(frozen=True, slots=True)
class Row:
    """One update as it was received.

    Parameters
    ----------
    seq : int
        Its number; rows count in this order.
    update : bytes
        As it came.
    who, device : str
        Whose it is, and from which device.
    at : datetime
        When it was received.
    told_at : datetime or None
        When the device says it was made; the device may be wrong by years.
    """

    seq: int
    update: bytes
    who: str
    device: str
    at: dt.datetime
    told_at: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One value that was typed.

    Parameters
    ----------
    root : str
        The map: ``walk``, ``answers``, ``marks`` …
    item : str
        UUID of the item; of an answer the pad's; empty for the whole site.
    field : str
        What was typed in.
    before, after : object
        What stood there when it was typed, None where nothing did; and what was typed. ``{"not plain": "gone"}`` where
        only its place is known, because a device threw it away before it sent it.
    seq, who, device, at, told_at
        Those of the row that brought it first.
    fate : str
        What became of it.
    """

    root: str
    item: str
    field: str
    before: object
    after: object
    seq: int
    who: str
    device: str
    at: dt.datetime
    told_at: dt.datetime | None
    fate: Fate


def index_of(rows: Sequence[Row]) -> Index:
    """Return the index of many updates; one that cannot be read is passed over, as it was never applied."""
    index = Index()
    for number, row in enumerate(rows):
        try:
            update = read_update(row.update)
        except NotReadError:
            continue
        index.add(update, number)
    return index


def history(rows: Iterable[Row]) -> tuple[Entry, ...]:
    """Return every value that was typed into a walk, in the order in which they were received.

    Parameters
    ----------
    rows : iterable of Row
        All updates of the walk.

    Returns
    -------
    tuple of Entry
        Values of one row in the order of their making.
    """
    ordered = sorted(rows, key=lambda row: row.seq)
    index = index_of(ordered)
    fates = _fates(index)
    placed = sorted(index.placed(), key=lambda one: (one.row, one.id))
    found = [entry for one in placed for entry in _entries(one, index, ordered, fates[one.id])]
    found += [entry for one in index.clashes for entry in _entries(one, index, ordered, "lost")]
    deleted = [one for one in placed if fates[one.id] == "deleted" and _stands(one.parent, index, fates)]
    found += [entry for one in deleted for entry in _deletion(one, index, ordered)]
    found += [entry for struct, row in index.unplaced() for entry in _waiting(struct.values, ordered[row])]
    return tuple(sorted(found, key=lambda entry: entry.seq))


def values_of(index: Index) -> dict[str, object]:
    """Return what the document says by the index alone, as nested mappings: a second way to the same values."""
    found: dict[str, object] = {}
    fates = _fates(index)
    standing = [one for one in index.placed() if one.key is not None and fates[one.id] == "stands"]
    for one in sorted(standing, key=lambda one: len(one.path)):
        inner: dict[str, object] = found
        for key in one.base:
            within = inner.setdefault(key, {})
            inner = within if isinstance(within, dict) else {}
        inner[one.path[-1]] = {} if one.struct.kind == "type" else one.value
    return found


def _fates(index: Index) -> dict[Id, Fate]:
    """Return what became of each value.

    Values of one key stand in a tree, each below the one that its writer saw. Of those beside each other the highest
    client comes last, and the last of all stands: so the one found by going down along the highest clients.
    """
    groups: defaultdict[tuple[object, str | None], list[Placed]] = defaultdict(list)
    found: dict[Id, Fate] = {}
    for one in index.placed():
        if one.key is None:
            found[one.id] = "stands" if index.deleted_in(one.id) is None else "deleted"
        else:
            groups[one.parent or one.base[0], one.key].append(one)
    for group in groups.values():
        found.update(_fates_of_key(group, index))
    return _below_lost_parents(index, found)


def _fates_of_key(group: list[Placed], index: Index) -> Iterator[tuple[Id, Fate]]:
    below: defaultdict[Id | None, list[Placed]] = defaultdict(list)
    lasts = {one.last for one in group}
    for one in group:
        origin = one.struct.origin
        below[origin if origin in lasts else None].append(one)
    tip = max(below[None], key=lambda one: one.id, default=None)
    while tip is not None and below[tip.last]:
        tip = max(below[tip.last], key=lambda one: one.id)
    for one in group:
        if one is tip:
            is_deleted = one.struct.kind == "gone" or index.deleted_in(one.last) is not None
            yield one.id, "deleted" if is_deleted else "stands"
        else:
            yield one.id, "overwritten" if below[one.last] else "lost"


def _below_lost_parents(index: Index, fates: dict[Id, Fate]) -> dict[Id, Fate]:
    """Return the fates, with those of the item for what lies in one that does not stand."""
    by_depth = sorted((one for one in index.placed() if one.parent is not None), key=lambda one: len(one.path))
    for one in by_depth:
        parent = index.at(one.parent) if one.parent else None
        if parent is not None and fates[one.id] in ("stands", "deleted") and fates[parent.id] != "stands":
            fates[one.id] = "deleted" if fates[parent.id] == "deleted" else "lost"
    return fates


def _entries(one: Placed, index: Index, rows: Sequence[Row], fate: Fate) -> Iterator[Entry]:
    root, item, name = _where(one)
    if _is_item(one):
        return  # what was typed into it follows
    row, before = rows[one.row], _before(one, index)
    for after in _typed(one):
        yield Entry(root, item, name, before, after, row.seq, row.who, row.device, row.at, row.told_at, fate)


def _deletion(one: Placed, index: Index, rows: Sequence[Row]) -> Iterator[Entry]:
    """Yield the entry of what was deleted with nothing typed in its place, as no walk's phone does."""
    deleted = index.deleted_in(one.last) if one.key is not None else None
    if deleted is not None:
        row, typed = rows[deleted], _typed(one)
        where = _where(one)
        yield Entry(
            *where, typed[-1] if typed else None, None, row.seq, row.who, row.device, row.at, row.told_at, "stands"
        )


def _stands(parent: Id | None, index: Index, fates: Mapping[Id, Fate]) -> bool:
    within = index.at(parent) if parent else None
    return within is None or fates[within.id] == "stands"


def _is_item(one: Placed) -> bool:
    """Tell whether a struct made an item of one of the maps."""
    return one.struct.values == ("map",) and one.struct.kind == "type" and len(one.path) == _ITEM_DEPTH


def _typed(one: Placed) -> tuple[object, ...]:
    if one.struct.kind == "gone":
        return (not_plain("gone"),)
    return tuple(not_plain(str(v)) for v in one.struct.values) if one.struct.kind == "type" else one.struct.values


def _before(one: Placed, index: Index) -> object:
    earlier = index.at(one.struct.origin) if one.key is not None and one.struct.origin else None
    if earlier is None:
        return None
    return _typed(earlier)[-1] if _typed(earlier) else None


def _where(one: Placed) -> tuple[str, str, str]:
    """Return root, item and field of a place.

    An answer's key may name its pad before a stroke.
    """
    root, *keys = one.path
    if root == "answers" and keys and "/" in keys[0]:
        item, _, name = keys[0].partition("/")
        return root, item, "/".join([name, *keys[1:]])
    if root in _MAPS_OF_ITEMS and keys:
        return root, keys[0], "/".join(keys[1:])
    return root, "", "/".join(keys)


def _waiting(values: tuple[object, ...], row: Row) -> Iterator[Entry]:
    for after in values:
        yield Entry("", "", "", None, after, row.seq, row.who, row.device, row.at, row.told_at, "waits")
