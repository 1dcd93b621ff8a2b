"""A look through the whole store finds what is no longer what was kept."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from courtwright.desk.office import Office
from courtwright.store.keys import Keys
from courtwright.store.opened import open_store
from courtwright.store.verify import verify
from tests.store.full_job import add_job, add_person, id_of, walked


@pytest.fixture
def full(office: Office) -> Office:
    """Return an office with one person and one whole job."""
    add_person(office)
    add_job(office)
    return office


def behind_the_guards(office: Office, change: Callable[[Connection], None]) -> None:
    """Change what the database refuses to change, as somebody with a tool of their own could."""
    engine = office.store.engine
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        if engine.dialect.name == "sqlite":
            triggers = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars().all()
            for name in triggers:
                connection.execute(text(f"DROP TRIGGER {name}"))
        else:
            connection.execute(text("SET session_replication_role = replica"))
        change(connection)
        if engine.dialect.name != "sqlite":
            connection.execute(text("SET session_replication_role = DEFAULT"))


def test_a_whole_store_has_nothing_to_tell(full: Office):
    """And each file of it was read: the progress is told."""
    seen: list[tuple[int, int]] = []
    assert verify(full.store, progress=lambda done, of: seen.append((done, of))) == ()
    assert seen == [(number, 4) for number in range(1, 5)]


def test_a_change_that_nobody_wrote_down_is_found(full: Office):
    """The record's version does not fit its history."""

    def change(connection: Connection) -> None:
        connection.execute(text("UPDATE job SET note = 'mine', version = version + 1"))

    behind_the_guards(full, change)
    assert [(one.code, one.at) for one in verify(full.store)] == [("history-gap", id_of("greens"))]


def test_a_line_taken_out_of_the_history_is_found(full: Office):
    """One of the job's two changes is gone."""

    def change(connection: Connection) -> None:
        connection.execute(text("DELETE FROM change WHERE record = 'job' AND action = 'changed'"))

    behind_the_guards(full, change)
    assert [(one.code, one.at) for one in verify(full.store)] == [("history-gap", id_of("greens"))]


def test_an_update_that_was_changed_is_found(full: Office):
    """Its bytes are not those of its hash."""

    def change(connection: Connection) -> None:
        values = {"other": walked()[0], "sha256": "0" * 64}
        connection.execute(text("UPDATE walk_update SET sha256 = :sha256 WHERE body = :other"), values)

    behind_the_guards(full, change)
    assert [(one.code, one.at) for one in verify(full.store)] == [("update-damaged", id_of("greens walk"))]


def test_a_row_that_leads_nowhere_is_found(sqlite_template: Path, tmp_path: Path):
    """Its job is gone; only SQLite lets anybody do that."""
    shutil.copy(sqlite_template, tmp_path / "s.sqlite")
    with contextlib.closing(open_store(f"sqlite:///{tmp_path}/s.sqlite", str(tmp_path / "f"))) as store:
        office = Office(store, keys=Keys(tmp_path / "keys"))
        add_person(office)
        add_job(office)
        with contextlib.closing(sqlite3.connect(tmp_path / "s.sqlite")) as other:
            other.execute("DROP TRIGGER guard_job_delete")
            other.execute("DELETE FROM job")
            other.commit()
        assert {one.code for one in verify(store)} == {"leads-nowhere"}
