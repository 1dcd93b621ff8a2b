"""Settings of a run: published checks name a listed source, laws are tried so long, workers keep to one core each."""

from __future__ import annotations

import datetime as dt
import itertools
import os
import shutil
import tomllib
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from tests.postgres_fixtures import postgres_shared, postgres_url

__all__ = ["postgres_shared", "postgres_url"]

if TYPE_CHECKING:
    from courtwright.desk.office import Office
    from courtwright.store.opened import Store

# Tests run side by side: linear algebra that spreads over all cores in each of them waits for itself.
# Read when numpy loads, by the commands that tests run too.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_SOURCES = tomllib.loads((Path(__file__).parent / "reference" / "sources.toml").read_text(encoding="utf-8"))

# `make test` tries the same cases each time, so that a red run is red for everybody; `make soak` looks for new ones.
settings.register_profile("quick", max_examples=60, deadline=None, derandomize=True)
settings.register_profile("soak", max_examples=4000, deadline=None, print_blob=True)
settings.load_profile("quick")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every ``reference`` mark names an id of ``tests/reference/sources.toml``."""
    for item in items:
        for mark in item.iter_markers("reference"):
            if not mark.args or mark.args[0] not in _SOURCES:
                message = f"{item.nodeid}: reference {mark.args!r} is not in tests/reference/sources.toml"
                raise pytest.UsageError(message)


def _prepared(address: str) -> None:
    from courtwright.store.engine import engine_for
    from courtwright.store.migrate import upgrade

    engine = engine_for(address)
    upgrade(engine)
    engine.dispose()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a database file with our tables and nothing in them, to copy."""
    file = tmp_path_factory.mktemp("template") / "courtwright.db"
    _prepared(f"sqlite:///{file}")
    return file


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Give the address of a new database with our tables: each test that asks runs on both."""
    if request.param == "sqlite":
        file = tmp_path / "courtwright.db"
        shutil.copy(request.getfixturevalue("sqlite_template"), file)
        yield f"sqlite:///{file}"
        return
    shared = request.getfixturevalue("postgres_shared")
    with shared.database(shared.template("store", _prepared)) as address:
        yield address


@pytest.fixture
def store(database: str, tmp_path: Path) -> Iterator[Store]:
    """Give a new store, closed afterwards."""
    from courtwright.store.opened import open_store

    opened = open_store(database, str(tmp_path / "files"))
    yield opened
    opened.close()


@pytest.fixture
def office(store: Store, tmp_path: Path) -> Office:
    """Return an office on a new store: its clock goes on a second with each look, its ids are the same in every run."""
    from courtwright.desk.office import Office
    from courtwright.store.keys import Keys

    count, ticks = itertools.count(1), itertools.count()
    start = dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC)
    return Office(
        store,
        now=lambda: start + dt.timedelta(seconds=next(ticks)),
        new_id=lambda: str(uuid.UUID(int=next(count))),
        keys=Keys(tmp_path / "keys"),
    )
