"""Walks: one visit each, with its own document."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import ColumnElement

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk(Kept):
    """One visit of a site; what was found is in its document.

    Parameters
    ----------
    job_id : str
        Of the job that it belongs to.
    name : str
        As typed.
    walked_on : date or None
        When, where it was said.
    """

    job_id: str
    name: str
    walked_on: dt.date | None


class Walks(Rows[Walk]):
    """The walks."""

    table = tables.walk
    record = Walk

    def matching(self, job_id: str, is_withdrawn: bool | None = False) -> list[ColumnElement[bool]]:
        """Return the conditions of a search.

        Parameters
        ----------
        job_id : str
            Of the job.
        is_withdrawn : bool or None
            Only withdrawn ones, only others, or all.
        """
        walk = self.table.c
        found: list[ColumnElement[bool]] = [walk.job_id == job_id]
        if is_withdrawn is not None:
            found.append(walk.withdrawn_at.is_not(None) if is_withdrawn else walk.withdrawn_at.is_(None))
        return found
