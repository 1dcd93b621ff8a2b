"""Long work: asked for, leased by whoever does it, done once. Its coming and going is not part of the history."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sqlalchemy import ColumnElement, and_, func, or_, select, update

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

State = Literal["waiting", "running", "done", "stopped", "failed"]
STATES: tuple[State, ...] = get_args(State)
#: Nothing becomes of these any more.
OVER: frozenset[State] = frozenset({"done", "stopped", "failed"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Kept):
    """One piece of long work.

    Parameters
    ----------
    kind : str
        What is done.
    about : str
        Id of the record that it is about.
    job_id : str or None
        The job to which that belongs.
    by : str
        Who asked.
    needs : str
        The right that its result asks for.
    state : str
        One of `STATES`.
    request : mapping
        What was asked, for whoever makes something of the result.
    asked_sha256 : str
        Of all that was asked.
    input_sha256 : str
        Of what the worker is handed.
    result_sha256 : str or None
        Of what it gave, once done.
    problem : mapping or None
        Why there is no result, once failed.
    done, of : int
        Steps done, of how many; 0 of 0 while nobody knows. [-]
    tries : int
        How often it was begun and not given back. [-]
    lease : str or None
        Of whoever works on it.
    lease_until : datetime or None
        When it may be taken up by others.
    """

    kind: str
    about: str
    job_id: str | None
    by: str
    needs: str
    state: State
    request: Mapping[str, Any]
    asked_sha256: str
    input_sha256: str
    result_sha256: str | None
    problem: Mapping[str, Any] | None
    done: int
    of: int
    tries: int
    lease: str | None
    lease_until: dt.datetime | None

    @property
    def is_over(self) -> bool:
        """Whether nothing becomes of it any more."""
        return self.state in OVER


class Tasks(Rows[Task]):
    """The tasks."""

    table = tables.task
    record = Task
    is_written_down = False

    def open_for(self, asked_sha256: str) -> Task | None:
        """Return the task, not done yet, in which the same was asked, or None; nobody else asks until the unit ends."""
        if self.connection.dialect.name == "postgresql":
            number = int(asked_sha256[:15], 16)
            self.connection.execute(select(func.pg_advisory_xact_lock(number)))
        return self.one(self.table.c.asked_sha256 == asked_sha256, self.table.c.state.in_(("waiting", "running")))

    def matching(
        self,
        who: str,
        rights: Collection[str],
        *,
        is_crew: bool,
        state: State | None = None,
        about: str | None = None,
    ) -> list[ColumnElement[bool]]:
        """Return the conditions of what a person may see: what they asked for, and what is about their jobs.

        Parameters
        ----------
        who : str
            Id of the person.
        rights : collection of str
            Those that the person has.
        is_crew : bool
            Whether only the jobs that they are on are theirs.
        state, about : str or None
            Only those in this state; only those about this record.
        """
        task, of = self.table.c, tables.assignment.c
        jobs = select(of.job_id).where(of.person_id == who, of.withdrawn_at.is_(None))
        theirs = task.job_id.in_(jobs) if is_crew else task.job_id.is_not(None)
        found = [task.needs.in_(tuple(rights)), or_(task.by == who, theirs)]
        if state is not None:
            found.append(task.state == state)
        if about is not None:
            found.append(task.about == about)
        return found

    # --- leases ---

    def has_next(self, at: dt.datetime) -> bool:
        """Tell whether a task waits, or its lease has run out, at a time."""
        query = select(self.table.c.id).where(self._free(at)).limit(1)
        return self.connection.execute(query).first() is not None

    def take_next(self, lease: str, until: dt.datetime, behind: Collection[str] = ()) -> Task | None:
        """Lease the task that waits longest, or one whose lease has run out; None when there is none.

        Parameters
        ----------
        lease : str
            A new id.
        until : datetime
            How long it is held, unless renewed.
        behind : collection of str
            Kinds that come after all others: nobody sits and waits for them.
        """
        table = self.table.c
        query = (
            select(table.id)
            .where(self._free(self.hand.at))
            .order_by(table.kind.in_(tuple(behind)), table.made_at, table.id)
            .limit(1)
            .with_for_update(skip_locked=True)
        )
        id = self.connection.execute(query).scalar_one_or_none()
        if id is None:
            return None
        found = self.get(id)
        values = {"state": "running", "lease": lease, "lease_until": until, "tries": found.tries + 1}
        return self.change(id, found.version, **values, done=0, of=0)

    def held(self, id: str, lease: str) -> Task | None:
        """Return a task that is still held by a lease, and hold it until the unit ends; None when the lease is lost."""
        self.lock(id)
        found = self.find(id)
        return found if found and found.state == "running" and found.lease == lease else None

    def lost(self, leases: Collection[str]) -> frozenset[str]:
        """Return those of the leases by which no task is held any more."""
        table = self.table.c
        query = select(table.lease).where(table.lease.in_(tuple(leases)), table.state == "running")
        return frozenset(leases) - frozenset(self.connection.execute(query).scalars())

    def renew(self, leases: Collection[str], until: dt.datetime) -> None:
        """Hold what is still held for longer. A task that only goes on has not changed: its version stays."""
        table = self.table.c
        held = table.lease.in_(tuple(leases)), table.state == "running"
        self.connection.execute(update(self.table).where(*held).values(lease_until=until))

    def end(self, id: str, state: State, **values: Any) -> Task:
        """Let go of a task, and leave it in a state."""
        return self.change(id, None, state=state, lease=None, lease_until=None, **values)

    def abandoned(self) -> tuple[Task, ...]:
        """Return every task that somebody has leased, oldest first."""
        return self.all(self.table.c.state == "running")

    def _free(self, at: dt.datetime) -> ColumnElement[bool]:
        table = self.table.c
        return or_(table.state == "waiting", and_(table.state == "running", table.lease_until < at))
