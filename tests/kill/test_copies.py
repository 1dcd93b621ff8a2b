"""A backup or a restore killed half-way leaves nothing that looks whole and is not, and goes through when repeated."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import inspect

from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.jobs import open_job
from courtwright.desk.office import Office
from courtwright.store.backup import back_up, check_backup
from courtwright.store.engine import engine_for
from courtwright.store.opened import Store, open_store
from courtwright.store.verify import verify
from tests.kill.rounds import Nursery, gone
from tests.postgres_fixtures import SharedPostgres

KILLS = 4
#: At least so many of them must come before the end. [-]
CUT = 1
JOBS, FILES, FILE_SIZE = 100, 10, 300_000


@pytest.fixture
def full(store: Store) -> Store:
    """Keep enough that a backup takes a while."""
    office, chance = Office(store), random.Random(3)
    with office.writing(THE_MACHINE) as unit:
        for _ in range(FILES):
            unit.keep(chance.randbytes(FILE_SIZE))
        for number in range(JOBS):
            blank = {"address": "", "note": "", "customer": None, "stage": "call", "units": "us", "call": {}}
            unit.jobs.add(office.new_id(), name=f"job {number}", **blank)
    return store


def killed(nursery: Nursery, after: float, name: str, *given: str | Path) -> bool:
    """Kill what is named after a time; tell whether it was still at it."""
    pid, _ = nursery.begin(name, *given)
    time.sleep(after)
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return False
    gone(pid)
    return True


def duration(nursery: Nursery, name: str, *given: str | Path) -> float:
    """Return how long it takes when nobody kills it."""
    pid, _ = nursery.begin(name, *given)
    start = time.monotonic()
    gone(pid)
    return time.monotonic() - start


def test_a_backup_that_is_killed_has_no_name(full: Store, database: str, tmp_path: Path) -> None:
    """Under the name there is a whole file or none; the store is as it was, and the next backup is whole."""
    chance, target, files = random.Random(1), tmp_path / "backup.zip", tmp_path / "files"
    with Nursery.opened() as nursery:
        whole = duration(nursery, "back up", tmp_path / "first.zip", database, files)
        cut = 0
        for _ in range(KILLS):
            cut += killed(nursery, chance.random() * whole, "back up", target, database, files)
            if target.exists():
                _is_whole(target)
                target.unlink()
    assert cut >= CUT
    assert verify(full) == ()
    back_up(full, target, Office(full).now())
    _is_whole(target)
    assert sorted(one.name for one in tmp_path.glob("*.zip*")) == ["backup.zip", "first.zip"]
    assert not list(tmp_path.glob(".*.half"))


def _is_whole(target: Path) -> None:
    with target.open("rb") as handle:
        check_backup(handle, target.name)


@pytest.fixture
def empty(request: pytest.FixtureRequest, database: str, tmp_path: Path) -> Iterator[Callable[[], str]]:
    """Give what makes empty databases of the same kind."""
    with contextlib.ExitStack() as stack:

        def make() -> str:
            if database.startswith("sqlite"):
                return f"sqlite:///{tmp_path}/restored-{len(list(tmp_path.glob('restored-*')))}.sqlite"
            shared: SharedPostgres = request.getfixturevalue("postgres_shared")
            return stack.enter_context(shared.database())

        yield make


def test_a_restore_that_is_killed_has_brought_nothing(full: Store, empty: Callable[[], str], tmp_path: Path) -> None:
    """There is the whole store or none of its rows; the same again goes through, and all is there."""
    chance, source, cut = random.Random(2), tmp_path / "backup.zip", 0
    back_up(full, source, Office(full).now())
    with Nursery.opened() as nursery:
        whole = duration(nursery, "restore", source, empty(), tmp_path / "first")
        for number in range(KILLS):
            database, files = empty(), tmp_path / f"restored-files-{number}"
            was_cut = killed(nursery, chance.random() * whole, "restore", source, database, files)
            cut += was_cut
            if not _tables(database):
                assert was_cut
                duration(nursery, "restore", source, database, files)
            _has_all(database, files)
    assert cut >= CUT


def _tables(database: str) -> list[str]:
    engine = engine_for(database)
    try:
        return inspect(engine).get_table_names()
    finally:
        engine.dispose()


def _has_all(database: str, files: Path) -> None:
    with contextlib.closing(open_store(database, str(files))) as store:
        assert verify(store) == ()
        with store.reading() as unit:
            assert len(unit.jobs.all()) == JOBS
        open_job(Office(store), THE_MACHINE, {"name": "the next one"})
