"""What a walk says: its document as a record of a site, with every complaint; what it means is told by `answers`."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks.photos import files_of
from courtwright.desk.walks.sync import state_of
from courtwright.desk.walks.walks import seen_walk
from courtwright.errors import DamagedError
from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.counted import counted
from courtwright.job.answers.plain import Reader
from courtwright.site.walk_files import ReadBlob, WalkedFiles
from courtwright.site.walked import Projection, project, site_files
from courtwright.store.blobs import Blobs
from courtwright.store.unit import Unit
from courtwright.store.walk.document import plain
from courtwright.trade.words import Language, UnitSystem

#: So many walks are held as they were understood last. [-]
_MOST_HELD = 32


@dataclass(frozen=True, slots=True)
class WalkRecord:
    """What a walk says.

    Parameters
    ----------
    seq : int
        Number of the last update in it. [-]
    plain : mapping
        The document in plain values.
    complaints : list
        As the contract words them, each with the ``id`` of the item that it is about, or null.
    pads : list
        What was found on each pad, counted by kind; empty when no pad can be used.
    """

    seq: int
    plain: Mapping[str, Any]
    complaints: list[dict[str, object]]
    pads: list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class _Understood:
    """What takes long to find out of a walk."""

    plain: Mapping[str, Any]
    projection: Projection


class Understandings:
    """Walks as they were understood last, by what they were made of; two who ask at once wait for one answer."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: OrderedDict[tuple[object, ...], _Understood] = OrderedDict()
        self._making: dict[tuple[object, ...], threading.Lock] = {}

    def of(self, key: tuple[object, ...], state: bytes, read_blob: ReadBlob) -> _Understood:
        """Return what a document says.

        Parameters
        ----------
        key : tuple
            What the state is, and which files have come.
        state, read_blob
            The document, and its files.
        """
        with self._lock:
            making = self._making.setdefault(key, threading.Lock())
        try:
            with making:
                found = self._held.get(key)
                if found is None:
                    found = _understood(state, read_blob)
                with self._lock:
                    self._held[key] = found
                    self._held.move_to_end(key)
                    while len(self._held) > _MOST_HELD:
                        self._held.popitem(last=False)
                return found
        finally:
            with self._lock:
                self._making.pop(key, None)


_HELD = Understandings()


def walk_record(
    office: Office, caller: Caller, walk_id: str, language: Language, units: UnitSystem | None = None
) -> WalkRecord:
    """Return what a walk says.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and which walk.
    language, units
        Of the sentences; the units are those of the walk unless given.

    Raises
    ------
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        found = state_of(unit, walk_id)
        hashes = frozenset(files_of(unit, walk_id))
    read_blob = blob_reader(office.store.blobs, hashes)
    understood = _HELD.of((found.sha256, hashes), found.state, read_blob)
    record = understood.projection.record
    reader = Reader(language, units or (record.job.units if record else "us"))
    told, places = understood.projection.complaints, understood.projection.places
    listed = [
        {**words, "id": places.get((one.file, one.at))}
        for one, words in zip(told, complaints(told, reader), strict=True)
    ]
    return WalkRecord(found.seq, understood.plain, listed, counted(record) if record else [])


def walked_files(unit: Unit, walk_id: str) -> tuple[dict[str, Any], WalkedFiles]:
    """Return the document of a walk in plain values, and the site folder that it makes."""
    says = cast("dict[str, Any]", plain(state_of(unit, walk_id).state))
    return says, site_files(says, blob_reader(unit.blobs, frozenset(files_of(unit, walk_id))))


def blob_reader(blobs: Blobs, hashes: frozenset[str]) -> ReadBlob:
    """Return what reads the files of a walk, and no others: anybody may write any hash into a document."""

    def read(sha256: str) -> bytes | None:
        if sha256 not in hashes:
            return None
        try:
            return blobs.get(sha256)
        except DamagedError:
            return None

    return read


def _understood(state: bytes, read_blob: ReadBlob) -> _Understood:
    says = cast("dict[str, Any]", plain(state))
    return _Understood(says, project(says, read_blob))
