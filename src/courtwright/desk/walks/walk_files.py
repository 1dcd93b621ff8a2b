"""A walk as one file, out and in: a site folder that every command reads, with the whole walk beside it.

The file is a zip. Its top is the site folder of the contract; the folder ``walk`` holds what no site folder can tell:

- ``walk/manifest.json``: form, version, the walk's id, name and day, and the kept files by their SHA-256;
- ``walk/updates.bin``: everything that was typed, in envelopes (``docs/explanation/walk-document.md``);
- ``walk/plain.json``: what that makes, in plain values, for people;
- ``walk/blobs/SHA256``: kept files that the site folder does not show, such as withdrawn photos.

Read back, the updates count; what somebody changed in the site folder beside them does not.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import itertools
import json
import stat
import tempfile
import unicodedata
import uuid
import zipfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from typing import Any, BinaryIO, cast

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks.photos import BYTES, Known, attach, files_of, looked_at
from courtwright.desk.walks.sync import OFFICE, Synced, send_within
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.walks.walks import require_same_job, seen_walk
from courtwright.errors import DamagedError, InputError, TooLargeError
from courtwright.says import say
from courtwright.site.archive import ZipFiles
from courtwright.site.files import HeldFiles, SiteFiles
from courtwright.site.folder import SITE
from courtwright.site.photos import FOLDER
from courtwright.site.walk_of import walk_of
from courtwright.store.blobs import digest
from courtwright.store.columns import LINE
from courtwright.store.rows.photos import Attached, Photo
from courtwright.store.rows.uploads import UploadKind
from courtwright.store.rows.walks import Walk
from courtwright.store.unit import Unit
from courtwright.store.walk.envelope import MAGIC, MOST_STREAM, Envelope, pack, unpack_all
from courtwright.store.walk.written import updates_of

FORMAT, VERSION = "courtwright walk", (1, 0)
MANIFEST, UPDATES, PLAIN, BLOBS = "walk/manifest.json", "walk/updates.bin", "walk/plain.json", "walk/blobs"
#: The same walk gives the same bytes, on any day.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_LONGEST_MANIFEST = 4_000_000
#: A larger file in an archive is refused. [bytes]
_MOST_FILE = 200_000_000


# --- out ----------------------------------------------------------------------------------------


def walk_file(office: Office, caller: Caller, walk_id: str) -> tuple[str, BinaryIO]:
    """Return a walk as one file: its name, and the file, open at its start, to be closed by whoever asked.

    Raises
    ------
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not.
    """
    return _zipped(office, caller, walk_id, is_whole=True)


def site_file(office: Office, caller: Caller, walk_id: str) -> tuple[str, BinaryIO]:
    """Return the site folder of a walk alone, as `walk_file` does.

    Raises
    ------
    MissingError, RefusedError
        As `walk_file` does.
    """
    return _zipped(office, caller, walk_id, is_whole=False)


def _zipped(office: Office, caller: Caller, walk_id: str, *, is_whole: bool) -> tuple[str, BinaryIO]:
    caller.require("walks.read")
    out = tempfile.TemporaryFile()  # noqa: SIM115 – closed by whoever asked, once it is sent
    try:
        with office.reading() as unit:
            walk = seen_walk(unit, caller, walk_id)
            says, files = walked_files(unit, walk_id)
            with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
                shown = set[str]()
                for name in files.names():
                    try:
                        data = files.read(name)
                    except FileNotFoundError:
                        continue  # announced by a phone, and not here yet
                    shown.add(files.blobs.get(name, ""))
                    _write(archive, name, data)
                if is_whole:
                    _write_whole(archive, unit, walk, says, shown)
    except BaseException:
        out.close()
        raise
    out.seek(0)
    return walk.name or "walk", cast("BinaryIO", out)


def _write_whole(archive: zipfile.ZipFile, unit: Unit, walk: Walk, says: Mapping[str, Any], shown: set[str]) -> None:
    _write_all(archive, UPDATES, (pack(one) for one in unit.updates.envelopes(walk.id)))
    _write(archive, PLAIN, _json(says))
    kept = files_of(unit, walk.id)
    for sha256 in sorted(kept.keys() - shown):
        try:
            _write(archive, f"{BLOBS}/{sha256}", unit.blobs.get(sha256))
        except DamagedError:
            continue  # lost here too; whoever asks for it is told
    manifest = {
        "format": FORMAT,
        "version": list(VERSION),
        "made_by": f"courtwright {version('courtwright')}",
        "walk": {
            "id": walk.id,
            "name": walk.name,
            "walked_on": walk.walked_on.isoformat() if walk.walked_on else None,
        },
        "files": [_listed(one) for _, one in sorted(kept.items())],
    }
    _write(archive, MANIFEST, _json(manifest))


def _listed(one: Attached) -> dict[str, object]:
    kind: UploadKind = "photo" if isinstance(one, Photo) else "survey"
    return {"sha256": one.sha256, "name": one.name, "kind": kind, "withdrawn": one.withdrawn_at is not None}


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True).encode("utf-8", "replace")


def _write(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    _write_all(archive, name, (data,))


def _write_all(archive: zipfile.ZipFile, name: str, parts: Iterable[bytes]) -> None:
    info = zipfile.ZipInfo(name, _NO_TIME)
    info.external_attr = (stat.S_IFREG | 0o600) << 16
    with archive.open(info, "w") as file:
        for part in parts:
            file.write(part)


# --- in -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Imported:
    """A walk that came in as a file.

    Parameters
    ----------
    walk : Walk
        The walk.
    is_new : bool
        Whether it was not here before.
    synced : Synced
        What it brought.
    """

    walk: Walk
    is_new: bool
    synced: Synced


@dataclass(frozen=True, slots=True)
class _Lies:
    """A kept file in an archive: where it lies, what it is called, what it is, and whether it is withdrawn."""

    at: str
    name: str
    kind: UploadKind
    is_withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class _Read:
    """What a file holds: the id of its walk, its updates, and its kept files by SHA-256."""

    id: str
    envelopes: tuple[Envelope, ...]
    files: SiteFiles
    kept: Mapping[str, _Lies] = field(default_factory=dict[str, _Lies])
    name: str = ""
    walked_on: dt.date | None = None


def import_file(
    office: Office, caller: Caller, job_id: str, handle: BinaryIO, where: str, id: str | None = None
) -> Imported:
    """Take a walk in from a file: one of ours, a site folder as a zip, or the envelopes that a phone saved.

    The same file again is the same walk, and changes nothing; a later file of the same walk brings what is new.

    Parameters
    ----------
    office, caller, job_id
        Where, who asks, and into which job.
    handle : BinaryIO
        The file, at its start.
    where : str
        What it is called.
    id : str or None
        Of the walk; that which the file tells unless given.

    Raises
    ------
    ArchiveError
        If it is an archive that must not be opened.
    InputError
        If it is none of these, or anything in it is damaged: nothing is taken then.
    ConflictError
        If the id is that of a walk of another job.
    MissingError, RefusedError
        If there is no such job that the caller may see, or the caller may not.
    """
    caller.require("walks.write")
    with office.reading() as unit:
        caller.require_job(unit, job_id)
        unit.jobs.get(job_id)
    read = _read(handle, where, job_id, office.now())
    known = {sha256: _put(office, read.files, lies, sha256, where) for sha256, lies in read.kept.items()}
    with office.writing(caller) as unit:
        caller.require_job(unit, job_id)
        unit.jobs.lock(job_id)
        walk, is_new = _walk(unit, job_id, id, read)
        synced = send_within(unit, walk.id, read.envelopes)
        for sha256 in known.keys() - files_of(unit, walk.id).keys():
            _attach(unit, office.new_id, walk.id, read.kept[sha256], *known[sha256])
        return Imported(walk, is_new, synced)


def _walk(unit: Unit, job_id: str, id: str | None, read: _Read) -> tuple[Walk, bool]:
    """Return the walk that a file belongs to; one that another job has already becomes a walk of its own here."""
    there = unit.walks.find(id or read.id)
    if there is not None and there.job_id != job_id and id is None:
        id = _derived(job_id, read.id)
        there = unit.walks.find(id)
    if there is not None:
        require_same_job(there, job_id)
        return there, False
    return unit.walks.add(id or read.id, job_id=job_id, name=read.name, walked_on=read.walked_on), True


def _attach(unit: Unit, new_id: Callable[[], str], walk_id: str, lies: _Lies, kind: UploadKind, known: Known) -> None:
    unit.keep_put(known.sha256, known.size)
    made = attach(unit, new_id, walk_id, lies.name, kind, known)
    if lies.is_withdrawn:
        (unit.photos if kind == "photo" else unit.surveys).withdraw(made.id)


def _put(office: Office, files: SiteFiles, lies: _Lies, sha256: str, where: str) -> tuple[UploadKind, Known]:
    """Put a file among the blobs and return what it is; a photo that is none stays what it is called by the walk."""
    data = _content(files, lies.at, where)
    if digest(data) != sha256:
        raise _damaged(lies.at, where)
    office.store.blobs.put(data)
    kinds: tuple[UploadKind, ...] = (lies.kind, "survey")
    for kind in kinds:
        try:
            return kind, looked_at(data, lies.at, kind)
        except InputError:
            continue
    return "survey", Known(sha256, len(data), BYTES)


# --- the three kinds of file --------------------------------------------------------------------


def _read(handle: BinaryIO, where: str, job_id: str, now: dt.datetime) -> _Read:
    is_saved = handle.read(len(MAGIC)) == MAGIC
    handle.seek(0)
    if is_saved:
        return _read_saved(handle.read(MOST_STREAM + 1), job_id)
    files = ZipFiles(handle, where)
    if UPDATES in files.names():
        return _read_whole(files, where)
    if SITE in files.names():
        return _read_site(files, where, job_id, now)
    raise InputError(say("site.not-a-site", name=where), where=where, fix=say("site.not-a-site-do"))


def _read_saved(data: bytes, job_id: str) -> _Read:
    """Read the envelopes that a phone saved; a later save begins with the same one, so that it is the same walk."""
    envelopes = unpack_all(data)
    return _Read(_derived(job_id, envelopes[0].sha256), envelopes, HeldFiles({}))


def _read_whole(files: ZipFiles, where: str) -> _Read:
    if files.size(UPDATES) > MOST_STREAM:
        raise _damaged(UPDATES, where)
    envelopes = unpack_all(_content(files, UPDATES, where))
    manifest = _manifest(files, where)
    try:
        walk = manifest["walk"]
        listed = {str(one["sha256"]): one for one in manifest["files"]}
        id, name = str(uuid.UUID(walk["id"])), _clean(walk["name"])
        walked_on = dt.date.fromisoformat(walk["walked_on"]) if walk["walked_on"] else None
        places = _places(files, where)
        kept = {
            sha256: _Lies(places[sha256], _clean(one["name"]), _kind(one["kind"]), one["withdrawn"] is True)
            for sha256, one in listed.items()
            if sha256 in places
        }
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _damaged(MANIFEST, where) from error
    return _Read(id, envelopes, files, kept, name, walked_on)


def _manifest(files: ZipFiles, where: str) -> dict[str, Any]:
    if MANIFEST not in files.names() or files.size(MANIFEST) > _LONGEST_MANIFEST:
        raise _damaged(MANIFEST, where)
    try:
        found = json.loads(_content(files, MANIFEST, where))
        if found["format"] != FORMAT:
            raise _damaged(MANIFEST, where)
        is_newer = found["version"][0] > VERSION[0]
    except (ValueError, RecursionError, TypeError, LookupError) as error:
        raise _damaged(MANIFEST, where) from error
    if is_newer:
        raise InputError(say("desk.walk-file-newer"), where=where, fix=say("desk.walk-file-newer-do"))
    return cast("dict[str, Any]", found)


def _places(files: ZipFiles, where: str) -> dict[str, str]:
    """Return where each file of a walk lies, by its SHA-256."""
    found: dict[str, str] = {}
    for name in files.names():
        if name not in (UPDATES, PLAIN, MANIFEST):
            found.setdefault(digest(_content(files, name, where)), name)
    return found


def _read_site(files: ZipFiles, where: str, job_id: str, now: dt.datetime) -> _Read:
    """Read a site folder as a walk; the ids that it gets follow from what is in it."""
    contents = [(name, digest(_content(files, name, where))) for name in files.names()]
    whole = hashlib.sha256(json.dumps(contents).encode())
    id = _derived(job_id, whole.hexdigest())
    count = itertools.count(1)
    found = walk_of(files, lambda: _derived(id, str(next(count))))
    client = int.from_bytes(whole.digest()[:4], "big") or 1
    envelopes = tuple(Envelope(OFFICE, now, update) for update in updates_of(found.plain, client))
    kept = {
        sha256: _Lies(name, _clean(name.rpartition("/")[2]), "photo" if name.startswith(FOLDER) else "survey")
        for sha256, name in found.blobs.items()
    }
    return _Read(id, envelopes, files, kept, *_told(found.plain["walk"]))


def _told(walk: Mapping[str, Any]) -> tuple[str, dt.date | None]:
    """Return the name and the day of a walk as its document tells them."""
    try:
        day = dt.date.fromisoformat(str(walk.get("walked_on")))
    except ValueError:
        day = None
    return _clean(walk.get("name", "")), day


def _derived(base: str, name: str) -> str:
    return str(uuid.uuid5(uuid.UUID(base), name))


def _kind(given: object) -> UploadKind:
    return "photo" if given == "photo" else "survey"


def _clean(given: object) -> str:
    """Return a line that any record can hold."""
    text = "".join(letter for letter in str(given) if unicodedata.category(letter) not in ("Cc", "Cs"))
    return text.strip()[:LINE]


def _content(files: SiteFiles, name: str, where: str) -> bytes:
    size, most = files.size(name), _MOST_FILE / 1e6
    if size > _MOST_FILE:
        large = say("desk.upload-large", megabytes=size / 1e6, most=most)
        raise TooLargeError(large, where=name[:80], fix=say("desk.upload-large-do"))
    try:
        with files.open(name) as file:
            return file.read()
    except OSError as error:
        raise _damaged(name, where) from error


def _damaged(name: str, where: str) -> InputError:
    return InputError(say("desk.walk-file-damaged", name=name[:80]), where=where, fix=say("desk.walk-file-damaged-do"))
