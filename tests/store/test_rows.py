"""Records: each change is written down, nothing is deleted, and the database itself sees to it."""

from __future__ import annotations

import datetime as dt
import itertools
import uuid
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Column, Date, Integer, LargeBinary, Table, delete, insert, select, text, update

from courtwright.desk.office import Office
from courtwright.errors import ConflictError, MissingError, StaleError
from courtwright.store import tables
from courtwright.store.bundle.contents import CACHES
from courtwright.store.columns import Instant, Plain
from courtwright.store.hand import Hand
from courtwright.store.opened import Store
from courtwright.store.rows.changes import Change
from tests.store.full_job import NOW, add_job, add_person, id_of

HAND = Hand("machine", NOW)
#: No database keeps half a character, and PostgreSQL no zero in a text.
TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
PLAIN = st.recursive(st.none() | st.booleans() | st.integers(-9, 9) | TEXT, lambda s: st.lists(s, max_size=3))
VALUES = st.fixed_dictionaries(
    {},
    optional={
        "name": TEXT,
        "note": TEXT,
        "customer": st.sampled_from([None, "club", "school"]),
        "stage": st.sampled_from(["call", "walk", "price"]),
        "call": st.dictionaries(TEXT, PLAIN, max_size=3),
    },
)
ACTIONS = st.lists(st.one_of(VALUES, st.sampled_from(["withdraw", "bring back", "stale"])), max_size=8)


def _blank() -> dict[str, Any]:
    return {"name": "", "address": "", "note": "", "customer": None, "stage": "call", "units": "us", "call": {}}


# --- laws ---------------------------------------------------------------------------------------


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ACTIONS)
def test_the_history_replayed_is_the_record(store: Store, actions: list[Any]):
    """Whatever is done: each change tells what was there before, and all of them make what is there now."""
    id, ticks = str(uuid.uuid4()), itertools.count()
    with store.writing(Hand("ana", NOW)) as unit:
        unit.jobs.add(id, **_blank())
    for action in actions:
        with store.writing(Hand("ben", NOW + dt.timedelta(seconds=next(ticks)))) as unit:
            before = unit.jobs.get(id)
            match action:
                case "withdraw":
                    unit.jobs.withdraw(id, before.version)
                case "bring back":
                    unit.jobs.bring_back(id)
                case "stale":
                    with pytest.raises(StaleError):
                        unit.jobs.change(id, before.version - 1, note="late")
                case _:
                    unit.jobs.change(id, before.version, **action)
    with store.reading() as unit:
        now, history = unit.jobs.get(id), unit.changes.of("job", id, most=99)
    assert now.version == len(history)
    assert _replayed(history) == {
        **{name: getattr(now, name) for name in _blank()},
        "withdrawn_at": None if now.withdrawn_at is None else now.withdrawn_at.isoformat(),
    }


def _replayed(history: tuple[Change, ...]) -> dict[str, Any]:
    state: dict[str, Any] = {"withdrawn_at": None}
    for number, change in enumerate(history):
        assert (change.before is None) == (number == 0)
        assert change.after is not None
        for name, value in (change.before or {}).items():
            assert state[name] == value
        assert (change.before or {}) != change.after
        state |= change.after
    return state


def test_what_is_withdrawn_is_there_and_comes_back(store: Store):
    """With its history: made, withdrawn, brought back; a second time changes nothing."""
    with store.writing(HAND) as unit:
        unit.jobs.add("one", **_blank())
        assert unit.jobs.withdraw("one").withdrawn_at == NOW
        assert unit.jobs.withdraw("one").version == 2
        assert unit.jobs.page(*unit.jobs.matching(), most=9) == ()
        assert [one.id for one in unit.jobs.page(*unit.jobs.matching(is_withdrawn=True), most=9)] == ["one"]
        assert unit.jobs.bring_back("one").withdrawn_at is None
        assert unit.jobs.bring_back("one").version == 3
    with store.reading() as unit:
        assert [one.action for one in unit.changes.of("job", "one", most=9)] == ["made", "withdrawn", "brought back"]


def test_a_secret_is_in_no_history(store: Store):
    """That a password was set is told; its hash is not, and no representation of the record shows it."""
    with store.writing(HAND) as unit:
        who = {"name": "Ana", "email": "a@example.org", "role": "head", "language": "en", "units": "us"}
        unit.people.add("ana", **who, password_hash=None)
        person = unit.people.change("ana", None, password_hash="$argon2id$a-secret")
        assert "a-secret" not in repr(person)
        last = unit.changes.of("person", "ana", most=9)[-1]
    assert (last.before, last.after) == ({"password_hash": False}, {"password_hash": True})


def test_every_column_that_holds_a_hash_of_a_secret_is_hidden():
    """A column that is added has to be marked."""
    columns = [column for table in tables.METADATA.sorted_tables for column in table.columns]
    hashes = {str(column) for column in columns if column.name.endswith("_hash")}
    assert hashes
    assert {str(column) for column in columns if column.info.get("hidden")} >= hashes


# --- refusals -----------------------------------------------------------------------------------


def test_there_is_no_record_that_nobody_made(store: Store):
    """It is told what kind is missing."""
    with pytest.raises(MissingError), store.reading() as unit:
        unit.jobs.get("nobody")


def test_a_unit_that_reads_cannot_write(store: Store):
    """It has no hand."""
    with pytest.raises(RuntimeError), store.reading() as unit:
        unit.jobs.add("one", **_blank())


RECORDS = [t.name for t in tables.METADATA.sorted_tables if "version" in t.c]
LEDGERS = [t.name for t in tables.METADATA.sorted_tables if "version" not in t.c and t.name not in (*CACHES, "once")]


@pytest.fixture
def filled(office: Office) -> Store:
    """Return a store with a row in every table."""
    add_person(office)
    add_job(office)
    with office.store.writing(HAND) as unit:
        for table in tables.METADATA.sorted_tables:
            if unit.connection.execute(select(table)).first() is None:
                unit.connection.execute(insert(table).values({c.name: _any(c) for c in table.columns}))
    return office.store


def _any(column: Column[Any]) -> Any:
    """Return a value that a column takes."""
    for key in column.foreign_keys:
        name = key.column.table.name
        return id_of("ana") if name == "person" else id_of("greens") if name == "job" else id_of(f"greens {name}")
    match column.type:
        case Instant():
            return NOW
        case Plain():
            return {}
        case Date():
            return NOW.date()
        case LargeBinary():
            return b""
        case Integer():
            return 1
        case _:
            return id_of(column.name)[: getattr(column.type, "length", None) or 36]


def test_the_database_refuses_to_delete_and_to_change_what_only_grows(filled: Store):
    """Every record and every ledger refuses a deletion, every ledger a change, whoever asks, and nothing is changed."""
    assert set(LEDGERS) >= {"change", "event", "walk_update", "acceptance", "seal", "blob"}
    for name in (*RECORDS, *LEDGERS):
        table = tables.METADATA.tables[name]
        _refused(filled, delete(table))
        if filled.engine.dialect.name == "postgresql":
            _refused(filled, text(f"TRUNCATE {name} CASCADE"))
        if name in LEDGERS:
            _refused(filled, update(table).values({column.name: column for column in table.columns}))


def _refused(store: Store, statement: Any) -> None:
    before = _rows(store)
    with pytest.raises(ConflictError), store.writing(HAND) as unit:
        unit.connection.execute(statement)
    assert _rows(store) == before


def _rows(store: Store) -> list[int]:
    with store.reading() as unit:
        return [len(unit.connection.execute(select(t)).all()) for t in tables.METADATA.sorted_tables]


@pytest.mark.parametrize("column", [c.name for c in tables.offer.columns])
def test_the_database_refuses_every_change_of_an_accepted_offer(filled: Store, column: str):
    """Not one column of it changes."""
    with pytest.raises(ConflictError), filled.writing(HAND) as unit:
        unit.connection.execute(update(tables.offer).values({column: _other(tables.offer, column)}))


def _other(table: Table, name: str) -> Any:
    match table.c[name].type:
        case Instant():
            return NOW + dt.timedelta(days=9)
        case Plain():
            return {"other": 1}
        case Date():
            return dt.date(2030, 1, 1)
        case Integer():
            return 99
        case _:
            return {"job_id": id_of("greens"), "walk_id": id_of("greens walk")}.get(name, "x")
