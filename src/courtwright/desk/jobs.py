"""Jobs: found, opened, changed, withdrawn; who of the crew is on them; what became of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.store.rows.changes import Change
from courtwright.store.rows.jobs import Assignment, Job, Stage
from courtwright.store.unit import Once


def list_jobs(
    office: Office,
    caller: Caller,
    *,
    text: str = "",
    stage: Stage | None = None,
    is_withdrawn: bool | None = False,
    most: int = 50,
    after: str | None = None,
) -> Page[Job]:
    """Return the jobs that the caller may see, changed last first.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    text : str
        Part of a name or an address.
    stage, is_withdrawn
        Which jobs; see `Jobs.matching`.
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
    caller.require("jobs.read")
    with office.reading() as unit:
        crew = caller.who if caller.kind == "crew" else None
        where = unit.jobs.matching(text, stage, is_withdrawn, crew)
        return page_of(unit.jobs.page(*where, most=most + 1, after=after_of(after)), most)


def job(office: Office, caller: Caller, id: str) -> Job:
    """Return one job.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or the caller may see none.
    """
    caller.require("jobs.read")
    with office.reading() as unit:
        caller.require_job(unit, id)
        return unit.jobs.get(id)


def open_job(office: Office, caller: Caller, values: Mapping[str, Any], once: Once | None = None) -> Job:
    """Open a job.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    values : mapping
        By field of `Job`; what is missing stays empty.
    once : Once or None
        To open one job only when the request comes twice.

    Raises
    ------
    ConflictError, RefusedError
        If ``once`` was meant for something else, or the caller may not.
    """
    caller.require("jobs.write")
    blank = {"name": "", "address": "", "note": "", "customer": None, "stage": "call", "units": "us", "call": {}}
    with office.writing(caller) as unit:
        known = unit.made_before(once)
        if known is not None:
            return unit.jobs.get(known)
        made = unit.jobs.add(office.new_id(), **{**blank, **values})
        unit.remember(once, made.id)
        return made


def change_job(office: Office, caller: Caller, id: str, seen: int, values: Mapping[str, Any]) -> Job:
    """Change a job.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    id : str
        Of the job.
    seen : int
        The version that the caller saw. [-]
    values : mapping
        The fields to change.

    Raises
    ------
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("jobs.write")
    with office.writing(caller) as unit:
        return unit.jobs.change(id, seen, **values)


def withdraw_job(office: Office, caller: Caller, id: str, seen: int) -> Job:
    """Withdraw a job; nothing of it is lost.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `change_job` does.
    """
    caller.require("jobs.write")
    with office.writing(caller) as unit:
        return unit.jobs.withdraw(id, seen)


def bring_back_job(office: Office, caller: Caller, id: str, seen: int) -> Job:
    """Bring a withdrawn job back.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `change_job` does.
    """
    caller.require("jobs.write")
    with office.writing(caller) as unit:
        return unit.jobs.bring_back(id, seen)


def job_history(office: Office, caller: Caller, id: str, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of a job, oldest change first.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which job.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    MissingError, RefusedError
        As `job` does.
    """
    caller.require("jobs.read")
    with office.reading() as unit:
        caller.require_job(unit, id)
        unit.jobs.get(id)
        return unit.changes.of("job", id, most=most, after=after)


def assign(office: Office, caller: Caller, job_id: str, person_id: str) -> Assignment:
    """Put a person on a job; who is on it stays so.

    Raises
    ------
    MissingError, RefusedError
        If there is no such job or person, or the caller may not.
    """
    caller.require("jobs.assign")
    with office.writing(caller) as unit:
        unit.jobs.get(job_id)
        unit.people.get(person_id)
        known = unit.assignments.of(job_id, person_id)
        if known is not None:
            return unit.assignments.bring_back(known.id)
        return unit.assignments.add(office.new_id(), job_id=job_id, person_id=person_id)


def unassign(office: Office, caller: Caller, job_id: str, person_id: str) -> None:
    """Take a person off a job.

    Raises
    ------
    MissingError, RefusedError
        As `assign` does.
    """
    caller.require("jobs.assign")
    with office.writing(caller) as unit:
        unit.jobs.get(job_id)
        known = unit.assignments.of(job_id, person_id)
        if known is not None:
            unit.assignments.withdraw(known.id)


def assigned(office: Office, caller: Caller, job_id: str) -> tuple[Assignment, ...]:
    """Return who is on a job.

    Raises
    ------
    MissingError, RefusedError
        As `job` does.
    """
    caller.require("jobs.read")
    with office.reading() as unit:
        caller.require_job(unit, job_id)
        unit.jobs.get(job_id)
        table = unit.assignments.table.c
        return unit.assignments.all(table.job_id == job_id, table.withdrawn_at.is_(None))
