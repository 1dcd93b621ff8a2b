"""Fixtures: databases on the PostgreSQL that all tests of a run share. A ``conftest.py`` imports them by name."""

from __future__ import annotations

import fcntl
import os
import re
import secrets
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest
from psycopg import sql

ROOT = Path(__file__).resolve().parents[1]
#: Longest wait for the shared server. [s]
_PATIENCE_S = 30.0

__all__ = ["postgres_shared", "postgres_url"]


@dataclass(frozen=True, slots=True)
class SharedPostgres:
    """The run's server; every test gets a database of its own."""

    address: str
    keeper: int
    folder: Path

    def url(self, database: str) -> str:
        """Return the address of a database, as SQLAlchemy takes it."""
        return self.address.rpartition("/")[0] + "/" + database

    def template(self, name: str, prepare: Callable[[str], None]) -> str:
        """Return a database to copy from, prepared by the first test of the run that asks for it.

        Parameters
        ----------
        name : str
            Names the template within the run.
        prepare : callable
            Is given the empty database's address; it leaves no connection open.
        """
        database = f"template_{re.sub(r'[^a-z0-9]', '_', name.lower())}"
        with _locked(self.folder / f"{database}.lock"):
            if not (self.folder / f"{database}.done").exists():
                self._drop(database)
                self._create(database, "template1")
                prepare(self.url(database))
                (self.folder / f"{database}.done").touch()
        return database

    @contextmanager
    def database(self, template: str = "template1") -> Iterator[str]:
        """Give the address of a new database, a copy of ``template``; it goes afterwards."""
        name = f"test_{secrets.token_hex(8)}"
        # Two copies of one template at a time are refused while either is being read.
        with _locked(self.folder / f"{template}.lock"):
            self._create(name, template)
        try:
            yield self.url(name)
        finally:
            self._drop(name)

    def _create(self, name: str, template: str) -> None:
        self._do("CREATE DATABASE {} TEMPLATE {}", name, template)

    def _drop(self, name: str) -> None:
        self._do("DROP DATABASE IF EXISTS {} WITH (FORCE)", name)

    def _do(self, command: str, *names: str) -> None:
        with psycopg.connect(self.address.replace("+psycopg", ""), autocommit=True) as connection:
            connection.execute(sql.SQL(command).format(*map(sql.Identifier, names)))


@pytest.fixture(scope="session")
def postgres_shared(tmp_path_factory: pytest.TempPathFactory) -> SharedPostgres:
    """Return the run's server, started by the first worker that needs it."""
    base = tmp_path_factory.getbasetemp()
    is_worker = "PYTEST_XDIST_WORKER" in os.environ
    folder = (base.parent if is_worker else base) / "postgres"
    folder.mkdir(exist_ok=True)
    return shared_server(folder, os.getppid() if is_worker else os.getpid())


def shared_server(folder: Path, watched: int) -> SharedPostgres:
    """Return the server of a folder, started unless it is there; it ends with the watched process."""
    told = folder / "address"
    with _locked(folder / "start.lock"):
        if not told.exists():
            with (folder / "keeper.log").open("wb") as log:
                keeper = subprocess.Popen(
                    [sys.executable, "-m", "tests.postgres_keeper", str(watched), told],
                    cwd=ROOT,
                    stdin=subprocess.DEVNULL,
                    stdout=log,
                    stderr=log,
                    start_new_session=True,
                )
            until = time.monotonic() + _PATIENCE_S
            while not told.exists():
                if keeper.poll() is not None or time.monotonic() > until:
                    pytest.fail("PostgreSQL: " + (folder / "keeper.log").read_text(encoding="utf-8"), pytrace=False)
                time.sleep(0.02)
            # It is waited for by nobody: it ends after this process.
            keeper.returncode = 0
    address, pid, _ = told.read_text(encoding="utf-8").splitlines()
    return SharedPostgres(address, int(pid), folder)


@pytest.fixture
def postgres_url(postgres_shared: SharedPostgres) -> Iterator[str]:
    """Give the address of an empty database of the test's own."""
    with postgres_shared.database() as url:
        yield url


@contextmanager
def _locked(file: Path) -> Iterator[None]:
    with file.open("w", encoding="utf-8") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
