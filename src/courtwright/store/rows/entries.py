"""One-time entries: links that let somebody in once, such as the one that a start of the service prints."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

#: What an entry opens: the first set-up; the work, as somebody; a new password for somebody.
Opens = Literal["set-up", "sign-in", "password"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry(Kept):
    """A link that lets somebody in once.

    Parameters
    ----------
    token_hash : str
        SHA-256 of the token in the link.
    opens : {"set-up", "sign-in", "password"}
        What it opens.
    person_id : str or None
        Whom it lets in; None for the set-up.
    expires_at, used_at : datetime or None
        When it ends, and when it was used.
    """

    token_hash: str = field(repr=False)
    opens: Opens
    person_id: str | None
    expires_at: dt.datetime
    used_at: dt.datetime | None


class Entries(Rows[Entry]):
    """The one-time entries. Their making and their use are events, and not written down beside them."""

    table = tables.entry
    record = Entry
    is_written_down = False

    def by_token(self, token_hash: str) -> Entry | None:
        """Return the entry of a token by its hash, used or not, or None."""
        return self.one(self.table.c.token_hash == token_hash)

    def withdraw_unused(self, *opens: Opens, person_id: str | None = None) -> None:
        """Withdraw what nobody has used: entries that open any of these, for one person when given."""
        table = self.table.c
        where = [table.opens.in_(opens), table.used_at.is_(None), table.withdrawn_at.is_(None)]
        for entry in self.all(*where, *([] if person_id is None else [table.person_id == person_id])):
            self.withdraw(entry.id)
