"""Brings a database to this release's form: all steps or none, and never back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DatabaseError

from courtwright.errors import StoreError
from courtwright.says import say
from courtwright.store.columns import METADATA
from courtwright.store.failures import told

if TYPE_CHECKING:
    from alembic.config import Config

#: Every step that this release knows, the first one first. Named here too, so that a database that has them all is
#: opened without loading what takes steps.
STEPS = ("0001", "0002", "0003")
_SCRIPTS = Path(__file__).parent / "migrations"
#: Where alembic writes the last step down.
_STEP_TABLE = "alembic_version"
#: Any number will do, as long as it is ours: two processes that start at once take turns.
_LOCK = 0x_C0_0127


def upgrade(engine: Engine) -> None:
    """Bring a database to this release's form.

    Parameters
    ----------
    engine : Engine
        Of the database; a new one gets its tables.

    Raises
    ------
    StoreError
        If it was made by a newer release, was left half-way by something else than us, or cannot be written.
    """
    with told():
        with engine.connect() as connection:
            if is_latest(connection):
                return
        with engine.connect().execution_options(writes=True) as connection, connection.begin():
            if engine.dialect.name == "postgresql":
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
            upgrade_within(connection)


def upgrade_within(connection: Connection) -> None:
    """Bring a database to this release's form inside the transaction of a connection.

    Raises
    ------
    StoreError
        As `upgrade` does.
    """
    if not is_latest(connection):
        take_steps(connection)


def take_steps(connection: Connection, to: str = "head") -> None:
    """Take every step that is missing up to one, inside the transaction of the connection.

    Raises
    ------
    StoreError
        If a step cannot be taken.
    """
    from alembic import command

    config = alembic_config()
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, to)
    except DatabaseError as error:
        raise StoreError(
            say("store.migration", why=type(error.orig).__name__), fix=say("store.migration-do")
        ) from error


def is_latest(connection: Connection) -> bool:
    """Tell whether a database has this release's form.

    Raises
    ------
    StoreError
        If it was made by a newer release, or was left half-way by something else than us.
    """
    there = set(inspect(connection).get_table_names())
    found = _step(connection) if _STEP_TABLE in there else None
    if found is None:
        if there & set(METADATA.tables):
            raise StoreError(say("store.half-way"), fix=say("store.half-way-do"))
        return False
    if found not in STEPS:
        raise StoreError(say("store.newer", revision=found), fix=say("store.newer-do"))
    return found == STEPS[-1]


def _step(connection: Connection) -> str | None:
    """Return the last step that a database took, or None."""
    return connection.execute(text(f"SELECT version_num FROM {_STEP_TABLE}")).scalar()


def alembic_config() -> Config:
    """Return the settings by which steps are found."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    return config
