"""Invitations: who may join the company, as what, and until when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation(Kept):
    """A link by which one person may join.

    Parameters
    ----------
    token_hash : str
        SHA-256 of the token in the link.
    role, email : str
        As what, and under which email address.
    expires_at : datetime
        When the link ends.
    made_by : str
        Who invited.
    person_id : str or None
        Who joined by it; None until then.
    """

    token_hash: str = field(repr=False)
    role: Literal["head", "estimator", "crew"]
    email: str
    expires_at: dt.datetime
    made_by: str
    person_id: str | None


class Invitations(Rows[Invitation]):
    """The invitations."""

    table = tables.invitation
    record = Invitation

    def by_token(self, token_hash: str) -> Invitation | None:
        """Return the invitation of a token by its hash, used up or not, or None."""
        return self.one(self.table.c.token_hash == token_hash)

    def waiting(self, email: str | None = None) -> tuple[Invitation, ...]:
        """Return those that nobody has used or withdrawn, expired or not, oldest first; to one address when given."""
        table = self.table.c
        where = [table.person_id.is_(None), table.withdrawn_at.is_(None)]
        return self.all(*where, *([] if email is None else [table.email == email]))
