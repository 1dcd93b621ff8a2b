"""Offers: drafted, sent, accepted or declined, replaced by their revisions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sqlalchemy import func, select

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

State = Literal["draft", "sent", "accepted", "declined", "replaced"]
STATES: tuple[State, ...] = get_args(State)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer(Kept):
    """One offer, or one revision of it.

    Parameters
    ----------
    job_id, walk_id : str
        For which job, from which walk.
    number, revision : int
        Which offer of the job, and which revision of it, from 1. [-]
    state : str
        One of `STATES`.
    language : {"en", "es"}
        Of its papers.
    issued_on, expires_on : date or None
        The date on the paper, and the last day on which it holds; None before the papers are made, and for a letter
        with ranges.
    request : mapping
        How it is to be written: ``start``, ``budget``, ``seed``, and ``options``, those to show by pad or null.
    inputs : mapping or None
        What it was computed from: ``walk_seq``, and ``files`` by name and SHA-256.
    answers : mapping of str to str or None
        Every kept file by name and SHA-256.
    says : mapping
        What it says, as its ``offer.json``; empty before its papers are made.
    declined_because : str or None
        What was said when it was declined.
    """

    job_id: str
    walk_id: str
    number: int
    revision: int
    state: State
    language: Literal["en", "es"]
    issued_on: dt.date
    expires_on: dt.date | None
    request: Mapping[str, Any]
    inputs: Mapping[str, Any] | None
    answers: Mapping[str, str] | None
    says: Mapping[str, Any]
    declined_because: str | None

    @property
    def is_letter(self) -> bool:
        """Whether it is a letter with ranges, which nobody can accept."""
        return bool(self.request.get("budget"))


class Offers(Rows[Offer]):
    """The offers."""

    table = tables.offer
    record = Offer

    def next_number(self, job_id: str) -> int:
        """Return the number of the next offer of a job. [-]"""
        table = self.table.c
        query = select(func.coalesce(func.max(table.number), 0)).where(table.job_id == job_id)
        return self.connection.execute(query).scalar_one() + 1

    def revisions(self, job_id: str, number: int) -> tuple[Offer, ...]:
        """Return every revision of one offer, the first one first.

        Parameters
        ----------
        job_id : str
            Of the job.
        number : int
            Of the offer. [-]
        """
        table = self.table.c
        return self.all(table.job_id == job_id, table.number == number, order=(table.revision,))
