"""Walks: begun on a phone or in the office, found, changed, withdrawn and brought back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.errors import ConflictError, MissingError
from courtwright.says import say
from courtwright.store.rows.changes import Change
from courtwright.store.rows.walks import Walk
from courtwright.store.unit import Once, Unit


def seen_walk(unit: Unit, caller: Caller, id: str) -> Walk:
    """Return a walk that the caller may see.

    Raises
    ------
    MissingError
        If there is none; the crew cannot tell whether there is one on a job that it is not on.
    """
    walk = unit.walks.find(id)
    if walk is None or (caller.kind == "crew" and not unit.assignments.on(walk.job_id, caller.who)):
        raise MissingError(say("store.missing", record=say("store.record-walk")))
    return walk


def list_walks(
    office: Office,
    caller: Caller,
    job_id: str,
    *,
    is_withdrawn: bool | None = False,
    most: int = 50,
    after: str | None = None,
) -> Page[Walk]:
    """Return the walks of a job, changed last first.

    Parameters
    ----------
    office, caller, job_id
        Where, who asks, and of which job.
    is_withdrawn : bool or None
        Which walks; see `Walks.matching`.
    most : int
        How many at once. [-]
    after : str or None
        Where the page before ended.

    Raises
    ------
    InputError
        If ``after`` is none of ours.
    MissingError, RefusedError
        If there is no such job that the caller may see, or the caller may see none.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        caller.require_job(unit, job_id)
        unit.jobs.get(job_id)
        where = unit.walks.matching(job_id, is_withdrawn)
        return page_of(unit.walks.page(*where, most=most + 1, after=after_of(after)), most)


def walk(office: Office, caller: Caller, id: str) -> Walk:
    """Return one walk.

    Raises
    ------
    MissingError, RefusedError
        If there is none that the caller may see, or the caller may see none.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        return seen_walk(unit, caller, id)


def begin_walk(
    office: Office,
    caller: Caller,
    job_id: str,
    *,
    id: str | None = None,
    name: str = "",
    walked_on: dt.date | None = None,
    once: Once | None = None,
) -> tuple[Walk, bool]:
    """Begin a walk, or find the one that was begun with this id; tell which.

    Parameters
    ----------
    office, caller, job_id
        Where, who asks, and on which job.
    id : str or None
        The UUID that a phone chose when it began the walk, perhaps days ago and without signal; a new one unless given.
    name, walked_on
        Of the walk; those of a walk that is there already stay.
    once : Once or None
        To begin one walk only when the request comes twice.

    Returns
    -------
    Walk, bool
        The walk, and whether it is new.

    Raises
    ------
    ConflictError
        If the id is that of a walk of another job, or ``once`` was meant for something else.
    MissingError, RefusedError
        As `list_walks` does.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        caller.require_job(unit, job_id)
        # Two phones may begin the same walk at once.
        unit.jobs.lock(job_id)
        unit.jobs.get(job_id)
        known = id or unit.made_before(once)
        found = known and unit.walks.find(known)
        if found:
            require_same_job(found, job_id)
            return found, False
        made = unit.walks.add(id or office.new_id(), job_id=job_id, name=name, walked_on=walked_on)
        unit.remember(once, made.id)
        return made, True


def require_same_job(walk: Walk, job_id: str) -> None:
    """Refuse an id that a walk of another job has.

    Raises
    ------
    ConflictError
        If so.
    """
    if walk.job_id != job_id:
        raise ConflictError(say("desk.walk-of-another-job"), where="id", fix=say("desk.walk-of-another-job-do"))


def change_walk(office: Office, caller: Caller, id: str, seen: int, values: Mapping[str, Any]) -> Walk:
    """Change the name or the day of a walk.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which walk.
    seen : int
        The version that the caller saw. [-]
    values : mapping
        The fields to change.

    Raises
    ------
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        seen_walk(unit, caller, id)
        return unit.walks.change(id, seen, **values)


def withdraw_walk(office: Office, caller: Caller, id: str, seen: int) -> Walk:
    """Withdraw a walk; nothing of it is lost, and phones that still hold it may go on sending.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `change_walk` does.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        seen_walk(unit, caller, id)
        return unit.walks.withdraw(id, seen)


def bring_back_walk(office: Office, caller: Caller, id: str, seen: int) -> Walk:
    """Bring a withdrawn walk back.

    Raises
    ------
    MissingError, StaleError, RefusedError
        As `change_walk` does.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        seen_walk(unit, caller, id)
        return unit.walks.bring_back(id, seen)


def walk_changes(office: Office, caller: Caller, id: str, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of the record of a walk, oldest change first; what was typed is told by `sync.typed`.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which walk.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    MissingError, RefusedError
        As `walk` does.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, id)
        return unit.changes.of("walk", id, most=most, after=after)
