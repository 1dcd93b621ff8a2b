"""Opens a database: SQLite in a file, or PostgreSQL by its address; what each must do to lose nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from courtwright.errors import CallError
from courtwright.says import say

#: How long a command waits for another process that writes. [ms]
BUSY_MS = 10_000
_POOL = 16


def engine_for(address: str) -> Engine:
    """Return an engine for a database.

    Parameters
    ----------
    address : str
        ``sqlite:///<file>`` or ``postgresql://<user>:<password>@<host>/<name>``.

    Raises
    ------
    CallError
        If the address is neither, or PostgreSQL's driver is not installed.
    """
    url = _checked(address)
    if url.get_backend_name() == "sqlite":
        return _sqlite(url)
    try:
        return create_engine(url.set(drivername="postgresql+psycopg"), pool_size=_POOL, max_overflow=4)
    except ModuleNotFoundError as error:
        raise CallError(say("store.no-driver"), fix=say("store.no-driver-do")) from error


def _checked(address: str) -> URL:
    try:
        url = make_url(address)
    except ArgumentError as error:
        raise CallError(say("store.address"), fix=say("store.address-do")) from error
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise CallError(say("store.address"), fix=say("store.address-do"))
    return url


def file_of(address: str) -> Path | None:
    """Return the file of a database that is one, or None.

    Raises
    ------
    CallError
        If the address is none.
    """
    url = _checked(address)
    is_file = url.get_backend_name() == "sqlite" and url.database not in (None, "", ":memory:")
    return Path(str(url.database)) if is_file else None


def _sqlite(url: URL) -> Engine:
    engine = create_engine(
        url,
        poolclass=QueuePool,
        pool_size=_POOL,
        max_overflow=64,
        connect_args={"timeout": BUSY_MS / 1000, "check_same_thread": False},
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: object) -> None:
    # Transactions are begun by `_begin`: the driver's own way would leave changes of the schema outside of them.
    connection.isolation_level = None
    run = connection.execute
    run(f"PRAGMA busy_timeout = {BUSY_MS}")
    run("PRAGMA journal_mode = WAL")
    # A commit that was acknowledged is on the disk, whatever fails next.
    run("PRAGMA synchronous = FULL")
    run("PRAGMA foreign_keys = ON")
    run("PRAGMA trusted_schema = OFF")
    run("PRAGMA cell_size_check = ON")


def _begin(connection: Connection) -> None:
    # A reader that turns writer half-way can be refused at any wait; so a writer says so at once.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
