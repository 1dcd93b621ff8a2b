"""Long work: asked for, watched, stopped. Who does it is in `runner`."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from courtwright.desk.caller import RIGHTS, Caller
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.desk.workers import wire
from courtwright.errors import CourtwrightError, DamagedError, MissingError
from courtwright.says import say
from courtwright.store.rows.tasks import State, Task
from courtwright.store.unit import Unit


@dataclass(frozen=True, slots=True)
class Work:
    """What is to be done.

    Parameters
    ----------
    kind : str
        A kind of work, one of `desk.kinds`.
    about : str
        Id of the record that it is about.
    job_id : str or None
        The job to which that belongs: who may see the job may see the task.
    needs : str
        The right, one of `RIGHTS`, that its result asks for.
    payload : bytes or str
        What the worker is handed; of a file that is kept already, its SHA-256.
    request : mapping
        What whoever makes something of the result has to know besides.
    """

    kind: str
    about: str
    job_id: str | None
    needs: str
    payload: bytes | str
    request: Mapping[str, Any]


def ask_for(office: Office, unit: Unit, work: Work) -> Task:
    """Ask for long work inside a unit that writes; it begins once the unit has ended well.

    Where the same is asked already and not done yet, that task is returned.
    """
    input_sha256 = work.payload if isinstance(work.payload, str) else unit.keep(work.payload)
    asked_sha256 = _sha256([work.kind, work.about, work.job_id, work.needs, dict(work.request), input_sha256])
    known = unit.tasks.open_for(asked_sha256)
    if known is not None:
        return known
    made = unit.tasks.add(
        office.new_id(),
        kind=work.kind,
        about=work.about,
        job_id=work.job_id,
        by=unit.tasks.hand.who,
        needs=work.needs,
        state="waiting",
        request=dict(work.request),
        asked_sha256=asked_sha256,
        input_sha256=input_sha256,
        result_sha256=None,
        problem=None,
        done=0,
        of=0,
        tries=0,
        lease=None,
        lease_until=None,
    )
    unit.afterwards.append(lambda: office.bell.ring(made.id))
    return made


def _sha256(asked: list[Any]) -> str:
    return hashlib.sha256(json.dumps(asked, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def list_tasks(
    office: Office,
    caller: Caller,
    *,
    state: State | None = None,
    about: str | None = None,
    most: int = 50,
    after: str | None = None,
) -> Page[Task]:
    """Return the tasks that the caller may see, changed last first.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    state, about : str or None
        Only those in this state; only those about this record.
    most : int
        How many at once. [-]
    after : str or None
        Where the page before ended.

    Raises
    ------
    InputError
        If ``after`` is none of ours.
    RefusedError
        If the caller may not.
    """
    caller.require("tasks.read")
    rights = [right for right in RIGHTS if caller.may(right)]
    with office.reading() as unit:
        where = unit.tasks.matching(caller.who, rights, is_crew=caller.kind == "crew", state=state, about=about)
        return page_of(unit.tasks.page(*where, most=most + 1, after=after_of(after)), most)


def task(office: Office, caller: Caller, id: str) -> Task:
    """Return one task.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or the caller may see none.
    """
    caller.require("tasks.read")
    with office.reading() as unit:
        return _seen(unit, caller, id)


def result_of(office: Office, caller: Caller, id: str, *, kind: str, about: str) -> bytes | None:
    """Return what a task of a kind made of something; None where it is of another, not done, or its result is lost.

    Results are a cache: one that is lost is asked for again.

    Raises
    ------
    MissingError, RefusedError
        As `task` does.
    """
    found = task(office, caller, id)
    if (found.kind, found.about) != (kind, about) or found.result_sha256 is None:
        return None
    try:
        return office.store.blobs.get(found.result_sha256)
    except DamagedError:
        return None


def stop_task(office: Office, caller: Caller, id: str) -> Task:
    """Stop a task; one that is over stays as it is.

    Raises
    ------
    MissingError, RefusedError
        As `task` does, or if others asked for it and the caller changes no jobs.
    """
    caller.require("tasks.read")
    with office.writing(caller) as unit:
        unit.tasks.lock(id)
        found = _seen(unit, caller, id)
        if found.by != caller.who:
            caller.require("jobs.write")
        if found.is_over:
            return found
        unit.afterwards.append(lambda: office.bell.ring(id))
        return unit.tasks.end(id, "stopped")


def _seen(unit: Unit, caller: Caller, id: str) -> Task:
    found = unit.tasks.find(id)
    if found is None or not _may_see(unit, caller, found):
        raise MissingError(say("store.missing", record=say("store.record-task")))
    return found


def _may_see(unit: Unit, caller: Caller, task: Task) -> bool:
    if not caller.may(task.needs):
        return False
    if task.by == caller.who:
        return True
    return task.job_id is not None and (caller.kind != "crew" or unit.assignments.on(task.job_id, caller.who))


# --- why there is no result ---------------------------------------------------------------------


def plain_problem(error: CourtwrightError) -> dict[str, Any]:
    """Return an error as a task keeps it: codes, sentences and their values."""
    return json.loads(wire.refusal(error)[1:])


def problem_error(problem: Mapping[str, Any]) -> CourtwrightError:
    """Return the error that a task keeps, of the same class or the nearest that all know."""
    return wire.read_refusal(wire.REFUSAL + json.dumps(problem).encode())
