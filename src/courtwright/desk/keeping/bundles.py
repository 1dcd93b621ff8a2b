"""Bundles and backups: one job out and in, the whole store out and in, everything as open files."""

from __future__ import annotations

import contextlib
from collections.abc import Generator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from courtwright.desk.caller import Caller
from courtwright.desk.keeping.open_copies import copies, folder_of, listed, record_files
from courtwright.desk.office import Office
from courtwright.desk.places import Places
from courtwright.errors import CallError, DamagedError, OutputError
from courtwright.says import say
from courtwright.site.record import Complaint
from courtwright.store import backup
from courtwright.store.blobs import Blobs, blobs_at
from courtwright.store.bundle.contents import export_lists, named_files, rows_of
from courtwright.store.bundle.pack import Packed, pack
from courtwright.store.bundle.unpack import Unpacked, read_job, unpack
from courtwright.store.failures import told
from courtwright.store.hand import Hand
from courtwright.store.unit import Unit
from courtwright.store.verify import Progress, SealCheck, verify

# --- one job --------------------------------------------------------------------------------------


def pack_job(office: Office, caller: Caller, job_id: str, out: BinaryIO) -> Packed:
    """Write one job as a bundle.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    job_id : str
        Of the job.
    out : BinaryIO
        Where to; it has to let itself be moved in.

    Raises
    ------
    MissingError, RefusedError, StoreError
        If there is no such job, the caller may not, or it cannot be read or written.
    """
    caller.require("bundles.write")
    with office.reading() as unit:
        packed = pack(unit, job_id, out, copies)
    with office.writing(caller) as unit:
        unit.changes.note(Hand(caller.who, office.now()), "packed", job_id)
    return packed


def unpack_job(office: Office, caller: Caller, handle: BinaryIO, where: str) -> Unpacked:
    """Put a bundle's job into the store: what is new of it, nothing over what is there.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    handle : BinaryIO
        The bundle.
    where : str
        Its name.

    Raises
    ------
    ConflictError, InputError, RefusedError, StoreError
        If the job is here and says something else, the file is no whole bundle, the caller may not, or it cannot be
        written.
    """
    caller.require("bundles.write")
    return unpack(office.store, Hand(caller.who, office.now()), read_job(handle, where))


def find_job(office: Office, caller: Caller, wanted: str) -> str:
    """Return the id of the one job that is meant.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    wanted : str
        Its id, or a part of its name or address that no other has.

    Raises
    ------
    CallError
        If there is none, or more than one.
    RefusedError
        If the caller may not.
    """
    caller.require("jobs.read")
    with office.reading() as unit:
        if unit.jobs.find(wanted) is not None:
            return wanted
        found = unit.jobs.page(*unit.jobs.matching(wanted, is_withdrawn=None), most=6)
    if len(found) == 1:
        return found[0].id
    if not found:
        raise CallError(say("desk.no-job", wanted=wanted[:80]), fix=say("desk.no-job-do"))
    names = "; ".join(f"{job.id} {job.name[:40]}" for job in found[:5])
    raise CallError(say("desk.many-jobs", wanted=wanted[:80], names=names), fix=say("desk.many-jobs-do"))


# --- everything -----------------------------------------------------------------------------------


def back_up(office: Office, caller: Caller, target: Path) -> backup.BackedUp:
    """Write the whole store to one file, while it is used.

    Raises
    ------
    CallError
        If the file is there already.
    RefusedError, StoreError
        If the caller may not, or it cannot be read or written.
    """
    caller.require("store.backup")
    if target.exists():
        raise CallError(say("desk.file-there"), where=str(target), fix=say("desk.file-there-do"))
    made = backup.back_up(office.store, target, office.now())
    with office.writing(caller) as unit:
        unit.changes.note(Hand(caller.who, office.now()), "backed-up")
    return made


def restore(places: Places, handle: BinaryIO, where: str, seals: SealCheck | None = None) -> backup.Restored:
    """Put a backup into an office that has nothing yet. Only the machine itself does that.

    Parameters
    ----------
    places : Places
        Where the office keeps its things.
    handle : BinaryIO
        The backup.
    where : str
        Its name.
    seals : callable or None
        Looks at the seals.

    Raises
    ------
    InputError, StoreError
        If the file is no whole backup, or the store is not empty or cannot be written.
    """
    with told():
        places.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return backup.restore(handle, where, places.database, blobs_at(places.files), seals)


def check_store(
    office: Office, caller: Caller, seals: SealCheck | None = None, progress: Progress | None = None
) -> tuple[Complaint, ...]:
    """Return everything in the store that is not whole.

    Raises
    ------
    RefusedError, StoreError
        If the caller may not, or the store cannot be read at all.
    """
    caller.require("store.backup")
    return verify(office.store, seals, progress)


# --- open files -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Exported:
    """What was exported.

    Parameters
    ----------
    jobs, files : int
        How many. [-]
    missing : tuple of str
        Kept files that were lost or damaged before, by SHA-256.
    """

    jobs: int
    files: int
    missing: tuple[str, ...]


def export(office: Office, caller: Caller, folder: Path, progress: Progress | None = None) -> Exported:
    """Write everything as open files: a folder for each job, the people without their secrets.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    folder : Path
        Empty, or not there yet.
    progress : callable or None
        Is told how many jobs of how many are written.

    Raises
    ------
    CallError, OutputError
        If the folder is not empty or cannot be written to.
    RefusedError, StoreError
        If the caller may not, or the store cannot be read.
    """
    caller.require("store.backup")
    with _writing_to(folder):
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise CallError(say("cli.not-empty"), where=str(folder), fix=say("cli.not-empty-do"))
    with office.reading() as unit:
        done = _export(unit, folder, progress)
    with office.writing(caller) as unit:
        unit.changes.note(Hand(caller.who, office.now()), "exported")
    return done


@contextlib.contextmanager
def _writing_to(place: Path) -> Generator[None]:
    try:
        yield
    except OSError as error:
        raise OutputError(say("cli.cannot-write", detail=str(error.strerror)), where=str(place)) from error


def _export(unit: Unit, folder: Path, progress: Progress | None) -> Exported:
    whole = export_lists(unit.connection)
    files = sum(
        _written(folder, *one) for name, (columns, rows) in whole.items() for one in listed(name, columns, rows)
    )
    ids = [str(job["id"]) for job in whole["job"][1]]
    missing: set[str] = set()
    for done, job_id in enumerate(ids, 1):
        rows = rows_of(unit.connection, job_id)
        own = folder / folder_of(rows["job"][0])
        for made in (record_files(rows), copies(rows, unit.blobs)):
            files += sum(_written(own, name, data) for name, data in made)
        missing |= {name for name in named_files(unit.connection, rows.values()) if not _is_whole(unit.blobs, name)}
        if progress is not None:
            progress(done, len(ids))
    return Exported(len(ids), files, tuple(sorted(missing)))


def _is_whole(blobs: Blobs, sha256: str) -> bool:
    try:
        blobs.get(sha256)
    except DamagedError:
        return False
    return True


def _written(folder: Path, name: str, data: bytes) -> int:
    path = folder / name
    with _writing_to(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return 1
