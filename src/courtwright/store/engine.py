"""Opens a database: SQLite in a file, or PostgreSQL by its address; what each must do to lose nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from courtwright.errors import CallError, StoreError
from courtwright.says import say
from courtwright.store.failures import told

#: How long a command waits for another process that writes. [ms]
BUSY_MS = 10_000
_POOL = 16
_SPOKEN = ("sqlite", "sqlite+pysqlite", "postgresql", "postgresql+psycopg")
#: How every SQLite database begins.
_HEAD = b"SQLite format 3\x00"


def engine_for(address: str, busy_ms: int = BUSY_MS) -> Engine:
    """Return an engine for a database.

    Parameters
    ----------
    address : str
        ``sqlite:///<file>`` or ``postgresql://<user>:<password>@<host>/<name>``.
    busy_ms : int
        How long to wait for another process that writes. [ms]

    Raises
    ------
    CallError
        If the address is neither, or PostgreSQL's driver is not installed.
    StoreError
        If the file is no database, or one whose last changes are left without it.
    """
    url = _checked(address)
    if url.get_backend_name() == "sqlite":
        require_file(file_of(address))
        return _sqlite(url, busy_ms)
    try:
        return create_engine(
            url.set(drivername="postgresql+psycopg"),
            pool_size=_POOL,
            max_overflow=4,
            connect_args={"options": f"-c lock_timeout={busy_ms}"},
        )
    except ModuleNotFoundError as error:
        raise CallError(say("store.no-driver"), fix=say("store.no-driver-do")) from error


def _checked(address: str) -> URL:
    try:
        url = make_url(address)
    except ArgumentError as error:
        raise CallError(say("store.address"), fix=say("store.address-do")) from error
    if url.drivername not in _SPOKEN:
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


def require_file(file: Path | None) -> None:
    """Refuse a file that is no database, and one that SQLite would begin anew over changes that are not in it yet.

    Parameters
    ----------
    file : Path or None
        Of the database; None for one in memory.

    Raises
    ------
    StoreError
        If so.
    """
    if file is None:
        return
    with told():
        log = file.with_name(f"{file.name}-wal")
        size = file.stat().st_size if file.is_file() else 0
        if size == 0 and log.is_file() and log.stat().st_size > 0:
            raise StoreError(say("store.wal-alone"), where=str(file), fix=say("store.wal-alone-do"))
        if file.is_dir() or (size > 0 and not _begins_as_one(file)):
            raise StoreError(say("store.not-database"), where=str(file), fix=say("store.not-database-do"))


def _begins_as_one(file: Path) -> bool:
    with file.open("rb") as handle:
        return handle.read(len(_HEAD)) == _HEAD


def _sqlite(url: URL, busy_ms: int) -> Engine:
    engine = create_engine(
        url,
        poolclass=QueuePool,
        pool_size=_POOL,
        max_overflow=64,
        connect_args={"timeout": busy_ms / 1000, "check_same_thread": False},
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: object) -> None:
    # Transactions are begun by `_begin`: the driver's own way would leave changes of the schema outside of them.
    connection.isolation_level = None
    run = connection.execute
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
