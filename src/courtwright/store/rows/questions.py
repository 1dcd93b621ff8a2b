"""What customers ask about an offer, and what they are answered."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import func, select

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Kept):
    """One question.

    Parameters
    ----------
    offer_id, link_id : str
        About which offer, and through which link it came.
    text : str
        As typed.
    answer : str or None
        As typed; None while nobody has answered.
    """

    offer_id: str
    link_id: str
    text: str
    answer: str | None


class Questions(Rows[Question]):
    """The questions."""

    table = tables.question
    record = Question

    def of(self, offer_id: str) -> tuple[Question, ...]:
        """Return every question about an offer, oldest first."""
        return self.all(self.table.c.offer_id == offer_id)

    def through(self, link_id: str) -> tuple[Question, ...]:
        """Return every question that came through a link, oldest first."""
        return self.all(self.table.c.link_id == link_id)

    def count_since(self, link_id: str, moment: dt.datetime) -> int:
        """Return how many questions came through a link after a moment. [-]"""
        table = self.table.c
        query = select(func.count()).where(table.link_id == link_id, table.made_at > moment)
        return self.connection.execute(query).scalar_one()
