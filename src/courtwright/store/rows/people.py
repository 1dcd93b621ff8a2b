"""The people of the company."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sqlalchemy import select

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

Role = Literal["head", "estimator", "crew"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Person(Kept):
    """Somebody of the company.

    Parameters
    ----------
    name, email : str
        As typed; the email in small letters, one person each.
    role : {"head", "estimator", "crew"}
        What they may do.
    language : {"en", "es"}
        In which they read.
    units : {"us", "metric"}
        In which they read numbers.
    password_hash : str or None
        By argon2id, with its salt and costs; None until they chose one.
    """

    name: str
    email: str
    role: Role
    language: Literal["en", "es"]
    units: Literal["us", "metric"]
    password_hash: str | None = field(default=None, repr=False)


class People(Rows[Person]):
    """The people."""

    table = tables.person
    record = Person

    def by_email(self, email: str) -> Person | None:
        """Return who has an email address, withdrawn or not, or None."""
        return self.one(self.table.c.email == email.strip().lower())

    def heads(self, *, lock: bool = False) -> tuple[Person, ...]:
        """Return who heads the company now, the oldest first; held until the unit ends where asked."""
        table = self.table.c
        where = (table.role == "head", table.withdrawn_at.is_(None))
        if lock:
            self.connection.execute(select(table.id).where(*where).order_by(table.id).with_for_update())
        return self.all(*where)
