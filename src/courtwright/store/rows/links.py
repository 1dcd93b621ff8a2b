"""Links by which customers reach one offer each: the token is only known to who has it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal, get_args

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

Scope = Literal["read", "accept"]
SCOPES: tuple[Scope, ...] = get_args(Scope)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link(Kept):
    """A link to one offer.

    Parameters
    ----------
    offer_id : str
        The one offer that it opens.
    token_hash : str
        SHA-256 of its token.
    scope : str
        One of `SCOPES`: to read and ask, or to accept and decline as well.
    expires_at : datetime
        When it ends.
    made_by : str
        Who made it.
    """

    offer_id: str
    token_hash: str = field(repr=False)
    scope: Scope
    expires_at: dt.datetime
    made_by: str


class Links(Rows[Link]):
    """The links."""

    table = tables.link
    record = Link

    def by_token(self, token_hash: str) -> Link | None:
        """Return the link of a token by its hash, ended or not, or None."""
        return self.one(self.table.c.token_hash == token_hash)

    def of(self, offer_id: str) -> tuple[Link, ...]:
        """Return every link of an offer, oldest first."""
        return self.all(self.table.c.offer_id == offer_id)
