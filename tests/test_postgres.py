"""The tests' own PostgreSQL: real, killed at will, never left behind."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psycopg
import pytest

from tests import postgres_programs
from tests.postgres import PostgresServer, is_there, postgres_server
from tests.postgres_fixtures import SharedPostgres, postgres_shared, postgres_url, shared_server
from tests.postgres_programs import Account, Programs, account, of_the_system, of_the_wheel, programs, within_reach

ROOT = Path(__file__).resolve().parents[1]
#: A kind of programs that a machine has; the wheel's are among the test tools, so that one is always there.
FOUND = {name: found for name, found in (("system", of_the_system()), ("wheel", of_the_wheel())) if found}

__all__ = ["postgres_shared", "postgres_url"]


def _connect(url: str) -> psycopg.Connection[tuple[object, ...]]:
    return psycopg.connect(url.replace("+psycopg", ""), autocommit=True)


def _one(url: str, query: str) -> object:
    with _connect(url) as connection:
        row = connection.execute(query).fetchone()  # pyright: ignore[reportArgumentType] – written in this file
        return row[0] if row else None


def _gone(pid: int, within_s: float = 5.0) -> bool:
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        if not is_there(pid):
            return True
        time.sleep(0.02)
    return False


def test_the_wheel_is_among_the_test_tools():
    """Where the system has no PostgreSQL there is one all the same."""
    assert "wheel" in FOUND


@pytest.mark.parametrize("found", FOUND.values(), ids=FOUND)
def test_what_was_committed_survives_a_kill(found: Programs):
    """Ready in 4 s as an unprivileged user, flushing its commits; killed at work and started again, it has them all."""
    started = time.monotonic()
    with postgres_server(found) as server:
        assert time.monotonic() - started < 4.0
        url = server.url()
        assert _one(url, "SHOW fsync") == "on"
        assert str(_one(url, "SHOW server_version")).startswith(found.version())
        assert Path(f"/proc/{server.pid}").stat().st_uid != 0
        connection = _connect(url)
        connection.execute("CREATE TABLE kept (n int)")
        connection.execute("INSERT INTO kept VALUES (1), (2)")
        connection.execute("BEGIN")
        connection.execute("INSERT INTO kept VALUES (3)")
        server.kill()
        connection.close()
        server.restart()
        assert server.url() == url
        assert _one(url, "SELECT count(*) FROM kept") == 2
        folder, pid = server.folder, server.pid
    assert _gone(pid)
    assert not folder.exists()


def test_it_ends_when_a_test_breaks():
    """What happens inside changes nothing about the end."""
    seen: list[PostgresServer] = []

    def breaks() -> None:
        with postgres_server() as server:
            seen.append(server)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        breaks()
    assert not seen[0].folder.exists()
    assert seen[0].process is None


_HOLDS_ONE = """
import time
from tests.postgres import postgres_server
with postgres_server() as server:
    print(server.pid, flush=True)
    time.sleep(60)
"""


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_it_ends_with_the_process_that_started_it(how: signal.Signals):
    """An interrupted run, and one that is killed, leave no server running."""
    with subprocess.Popen(
        [sys.executable, "-c", _HOLDS_ONE], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as holder:
        assert holder.stdout is not None
        pid = int(holder.stdout.readline())
        os.kill(pid, 0)
        holder.send_signal(how)
    assert _gone(pid)


def test_the_shared_one_ends_with_the_run(tmp_path: Path):
    """It outlives the worker that started it and ends with the process it watches; a second asks for it in vain."""
    with subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"]) as run:
        shared = shared_server(tmp_path, run.pid)
        assert shared_server(tmp_path, run.pid) == shared
        pid = int((tmp_path / "address").read_text(encoding="utf-8").splitlines()[2])
        assert _one(shared.address, "SELECT 1") == 1
        run.kill()
    assert _gone(pid)
    assert _gone(shared.keeper)


def test_each_test_has_a_database_of_its_own(postgres_shared: SharedPostgres, postgres_url: str):
    """Copies of a template hold what it holds and know nothing of each other; it is prepared once."""
    calls: list[str] = []

    def prepare(url: str) -> None:
        calls.append(url)
        with _connect(url) as connection:
            connection.execute("CREATE TABLE seen AS SELECT 7 AS n")

    names = {postgres_shared.template("fixtures", prepare) for _ in range(2)}
    assert len(names) == len(calls) == 1
    with postgres_shared.database(*names) as one, postgres_shared.database(*names) as other:
        assert _one(one, "DELETE FROM seen RETURNING n") == 7
        assert _one(other, "SELECT n FROM seen") == 7
    assert _one(postgres_url, "SELECT to_regclass('seen')") is None


def test_nobody_may_connect_without_the_password(postgres_url: str):
    """Other users of the machine do not get in."""
    with pytest.raises(psycopg.OperationalError, match="password"):
        _one(postgres_url.replace(":" + postgres_url.split(":")[2].split("@")[0], ":wrong"), "SELECT 1")


def test_programs_out_of_reach_are_copied(tmp_path: Path):
    """Programs below a folder that the unprivileged user may not enter run from a copy beside the data."""
    found = FOUND["wheel"]
    barred = tmp_path / "barred"
    package = barred / found.tree.parent.name
    shutil.copytree(found.tree, package / found.tree.name)
    shutil.copytree(found.tree.parent.with_name(f"{package.name}.libs"), barred / f"{package.name}.libs")
    barred.chmod(0o700)
    behind = Programs(package / found.tree.name / "bin")
    own, other = (Account(account().user, account().group, is_other=is_other) for is_other in (False, True))
    assert within_reach(behind, own, tmp_path) == behind
    copy = within_reach(behind, other, tmp_path)
    assert copy.folder.is_relative_to(tmp_path / "programs")
    assert copy.version() == found.version()
    with postgres_server(behind) as server:
        assert server.programs.folder.is_relative_to(server.folder) is account().is_other
        assert _one(server.url(), "SELECT 1") == 1


def test_what_a_killed_run_left_behind_is_swept_up():
    """The next server takes away the folder of one whose process is gone, and leaves those in use."""
    with postgres_server() as server:
        left = Path(tempfile.mkdtemp(prefix="courtwright-pg-", dir=server.folder.parent))
        with subprocess.Popen([sys.executable, "-c", ""]) as gone:
            pass
        (left / "owner").write_text(str(gone.pid), encoding="ascii")
        with postgres_server():
            assert not left.exists()
            assert _one(server.url(), "SELECT 1") == 1


def test_without_programs_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch):
    """A test on PostgreSQL is never left out in silence."""
    monkeypatch.setattr(postgres_programs, "of_the_system", lambda: None)
    monkeypatch.setattr(postgres_programs, "of_the_wheel", lambda: None)
    with pytest.raises(RuntimeError, match="install the package postgresql"):
        programs()
