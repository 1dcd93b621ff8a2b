"""Acceptances of offers: they only grow, one to an offer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, insert, select

from courtwright.store import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """That an offer was accepted.

    Parameters
    ----------
    id, offer_id : str
        Its own id, and that of the offer.
    options : mapping of str to str
        The option that was chosen, by pad.
    name : str
        Who accepts, as typed or as signed.
    consent : str
        The sentence that was agreed to.
    signed_on : date or None
        The date beside a signature on paper; None when it came by link.
    at : datetime
        When it was recorded, in UTC.
    who : str
        Who recorded it: ``link:<id>`` of the customer, or the id of a person.
    """

    id: str
    offer_id: str
    options: Mapping[str, str]
    name: str
    consent: str
    signed_on: dt.date | None
    at: dt.datetime
    who: str


class Acceptances:
    """The acceptances, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, offer_id: str) -> Acceptance | None:
        """Return the acceptance of an offer, or None."""
        query = select(tables.acceptance).where(tables.acceptance.c.offer_id == offer_id)
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else Acceptance(**row)

    def add(self, acceptance: Acceptance) -> None:
        """Write an acceptance down, for good."""
        self._connection.execute(insert(tables.acceptance).values(asdict(acceptance)))
