"""Whether a store can be read and written just now, found out without changing anything in it."""

from __future__ import annotations

from sqlalchemy import false, update

from courtwright.errors import StoreError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.hand import Hand
from courtwright.store.migrate import is_latest
from courtwright.store.opened import Store


def check_database(store: Store, hand: Hand) -> None:
    """Read the database and begin to write it.

    Raises
    ------
    StoreError
        If it cannot be read or written, or another release has changed its form.
    """
    with store.reading() as unit:
        if not is_latest(unit.connection):
            raise StoreError(say("store.half-way"), fix=say("store.half-way-do"))
    with store.writing(hand) as unit:
        # Takes the right to write, and writes no row.
        unit.connection.execute(update(tables.task).where(false()).values(done=0))


def check_files(store: Store) -> None:
    """Begin to write a file.

    Raises
    ------
    StoreError
        If there is no room, or no place, or it may not be written.
    """
    store.blobs.check()
