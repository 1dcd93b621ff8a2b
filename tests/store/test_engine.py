"""A database as it has to be opened: nothing lost, one state read, one writer at a time."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest

from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.jobs import open_job
from courtwright.desk.office import Office
from courtwright.errors import CallError, ConflictError
from courtwright.store.engine import engine_for, file_of
from courtwright.store.hand import Hand
from courtwright.store.opened import Store, open_store
from tests.store.full_job import NOW

HAND = Hand("machine", NOW)


# --- laws ---------------------------------------------------------------------------------------


def test_sqlite_keeps_what_it_acknowledged(tmp_path: Path):
    """A log beside it, flushed with each commit; foreign keys; no code from the file."""
    with contextlib.closing(open_store(f"sqlite:///{tmp_path}/s.sqlite", str(tmp_path / "f"), busy_ms=77)) as store:
        asked = ("journal_mode", "synchronous", "foreign_keys", "trusted_schema", "busy_timeout")
        with store.engine.connect() as connection:
            said = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in asked}
    full = 2
    assert said == {
        "journal_mode": "wal",
        "synchronous": full,
        "foreign_keys": 1,
        "trusted_schema": 0,
        "busy_timeout": 77,
    }


def test_a_unit_that_reads_sees_one_state(office: Office):
    """What is written meanwhile is seen by the next unit, in either database."""
    open_job(office, THE_MACHINE, {"name": "first"})
    with office.reading() as unit:
        assert unit.jobs.count() == 1
        open_job(office, THE_MACHINE, {"name": "second"})
        assert unit.jobs.count() == 1
    with office.reading() as unit:
        assert unit.jobs.count() == 2


def test_a_unit_that_fails_leaves_no_trace(office: Office):
    """All or nothing."""

    def write_and_fail() -> None:
        with office.writing(THE_MACHINE) as unit:
            unit.jobs.add(office.new_id(), **_blank())
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    with office.reading() as unit:
        assert unit.jobs.count() == 0


def test_the_address_of_a_file_leads_to_it():
    """Relative or not; PostgreSQL and memory have none."""
    assert file_of("sqlite:///a/b.sqlite") == Path("a/b.sqlite")
    assert file_of("sqlite://") is None
    assert file_of("postgresql://localhost/x") is None


# --- refusals -----------------------------------------------------------------------------------


def test_a_row_that_leads_nowhere_is_refused(store: Store):
    """An assignment to a job that is not there."""
    with pytest.raises(ConflictError), store.writing(HAND) as unit:
        unit.assignments.add("a", job_id="nowhere", person_id="nobody")


def test_an_id_that_is_taken_is_refused(store: Store):
    """Twice the same id: the second is told."""
    with store.writing(HAND) as unit:
        unit.jobs.add("one", **_blank())
    with pytest.raises(ConflictError), store.writing(HAND) as unit:
        unit.jobs.add("one", **_blank())


@pytest.mark.parametrize("address", ["", "courtwright.sqlite", "mysql://localhost/x", "sqlite+aiosqlite:///x", "://"])
def test_an_address_of_something_else_is_told(address: str):
    """With the two that are taken."""
    with pytest.raises(CallError):
        engine_for(address)


def _blank() -> dict[str, object]:
    return {"name": "", "address": "", "note": "", "customer": None, "stage": "call", "units": "us", "call": {}}
