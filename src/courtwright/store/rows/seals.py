"""The seals as they are kept: a chain that only grows. What they mean is in `store.seals`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, func, insert, select

from courtwright.store import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """One seal.

    Parameters
    ----------
    chain : str
        Id of the first key of the office that sealed.
    seq : int
        Place in that chain, from 1. [-]
    offer_id : str
        The offer that is sealed.
    at : datetime
        When, in UTC.
    body : str
        What is sealed, as canonical JSON.
    previous, mac : str
        The code of the seal before it, 64 zeros for the first; and its own.
    key_id : str
        Of the key.
    """

    chain: str
    seq: int
    offer_id: str
    at: dt.datetime
    body: str
    previous: str
    mac: str
    key_id: str


class Seals:
    """The seals, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, offer_id: str) -> Seal | None:
        """Return the seal of an offer, or None."""
        query = select(tables.seal).where(tables.seal.c.offer_id == offer_id)
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else Seal(**row)

    def all(self) -> tuple[Seal, ...]:
        """Return every seal, chain by chain in its order."""
        query = select(tables.seal).order_by(tables.seal.c.chain, tables.seal.c.seq)
        return tuple(Seal(**row) for row in self._connection.execute(query).mappings())

    def last(self, key_ids: Collection[str]) -> Seal | None:
        """Return the last seal that one of these keys made, or None."""
        table = tables.seal
        query = select(table).where(table.c.key_id.in_(tuple(key_ids))).order_by(table.c.seq.desc()).limit(1)
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else Seal(**row)

    def brought_along(self) -> frozenset[str]:
        """Return the chains whose every offer came here with a job that was unpacked."""
        seal, offer, event = tables.seal.c, tables.offer.c, tables.event.c
        came = select(event.seq).where(event.what == "unpacked", event.about == offer.job_id).exists()
        joined = select(seal.chain).distinct().join(tables.offer, offer.id == seal.offer_id)
        chains = set(self._connection.execute(joined.where(came)).scalars())
        return frozenset(chains - set(self._connection.execute(joined.where(~came)).scalars()))

    def keys_used(self) -> frozenset[tuple[str, str]]:
        """Return the keys that sealed, by id, each with the chain in which it did."""
        query = select(tables.seal.c.chain, tables.seal.c.key_id).distinct()
        return frozenset((row.chain, row.key_id) for row in self._connection.execute(query))

    def add(self, seal: Seal) -> None:
        """Write a seal down, for good."""
        self._connection.execute(insert(tables.seal).values(asdict(seal)))

    def take_turns(self) -> None:
        """Let nobody else seal until the unit ends; SQLite has one writer at a time as it is."""
        if self._connection.dialect.name == "postgresql":
            self._connection.execute(select(func.pg_advisory_xact_lock(_TURN)))


#: Any number will do, as long as it is ours alone.
_TURN = 0x_5EA1_0127
