"""The store, open: units of work on its database, and its files."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Generator
from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import Connection, Engine

from courtwright.store.blobs import Blobs, blobs_at
from courtwright.store.engine import BUSY_MS, engine_for
from courtwright.store.failures import told
from courtwright.store.hand import Hand
from courtwright.store.migrate import upgrade
from courtwright.store.parts import Parts
from courtwright.store.unit import Unit


@dataclass(frozen=True, slots=True)
class Store:
    """An open store.

    Parameters
    ----------
    engine : Engine
        Of the database.
    blobs : Blobs
        Where files are kept.
    parts : Parts
        Where files lie that have not come as a whole; in this user's own folder unless given.
    """

    engine: Engine
    blobs: Blobs
    parts: Parts = field(default_factory=lambda: Parts(_usual()))
    # Writers of one process line up here, in turn, instead of asking SQLite again and again whether it is free.
    _turn: threading.Lock = field(default_factory=threading.Lock)

    @contextlib.contextmanager
    def reading(self) -> Generator[Unit, None, None]:
        """Open a unit that reads one state of the store.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with told(), self._connect_to_read() as connection, connection.begin():
            yield Unit(connection, self.blobs)

    def _connect_to_read(self) -> Connection:
        connection = self.engine.connect()
        if self.engine.dialect.name == "sqlite":
            return connection
        # Unless told, each of PostgreSQL's statements sees a state of its own; SQLite's see that of the first.
        return connection.execution_options(isolation_level="REPEATABLE READ")

    @contextlib.contextmanager
    def writing(self, hand: Hand) -> Generator[Unit, None, None]:
        """Open a unit that writes: on the disk when it ends well, without a trace when it does not.

        Parameters
        ----------
        hand : Hand
            Who changes, and when.

        Raises
        ------
        ConflictError
            If a rule of the database forbids the change.
        StoreError
            If the store cannot be written.
        """
        turn = self._turn if self.engine.dialect.name == "sqlite" else contextlib.nullcontext()
        with told(), turn, self.engine.connect().execution_options(writes=True) as connection, connection.begin():
            yield Unit(connection, self.blobs, hand)

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def open_store(database: str, files: str, parts: Path | None = None, busy_ms: int = BUSY_MS) -> Store:
    """Open a store, bringing its database to this release's form.

    Parameters
    ----------
    database : str
        Address of the database.
    files : str
        Folder or address of the files.
    parts : Path or None
        Folder of this machine for files that have not come as a whole; ``parts`` beside the files unless given.
    busy_ms : int
        How long to wait for another process that writes. [ms]

    Raises
    ------
    CallError
        If an address cannot be used.
    StoreError
        If the database is of a newer release, is damaged, or cannot be opened.
    """
    engine = engine_for(database, busy_ms)
    blobs = blobs_at(files)
    try:
        upgrade(engine)
    except BaseException:
        engine.dispose()
        raise
    return Store(engine, blobs, Parts(parts or _beside(files)))


def _beside(files: str) -> Path:
    return _usual() if "://" in files else Path(files).parent / "parts"


def _usual() -> Path:
    return user_data_path("courtwright", appauthor=False) / "parts"
