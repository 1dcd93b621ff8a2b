"""Jobs, and who of the crew is on which."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sqlalchemy import ColumnElement, func, select

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

Stage = Literal["call", "walk", "verdict", "remedies", "price", "offer", "work", "watch"]
STAGES: tuple[Stage, ...] = get_args(Stage)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job(Kept):
    """One customer's request at one site.

    Parameters
    ----------
    name, address, note : str
        As typed.
    customer : str or None
        Kind of customer, one of the contract's; None while unknown.
    stage : str
        One of `STAGES`.
    units : {"us", "metric"}
        In which the job is written.
    call : mapping
        What was said in the call, field by field, as typed.
    """

    name: str
    address: str
    note: str
    customer: str | None
    stage: Stage
    units: Literal["us", "metric"]
    call: Mapping[str, Any]


class Jobs(Rows[Job]):
    """The jobs."""

    table = tables.job
    record = Job

    def matching(
        self, text: str = "", stage: Stage | None = None, is_withdrawn: bool | None = False, crew: str | None = None
    ) -> list[ColumnElement[bool]]:
        """Return the conditions of a search.

        Parameters
        ----------
        text : str
            Found in name or address, whatever the case and the accents.
        stage : str or None
            Only jobs at this stage.
        is_withdrawn : bool or None
            Only withdrawn ones, only others, or all.
        crew : str or None
            Only jobs that this person is assigned to.
        """
        job, found = self.table.c, list[ColumnElement[bool]]()
        if text:
            found.append(job.sought.like(f"%{_escaped(_sought(text))}%", escape="\\"))
        if stage is not None:
            found.append(job.stage == stage)
        if is_withdrawn is not None:
            found.append(job.withdrawn_at.is_not(None) if is_withdrawn else job.withdrawn_at.is_(None))
        if crew is not None:
            of = tables.assignment.c
            found.append(job.id.in_(select(of.job_id).where(of.person_id == crew, of.withdrawn_at.is_(None))))
        return found

    def derived(self, values: Mapping[str, Any]) -> Mapping[str, Any]:
        """Return what a search looks into."""
        return {"sought": _sought(f"{values['name']}\n{values['address']}")}

    def count(self, *where: ColumnElement[bool]) -> int:
        """Return how many jobs fulfil all conditions. [-]"""
        return self.connection.execute(select(func.count()).select_from(self.table).where(*where)).scalar_one()


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment(Kept):
    """One person of the crew on one job.

    Parameters
    ----------
    job_id, person_id : str
        Of whom, on what.
    """

    job_id: str
    person_id: str


class Assignments(Rows[Assignment]):
    """Who is on which job."""

    table = tables.assignment
    record = Assignment

    def of(self, job_id: str, person_id: str) -> Assignment | None:
        """Return the assignment of a person to a job, withdrawn or not, or None."""
        return self.one(self.table.c.job_id == job_id, self.table.c.person_id == person_id)

    def on(self, job_id: str, person_id: str) -> bool:
        """Tell whether a person is on a job now."""
        found = self.of(job_id, person_id)
        return found is not None and found.withdrawn_at is None


def _sought(text: str) -> str:
    """Return a text without case and accents: no two databases fold letters alike."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parts if not unicodedata.combining(letter))


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
