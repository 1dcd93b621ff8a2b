"""Photos and survey files of walks: known by their content, listed, given out, withdrawn and brought back."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from courtwright.desk.caller import Caller
from courtwright.desk.kinds import parcel
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.desk.walks.walks import seen_walk
from courtwright.desk.work.tasks import Work, ask_for, problem_error
from courtwright.errors import BusyError, InputError, MissingError
from courtwright.says import say
from courtwright.site.formats import HEAD, kind_of
from courtwright.site.photos import read_photo
from courtwright.store.blobs import digest
from courtwright.store.columns import LINE
from courtwright.store.rows.photos import Attached, Photo, Photos, Surveys
from courtwright.store.rows.tasks import Task
from courtwright.store.rows.uploads import UploadKind
from courtwright.store.rows.walks import Walk
from courtwright.store.unit import Unit

#: Longest side of the small copies of a photo. [px]
Longest = Literal[320, 1600]
#: What the work gives each as, by that side.
_COPIES: Mapping[Longest, str] = {1600: "large.jpg", 320: "small.jpg"}
#: How long a request waits for a small copy that is being made. [s]
_WAIT_S = 10.0
#: So many requests wait at once: each takes a thread that would serve others, and a page shows hundreds of photos. [-]
_WAITING = threading.BoundedSemaphore(8)
#: What no survey is written in: pages, papers, archives, pictures.
_NO_SURVEY = ("empty", "xml", "zip", "pdf", "photo", "binary")
#: What nobody need know: given out as bytes, never as a page.
BYTES = "application/octet-stream"
_MEDIA = {
    "geopackage": "application/geopackage+sqlite3",
    "geotiff": "image/tiff",
    "json": "application/geo+json",
    "las": "application/vnd.las",
    "landxml": "application/xml",
    "text": "text/csv",
}


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a file by its content.

    Parameters
    ----------
    sha256 : str
        Of its bytes.
    size : int
        Their number. [bytes]
    media : str
        Its type.
    facts : mapping
        What a photo tells of itself.
    """

    sha256: str
    size: int
    media: str
    facts: Mapping[str, Any] = field(default_factory=dict[str, Any])


def looked_at(data: bytes, name: str, kind: UploadKind) -> Known:
    """Return what a file is, by its content; its name is told in complaints and not trusted.

    Raises
    ------
    InputError
        If it is no photo, or no file of a survey, that is taken here.
    """
    if kind == "photo":
        photo = read_photo(data, name)
        facts = {
            "width_px": photo.width,
            "height_px": photo.height,
            "taken_at": photo.taken_at.isoformat() if photo.taken_at else None,
            "has_location": photo.has_location,
        }
        return Known(digest(data), len(data), f"image/{photo.kind}", facts)
    found = kind_of(data[:HEAD])
    if found in _NO_SURVEY:
        raise InputError(say("desk.survey-kind", kind=found), where=name, fix=say("desk.survey-kind-do"))
    return Known(digest(data), len(data), _MEDIA.get(found, BYTES))


def known_copy(unit: Unit, caller: Caller, walk: Walk, sha256: str, kind: UploadKind) -> Known | None:
    """Return what is known of a file that is kept already, where the caller may see it; the crew on this job alone."""
    rows = _rows(unit, kind)
    found = rows.like(sha256, walk.job_id if caller.kind == "crew" else None)
    if found is None or not unit.blobs.has(sha256):
        return None
    return Known(sha256, found.size_bytes, found.media, found.facts if isinstance(found, Photo) else {})


def attach(unit: Unit, new_id: Callable[[], str], walk_id: str, name: str, kind: UploadKind, known: Known) -> Attached:
    """Make a kept file one of a walk; one that was withdrawn from it is brought back."""
    rows = _rows(unit, kind)
    there = rows.of(walk_id, known.sha256)
    if there is not None:
        return rows.bring_back(there.id)
    values = {"walk_id": walk_id, "sha256": known.sha256, "name": name[:LINE], "media": known.media}
    own = {"facts": dict(known.facts)} if kind == "photo" else {}
    return rows.add(new_id(), **values, size_bytes=known.size, **own)


def files_of(unit: Unit, walk_id: str) -> Mapping[str, Attached]:
    """Return every file of a walk by SHA-256, withdrawn or not: what its document may name, and nothing else."""
    rows: tuple[Photos | Surveys, ...] = (unit.surveys, unit.photos)
    return {one.sha256: one for of in rows for one in of.all(of.table.c.walk_id == walk_id)}


def list_files(
    office: Office,
    caller: Caller,
    walk_id: str,
    kind: UploadKind,
    *,
    is_withdrawn: bool = False,
    most: int = 50,
    after: str | None = None,
) -> Page[Attached]:
    """Return the photos or survey files of a walk, changed last first.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    kind : {"photo", "survey"}
        Which files.
    is_withdrawn : bool
        Those withdrawn instead of the others.
    most : int
        How many at once. [-]
    after : str or None
        Where the page before ended.

    Raises
    ------
    InputError
        If ``after`` is none of ours.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may see none.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        rows = _rows(unit, kind)
        gone = rows.table.c.withdrawn_at
        where = (rows.table.c.walk_id == walk_id, gone.is_not(None) if is_withdrawn else gone.is_(None))
        found: tuple[Attached, ...] = rows.page(*where, most=most + 1, after=after_of(after))
        return page_of(found, most)


def content(office: Office, caller: Caller, kind: UploadKind, id: str) -> tuple[Attached, bytes]:
    """Return a photo or a survey file as it came.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or the caller may see none.
    DamagedError
        If it is no longer there, or no longer what it was.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        found = _seen(unit, caller, kind, id)
    return found, office.store.blobs.get(found.sha256)


def withdraw_file(office: Office, caller: Caller, kind: UploadKind, id: str, seen: int) -> Attached:
    """Withdraw a photo or a survey file; nothing of it is lost.

    Raises
    ------
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        _seen(unit, caller, kind, id)
        return _rows(unit, kind).withdraw(id, seen)


def bring_back_file(office: Office, caller: Caller, kind: UploadKind, id: str, seen: int) -> Attached:
    """Bring a withdrawn photo or survey file back.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `withdraw_file` does.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        _seen(unit, caller, kind, id)
        return _rows(unit, kind).bring_back(id, seen)


# --- small copies -------------------------------------------------------------------------------


def preview(office: Office, caller: Caller, id: str, longest_px: Longest) -> tuple[str, bytes]:
    """Return a small copy of a photo, upright, its pixels and nothing else, with its SHA-256.

    It is made by a worker when it is asked for first.

    Raises
    ------
    InputError
        If nobody can read the photo as a picture.
    BusyError
        If it is not made yet.
    MissingError, RefusedError, DamagedError
        As `content` does.
    """
    caller.require("walks.read")
    rung = office.bell.wait(-1, 0.0)
    with office.reading() as unit:
        photo = _seen(unit, caller, "photo", id)
        made = unit.previews.find(photo.sha256, longest_px)
    if made is None:
        made = _awaited(office, caller, photo, longest_px, rung)
    return made, office.store.blobs.get(made)


def _awaited(office: Office, caller: Caller, photo: Attached, longest_px: Longest, rung: int) -> str:
    """Ask for the small copies of a photo, and wait a while for the one of that size."""
    # One that is lost or damaged is told at once, and read before anybody else who writes has to wait.
    office.store.blobs.get(photo.sha256)
    with office.writing(caller) as unit:
        ask_for_previews(office, unit, photo)
    made = None
    if _WAITING.acquire(blocking=False):
        try:
            made = _made_in_time(office, photo, longest_px, rung)
        finally:
            _WAITING.release()
    if made is None:
        raise BusyError(say("desk.preview-not-yet"), fix=say("desk.preview-not-yet-do"))
    return made


def _made_in_time(office: Office, photo: Attached, longest_px: Longest, rung: int) -> str | None:
    until = time.monotonic() + _WAIT_S
    while (left := until - time.monotonic()) > 0.0:
        rung = office.bell.wait(rung, left)
        with office.reading() as unit:
            made = unit.previews.find(photo.sha256, longest_px)
            if made is not None:
                return made
            _refuse_broken(unit, photo)
    return None


def ask_for_previews(office: Office, unit: Unit, photo: Attached) -> None:
    """Have the small copies of a photo made, unless it is known that nobody can read it.

    Raises
    ------
    InputError
        If that is known.
    """
    _refuse_broken(unit, photo)
    walk = unit.walks.get(photo.walk_id)
    work = Work("photo", photo.id, walk.job_id, "walks.read", photo.sha256, {"sha256": photo.sha256})
    ask_for(office, unit, work)


def keep_previews(office: Office, unit: Unit, task: Task, result: bytes) -> None:
    """Keep the small copies that a worker made of a photo: what becomes of a task of the kind ``photo``."""
    parts = parcel.unpack(result)
    for longest_px, name in _COPIES.items():
        unit.previews.put(task.request["sha256"], longest_px, unit.keep(parts[name]), office.now())


def _refuse_broken(unit: Unit, photo: Attached) -> None:
    tasks = unit.tasks.table.c
    failed = unit.tasks.all(tasks.about == photo.id, tasks.kind == "photo", tasks.state == "failed")
    for task in failed:
        error = problem_error(task.problem or {})
        if isinstance(error, InputError):
            raise error


def _seen(unit: Unit, caller: Caller, kind: UploadKind, id: str) -> Attached:
    found = _rows(unit, kind).find(id)
    if found is not None:
        with contextlib.suppress(MissingError):
            seen_walk(unit, caller, found.walk_id)
            return found
    raise MissingError(say("store.missing", record=say(f"store.record-{kind}")))


def _rows(unit: Unit, kind: UploadKind) -> Photos | Surveys:
    return unit.photos if kind == "photo" else unit.surveys
