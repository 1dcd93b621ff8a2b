"""Steps of the database: they make what the tables say, from each step on, whoever comes at once."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import MetaData, create_engine, insert, inspect, select, text

from courtwright.errors import ConflictError
from courtwright.store import tables
from courtwright.store.bundle.lines import value_of
from courtwright.store.engine import engine_for
from courtwright.store.hand import Hand
from courtwright.store.migrate import STEPS, alembic_config, take_steps, upgrade
from courtwright.store.opened import Store, open_store
from courtwright.store.rows.house_rates import HOUSE_RATES
from tests.store.full_job import NOW

HAND = Hand("machine", NOW)


@pytest.fixture
def empty(database: str, tmp_path: Path) -> str:
    """Return the address of a database without any table."""
    if database.startswith("sqlite"):
        return f"sqlite:///{tmp_path}/empty.sqlite"
    engine = create_engine(database)
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return database


def test_the_steps_make_what_the_tables_say(store: Store):
    """No column, type, key or index more or less, in either database."""
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, tables.METADATA) == []


def test_the_steps_are_those_that_there_are():
    """The list by which a database is known to be of this release names every script, in their order."""
    scripts = ScriptDirectory.from_config(alembic_config()).walk_revisions()
    assert tuple(step.revision for step in scripts)[::-1] == STEPS


@pytest.mark.parametrize("step", STEPS[:-1])
def test_a_database_of_each_step_comes_to_this_release_with_its_rows(empty: str, tmp_path: Path, step: str):
    """A job and its history, kept under every step but the last, are there afterwards and guarded."""
    _at_step(empty, step)
    with contextlib.closing(open_store(empty, str(tmp_path / "files"))) as store:
        with store.reading() as unit:
            assert unit.jobs.get("1").note == "kept"
            assert [one.after for one in unit.changes.of("job", "1", most=9)] == [{"note": "kept"}]
        with pytest.raises(ConflictError), store.writing(HAND) as unit:
            unit.connection.execute(text("DELETE FROM job"))


def _at_step(address: str, step: str) -> None:
    """Make a database as it was after a step, with a job and its history."""
    engine = engine_for(address)
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        take_steps(connection, step)
        found = MetaData()
        found.reflect(connection)
        for name, row in (("job", _JOB), ("change", _CHANGE)):
            table = found.tables[name]
            values = {k: value_of(v, tables.METADATA.tables[name].c[k]) for k, v in row.items() if k in table.c}
            for column in table.columns:
                if column.name in tables.METADATA.tables[name].c:
                    column.type = tables.METADATA.tables[name].c[column.name].type
            connection.execute(insert(table).values(values))
    engine.dispose()


def test_a_database_without_own_rates_comes_to_have_a_place_for_them(empty: str, tmp_path: Path):
    """There are none at first; once kept they are changed and told, and never deleted."""
    engine = engine_for(empty)
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        take_steps(connection, "0002")
    engine.dispose()
    own = {"overhead": {"value": 18.0, "unit": "pct", "date": "2026-03-01", "note": ""}}
    with contextlib.closing(open_store(empty, str(tmp_path / "files"))) as store:
        with store.writing(HAND) as unit:
            assert unit.house_rates.now() == {}
            unit.house_rates.add(HOUSE_RATES, rates={})
            assert unit.house_rates.change(HOUSE_RATES, 1, rates=own).version == 2
        with store.reading() as unit:
            assert unit.house_rates.now() == own
            told = unit.changes.of("house_rates", HOUSE_RATES, most=9)
            assert [(one.action, one.after) for one in told] == [("made", {"rates": {}}), ("changed", {"rates": own})]
        with pytest.raises(ConflictError), store.writing(HAND) as unit:
            unit.connection.execute(text("DELETE FROM house_rates"))


_AT = NOW.isoformat()
_JOB = {
    "id": "1",
    "name": "n",
    "customer": None,
    "address": "",
    "stage": "call",
    "units": "us",
    "call": {"a": 1},
    "note": "kept",
    "sought": "n",
    "version": 1,
    "made_at": _AT,
    "changed_at": _AT,
}
_CHANGE = {"seq": 1, "at": _AT, "who": "m", "record": "job", "id": "1", "action": "made", "after": {"note": "kept"}}

_OPENS = """
import sys
from courtwright.store.opened import open_store
sys.stdin.readline()
with open_store(sys.argv[1], sys.argv[2]).reading() as unit:
    print(unit.jobs.count())
"""


def test_processes_that_open_a_new_database_at_once_take_turns(empty: str, tmp_path: Path):
    """Four of them: one makes the tables, all of them find them."""
    command = [sys.executable, "-c", _OPENS, empty, str(tmp_path / "files")]
    with contextlib.ExitStack() as stack:
        many = [
            stack.enter_context(subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True))
            for _ in range(4)
        ]
        for one in many:
            assert one.stdin is not None
            one.stdin.write("go\n")
            one.stdin.flush()
        assert [one.communicate()[0] for one in many] == ["0\n"] * 4


def test_a_database_of_this_release_is_opened_without_writing_to_it(database: str):
    """Nothing is done where nothing is to be done."""
    engine = engine_for(database)
    with engine.connect() as connection:
        before = sorted(inspect(connection).get_table_names())
    upgrade(engine)
    with engine.connect() as connection:
        assert sorted(inspect(connection).get_table_names()) == before
        assert connection.execute(select(tables.change)).all() == []
    engine.dispose()
