"""What a database or a disk says when it fails, in our own tree of errors."""

from __future__ import annotations

import contextlib
import errno
import sqlite3
from collections.abc import Generator

from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError, PendingRollbackError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from courtwright.errors import BusyError, ConflictError, CourtwrightError, DamagedError, StoreError
from courtwright.says import say

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
#: The last one where this user's files may not grow any more.
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_READ_ONLY = {errno.EROFS, errno.EACCES, errno.EPERM}
#: PostgreSQL's classes of failure: serialisation or deadlock, lock not to be had, resources; going, coming or no
#: connection; damage.
_PG_BUSY = ("40001", "40P01", "55P03", "53300")
_PG_AWAY = ("57P01", "57P02", "57P03", "08")
_PG_DAMAGED = ("XX001", "XX002")


@contextlib.contextmanager
def told() -> Generator[None, None, None]:
    """Turn failures of the database and of the disk into errors that tell what to do.

    Raises
    ------
    BusyError
        If the same again will do.
    ConflictError
        If a rule of the database forbids the change.
    DamagedError
        If the database can no longer be read.
    StoreError
        If the disk is full or may not be written, or anything else keeps the store from working.
    """
    try:
        yield
    except CourtwrightError:
        raise
    except PoolTimeoutError as error:
        raise BusyError(say("store.busy"), fix=say("store.busy-do")) from error
    except IntegrityError as error:
        raise ConflictError(say("store.conflict"), fix=say("store.conflict-do")) from error
    except PendingRollbackError as error:
        raise BusyError(say("store.busy"), fix=say("store.busy-do")) from error
    except DBAPIError as error:
        raise _database(error) from error
    except OSError as error:
        raise disk(error) from error


def disk(error: OSError) -> StoreError:
    """Return what a failure of the disk means.

    Parameters
    ----------
    error : OSError
        As the system told it.
    """
    if error.errno in _FULL:
        return StoreError(say("store.full"), fix=say("store.full-do"))
    if error.errno in _READ_ONLY:
        return StoreError(say("store.read-only"), fix=say("store.read-only-do"))
    return StoreError(say("store.disk", why=(error.strerror or "?")), fix=say("store.disk-do"))


def _database(error: DBAPIError) -> CourtwrightError:
    original = error.orig
    if isinstance(original, sqlite3.Error):
        return _sqlite(original)
    state = str(getattr(original, "sqlstate", None) or "")
    if state.startswith(_PG_BUSY):
        return BusyError(say("store.busy"), fix=say("store.busy-do"))
    # Who is not let in by the server is told no state either.
    is_away = error.connection_invalidated or state.startswith(_PG_AWAY)
    if is_away or (not state and isinstance(error, OperationalError)):
        return BusyError(say("store.away"), fix=say("store.away-do"))
    if state in _PG_DAMAGED:
        return DamagedError(say("store.damaged"), fix=say("store.damaged-do"))
    if state == "53100":
        return StoreError(say("store.full"), fix=say("store.full-do"))
    if state == "25006":
        return StoreError(say("store.read-only"), fix=say("store.read-only-do"))
    return StoreError(say("store.database", why=type(original).__name__), fix=say("store.database-do"))


def _sqlite(error: sqlite3.Error) -> CourtwrightError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in _BUSY:
        return BusyError(say("store.busy"), fix=say("store.busy-do"))
    if code in _DAMAGED:
        return DamagedError(say("store.damaged"), fix=say("store.damaged-do"))
    if code == sqlite3.SQLITE_FULL:
        return StoreError(say("store.full"), fix=say("store.full-do"))
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return StoreError(say("store.read-only"), fix=say("store.read-only-do"))
    if code == sqlite3.SQLITE_CONSTRAINT:
        return ConflictError(say("store.conflict"), fix=say("store.conflict-do"))
    if code == sqlite3.SQLITE_IOERR:
        return StoreError(say("store.disk", why=str(error)), fix=say("store.disk-do"))
    return StoreError(say("store.database", why=type(error).__name__), fix=say("store.database-do"))
