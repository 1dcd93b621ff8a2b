"""Stake-outs of a new surface: asked for as long work, and taken away as a file once it is done."""

from __future__ import annotations

from courtwright.desk.caller import Caller
from courtwright.desk.kinds.asked import FOLDER, StakesAsked, payload
from courtwright.desk.office import Office
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.walks.walks import seen_walk
from courtwright.desk.work.handing import PARTS
from courtwright.desk.work.tasks import Work, ask_for, task
from courtwright.errors import DamagedError, MissingError
from courtwright.says import say
from courtwright.store.rows.tasks import Task

KIND, NEEDS = "stakes", "answers.read"


def ask_stakes(office: Office, caller: Caller, walk_id: str, asked: StakesAsked) -> Task:
    """Return the task that stakes out a new surface.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    asked : StakesAsked
        The surface.

    Raises
    ------
    InputError
        If the walk is too large to be handed over.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not have this.
    """
    caller.require(NEEDS)
    with office.reading() as unit:
        walk = seen_walk(unit, caller, walk_id)
        _, files = walked_files(unit, walk_id)
        come = unit.surveys.hashes(walk_id)
        # Anybody may write any hash into a document: only the walk's own files are handed over.
        parts = {FOLDER + name: sha256 for name, sha256 in files.blobs.items() if sha256 in come}
    handed = payload(asked, files.written)
    work = Work(KIND, about=walk_id, job_id=walk.job_id, needs=NEEDS, payload=handed, request={PARTS: parts})
    with office.writing(caller) as unit:
        return ask_for(office, unit, work)


def stakes_file(office: Office, caller: Caller, walk_id: str, task_id: str) -> bytes:
    """Return a stake-out as a zip.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or it is not done.
    """
    caller.require(NEEDS)
    found = task(office, caller, task_id)
    if (found.kind, found.about) == (KIND, walk_id) and found.result_sha256 is not None:
        try:
            return office.store.blobs.get(found.result_sha256)
        except DamagedError:
            pass  # a cache: it is asked for again
    raise MissingError(say("desk.no-stakes"), fix=say("desk.no-stakes-do"))
