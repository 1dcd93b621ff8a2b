"""Who is signed in: people by their password or a one-time link, customers by their offer's link."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from sqlalchemy import bindparam, select, update

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows
from courtwright.store.rows.people import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Session(Kept):
    """One browser that is signed in.

    Parameters
    ----------
    token_hash : str
        SHA-256 of the token in its cookie.
    person_id, link_id : str or None
        The person, or the customer's link; one of both.
    seen_at, expires_at : datetime
        When it was last used, to the hour; and when it ends in any case.
    """

    token_hash: str = field(repr=False)
    person_id: str | None
    link_id: str | None
    seen_at: dt.datetime
    expires_at: dt.datetime


@dataclass(frozen=True, slots=True)
class PersonSeen:
    """What a person's session needs to know of the person.

    Parameters
    ----------
    role : {"head", "estimator", "crew"}
        What they may do now.
    withdrawn_at : datetime or None
        When they left the company, if they did.
    """

    role: Role
    withdrawn_at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class LinkSeen:
    """What a customer's session needs to know of its link.

    Parameters
    ----------
    offer_id : str
        The one offer that it opens.
    expires_at, withdrawn_at : datetime or None
        When it ends, and when it was taken back.
    """

    offer_id: str
    expires_at: dt.datetime
    withdrawn_at: dt.datetime | None


#: Made once: every request of the company asks it.
_OF_PERSON = (
    select(tables.session, tables.person.c.role, tables.person.c.withdrawn_at.label("left_at"))
    .join(tables.person, tables.person.c.id == tables.session.c.person_id)
    .where(tables.session.c.token_hash == bindparam("wanted"))
)


class Sessions(Rows[Session]):
    """Who is signed in. Coming and going are events, and not written down beside them."""

    table = tables.session
    record = Session
    is_written_down = False

    def by_token(self, token_hash: str) -> Session | None:
        """Return the session of a token by its hash, ended or not, or None."""
        return self.one(self.table.c.token_hash == token_hash)

    def of_person(self, token_hash: str) -> tuple[Session, PersonSeen] | None:
        """Return the session of a person by the hash of its token, ended or not, with whose it is; or None."""
        row = self.connection.execute(_OF_PERSON, {"wanted": token_hash}).mappings().one_or_none()
        return None if row is None else (self._made(row), PersonSeen(row["role"], row["left_at"]))

    def of(self, person_id: str) -> tuple[Session, ...]:
        """Return the sessions of a person that nobody has ended, oldest first."""
        return self.all(self.table.c.person_id == person_id, self.table.c.withdrawn_at.is_(None))

    def end_all(self, person_id: str) -> int:
        """End every session of a person, and return how many those were. [-]"""
        open_now = self.of(person_id)
        for session in open_now:
            self.withdraw(session.id)
        return len(open_now)

    def touch(self, id: str) -> None:
        """Note that a session is in use now; of two that do so at once, either may be the last."""
        table = self.table
        at = self.hand.at
        self.connection.execute(
            update(table).where(table.c.id == id).values(seen_at=at, changed_at=at, version=table.c.version + 1)
        )

    def link(self, link_id: str) -> LinkSeen | None:
        """Return the link of a customer's session, or None."""
        link = tables.link.c
        query = select(link.offer_id, link.expires_at, link.withdrawn_at).where(link.id == link_id)
        row = self.connection.execute(query).mappings().one_or_none()
        return None if row is None else LinkSeen(**row)
