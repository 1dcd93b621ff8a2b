"""Stake-outs of a new surface: asked for as long work, and taken away as a file once it is done."""

from __future__ import annotations

from courtwright.desk.caller import Caller
from courtwright.desk.kinds.asked import StakesAsked, payload
from courtwright.desk.office import Office
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.walks.walks import seen_walk
from courtwright.desk.work.handing import PARTS, own_parts
from courtwright.desk.work.tasks import Work, ask_for, result_of
from courtwright.errors import MissingError
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
        parts = own_parts(files, unit.surveys.hashes(walk_id))
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
    made = result_of(office, caller, task_id, kind=KIND, about=walk_id)
    if made is not None:
        return made
    raise MissingError(say("desk.no-stakes"), fix=say("desk.no-stakes-do"))
