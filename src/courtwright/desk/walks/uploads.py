"""Photos and survey files that come in parts: announced, sent, broken off, gone on with, kept once they are whole."""

from __future__ import annotations

import contextlib
import datetime as dt
from dataclasses import dataclass

from courtwright.desk.caller import THE_MACHINE, Caller
from courtwright.desk.office import Office
from courtwright.desk.walks.photos import ask_for_previews, attach, known_copy, looked_at
from courtwright.desk.walks.walks import seen_walk
from courtwright.errors import ConflictError, InputError, MissingError, TooLargeError
from courtwright.says import say
from courtwright.store.rows.photos import Attached
from courtwright.store.rows.uploads import Upload, UploadKind
from courtwright.store.unit import Unit

#: Largest file of each kind. [bytes]
MOST_BYTES: dict[UploadKind, int] = {"photo": 60_000_000, "survey": 200_000_000}
#: How many files of one person may be on their way [-], and how much they may bring [bytes].
MOST_OPEN, MOST_OPEN_BYTES = 500, 8_000_000_000
#: An upload to which nothing came for so long is given up.
PATIENCE = dt.timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an upload has come.

    Parameters
    ----------
    upload : Upload or None
        The upload; None where the file was here before.
    offset : int
        How much of it is here. [bytes]
    kept : Attached or None
        The photo or survey file that came of it, once it is whole.
    is_new : bool
        Whether it was announced just now.
    """

    upload: Upload | None
    offset: int
    kept: Attached | None = None
    is_new: bool = False

    @property
    def is_complete(self) -> bool:
        """Whether nothing is to come any more."""
        return self.kept is not None


def announce(
    office: Office, caller: Caller, walk_id: str, *, sha256: str, size_bytes: int, name: str, kind: UploadKind
) -> Progress:
    """Announce a file that is to come; one that is here already need not come again.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and to which walk the file belongs.
    sha256 : str
        Of what is in it.
    size_bytes : int
        Its size. [bytes]
    name : str
        What it is called.
    kind : {"photo", "survey"}
        What it is.

    Returns
    -------
    Progress
        Of this upload; of the one that is under way where the same caller announced the same before.

    Raises
    ------
    TooLargeError
        If it is.
    ConflictError
        If too much of this caller is on its way.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not.
    """
    caller.require("walks.write")
    if size_bytes > MOST_BYTES[kind]:
        large = say("desk.upload-large", megabytes=size_bytes / 1e6, most=MOST_BYTES[kind] / 1e6)
        raise TooLargeError(large, where="size_bytes", fix=say("desk.upload-large-do"))
    with office.writing(caller) as unit:
        walk = seen_walk(unit, caller, walk_id)
        unit.walks.lock(walk_id)
        copy = known_copy(unit, caller, walk, sha256, kind)
        if copy is not None:
            kept = attach(unit, office.new_id, walk_id, name, kind, copy)
            return Progress(None, size_bytes, kept)
        known = unit.uploads.open_for(walk_id, caller.who, sha256, kind)
        if known is not None:
            return Progress(known, office.store.parts.size(known.id))
        _require_room(unit, caller, size_bytes)
        values = {"walk_id": walk_id, "who": caller.who, "sha256": sha256, "size_bytes": size_bytes, "name": name}
        made = unit.uploads.add(office.new_id(), **values, kind=kind, state="open")
        return Progress(made, 0, is_new=True)


def _require_room(unit: Unit, caller: Caller, size: int) -> None:
    count, whole = unit.uploads.load(caller.who)
    if count >= MOST_OPEN or whole + size > MOST_OPEN_BYTES:
        raise ConflictError(say("desk.upload-many", open=count, megabytes=whole / 1e6), fix=say("desk.upload-many-do"))


def progress(office: Office, caller: Caller, id: str) -> Progress:
    """Return how far an upload has come.

    Raises
    ------
    MissingError, RefusedError
        If there is none of this caller's, or the caller may not.
    """
    caller.require("walks.write")
    with office.reading() as unit:
        upload = _own(unit, caller, id)
        return _progress(office, unit, upload)


def append(office: Office, caller: Caller, id: str, offset: int, data: bytes, *, is_last: bool = False) -> Progress:
    """Append what came of a file; once it is whole and is what was announced, it is kept.

    What is sent again after the file is whole changes nothing.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which upload.
    offset : int
        Where the data begin in the file. [bytes]
    data : bytes
        What came.
    is_last : bool
        Whether the file is said to be whole with them.

    Raises
    ------
    OffsetError
        If they do not begin where the part before ended.
    ConflictError
        If the upload was given up.
    BusyError
        If another request sends the same file just now.
    InputError
        If more comes than was announced; or what came is another file, or no photo or survey file. What came is
        dropped then, and may be sent again.
    MissingError, RefusedError
        As `progress` does.
    """
    caller.require("walks.write")
    parts = office.store.parts
    with parts.held(id):
        with office.reading() as unit:
            upload = _own(unit, caller, id)
            before = _progress(office, unit, upload)
        if before.is_complete:
            return before
        if upload.withdrawn_at is not None:
            raise ConflictError(say("desk.upload-over"), fix=say("desk.upload-over-do"))
        kept = parts.append(id, offset, data, upload.size_bytes)
        if kept == upload.size_bytes:
            return Progress(upload, kept, _finished(office, caller, upload))
        if is_last:
            missing = upload.size_bytes - kept
            raise InputError(say("desk.upload-short", missing=missing), fix=say("desk.upload-short-do"))
        return Progress(upload, kept)


def _finished(office: Office, caller: Caller, upload: Upload) -> Attached:
    """Keep a file that is whole, with its record, in one go."""
    parts = office.store.parts
    if parts.sha256(upload.id) != upload.sha256:
        parts.drop(upload.id)
        raise InputError(say("store.part-other"), fix=say("store.part-other-do"))
    data = parts.read(upload.id)
    try:
        copy = looked_at(data, upload.name, upload.kind)
    except InputError:
        parts.drop(upload.id)
        raise
    # Slow on the disk: done before anybody else has to wait.
    office.store.blobs.put(data)
    with office.writing(caller) as unit:
        unit.walks.lock(upload.walk_id)
        unit.keep_put(copy.sha256, copy.size)
        kept = attach(unit, office.new_id, upload.walk_id, upload.name, upload.kind, copy)
        unit.uploads.change(upload.id, None, state="kept")
        if upload.kind == "photo":
            # One that nobody can read as a picture is kept all the same.
            with contextlib.suppress(InputError):
                ask_for_previews(office, unit, kept)
    parts.drop(upload.id)
    return kept


def give_up(office: Office, caller: Caller, id: str) -> None:
    """Give an upload up; what has come of it is dropped. One that is whole stays.

    Raises
    ------
    BusyError, MissingError, RefusedError
        As `append` does.
    """
    caller.require("walks.write")
    with office.store.parts.held(id):
        with office.writing(caller) as unit:
            upload = _own(unit, caller, id)
            if upload.state == "open":
                unit.uploads.withdraw(id)
        office.store.parts.drop(id)


def tidy_uploads(office: Office) -> int:
    """Give up every upload to which nothing came for long; return how many. [-] Done now and then by the service."""
    parts, before = office.store.parts, office.now() - PATIENCE
    old = set(parts.older(before.timestamp()))
    with office.reading() as unit:
        open_ = unit.uploads.all(*unit.uploads.opened())
    stale = [one for one in open_ if one.id in old or (one.changed_at < before and not parts.size(one.id))]
    for upload in stale:
        with parts.held(upload.id), office.writing(THE_MACHINE) as unit:
            unit.uploads.withdraw(upload.id)
    for id in old:
        parts.drop(id)
    return len(stale)


def _own(unit: Unit, caller: Caller, id: str) -> Upload:
    """Return an upload of the caller's own, on a walk that the caller still sees."""
    upload = unit.uploads.find(id)
    if upload is None or upload.who != caller.who:
        raise MissingError(say("store.missing", record=say("store.record-upload")))
    seen_walk(unit, caller, upload.walk_id)
    return upload


def _progress(office: Office, unit: Unit, upload: Upload) -> Progress:
    if upload.state == "open":
        return Progress(upload, office.store.parts.size(upload.id))
    rows = unit.photos if upload.kind == "photo" else unit.surveys
    return Progress(upload, upload.size_bytes, rows.of(upload.walk_id, upload.sha256))
