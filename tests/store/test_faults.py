"""Faults that really happen: each is told in words, the service goes on or stops, and what was kept is whole."""

from __future__ import annotations

import contextlib
import os
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable, Generator, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, event, make_url, text

from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.jobs import change_job, job, open_job
from courtwright.desk.office import Office
from courtwright.errors import BusyError, CourtwrightError, DamagedError, StoreError
from courtwright.store.backup import back_up, restore
from courtwright.store.blobs import FolderBlobs, blobs_at
from courtwright.store.migrate import STEPS
from courtwright.store.opened import Store, open_store
from courtwright.store.verify import verify
from courtwright.trade.words import render
from tests.store.full_job import NOW, PHOTO, add_job, add_person, id_of

#: Smaller than what is written to it, larger than an empty store. [bytes]
SMALL = 2_000_000
#: Nobody: an ordinary user, to whom read-only means read-only.
NOBODY = 65534


@pytest.fixture
def place(sqlite_template: Path, tmp_path: Path) -> Path:
    """Return a folder with the database of a new store."""
    shutil.copy(sqlite_template, tmp_path / "store.sqlite")
    return tmp_path


@contextlib.contextmanager
def opened(place: Path, busy_ms: int = 10_000) -> Iterator[Office]:
    """Open the store of a folder."""
    store = open_store(f"sqlite:///{place}/store.sqlite", str(place / "files"), busy_ms=busy_ms)
    with contextlib.closing(store):
        yield Office(store)


def words(error: CourtwrightError) -> tuple[str, str]:
    """Return what an error says and what to do, in English; in Spanish it has words too."""
    assert error.fix is not None
    assert render(error.problem, "es", "metric")
    assert render(error.fix, "es", "metric")
    return render(error.problem, "en", "us"), render(error.fix, "en", "us")


def is_whole(place: Path, *names: str) -> None:
    """See that the store is whole and these jobs are in it, and that a backup of it can be restored."""
    with opened(place) as office:
        assert verify(office.store) == ()
        with office.reading() as unit:
            assert {one.name for one in unit.jobs.all()} >= set(names)
        back_up(office.store, place / "after.zip", NOW)
    with (place / "after.zip").open("rb") as file:
        done = restore(file, "after.zip", f"sqlite:///{place}/restored.sqlite", blobs_at(str(place / "restored-files")))
    assert done.rows["job"] >= len(names)


# --- a full disk ----------------------------------------------------------------------------------


@contextlib.contextmanager
def small_disk(folder: Path) -> Generator[Callable[[Connection], None]]:
    """Make a folder a disk of its own that is soon full; give what has to be told to a connection on it.

    Where this user may not mount one, files may not grow, and the database may have no more pages: the systems say the
    same of either, that there is no room.
    """
    folder.mkdir(exist_ok=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={SMALL},mode=700", "tmpfs", str(folder)]
    if os.geteuid() == 0 and subprocess.run(mount, check=False, capture_output=True).returncode == 0:
        try:
            yield lambda connection: None
        finally:
            subprocess.run(["umount", "-l", folder], check=True)
        return
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL, before[1]))
    try:
        yield lambda connection: connection.exec_driver_sql("PRAGMA max_page_count = 150").close()
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_full_disk_takes_nothing_half_and_loses_nothing(sqlite_template: Path, tmp_path: Path):
    """Jobs are kept until there is no room; then it says so, and goes on reading, and writing what fits again."""
    disk = tmp_path / "disk"
    with small_disk(disk) as limit:
        shutil.copy(sqlite_template, disk / "store.sqlite")
        with opened(disk) as office:
            event.listen(office.store.engine, "begin", limit)
            kept: list[str] = []

            def fill() -> None:
                for number in range(1000):
                    kept.append(open_job(office, THE_MACHINE, {"name": str(number), "note": "n" * 20_000}).id)

            with pytest.raises(StoreError) as full:
                fill()
            said, do = words(full.value)
            assert (said, "make room" in do) == ("the disk is full", True)
            assert kept
            with office.reading() as unit:
                assert {one.id for one in unit.jobs.all()} == set(kept)
            assert job(office, THE_MACHINE, kept[0]).note == "n" * 20_000
        shutil.copytree(disk, tmp_path / "saved")
    (tmp_path / "saved" / "files").mkdir(exist_ok=True)
    is_whole(tmp_path / "saved", *map(str, range(len(kept))))


def test_a_file_that_does_not_fit_is_not_there_at_all(tmp_path: Path):
    """Neither under its name nor half; smaller ones can still be kept."""
    with small_disk(tmp_path / "disk"):
        blobs = FolderBlobs(tmp_path / "disk" / "files")
        small = blobs.put(b"small")
        with pytest.raises(StoreError) as full:
            blobs.put(b"x" * (SMALL + 4096))
        assert words(full.value)[0] == "the disk is full"
        assert blobs.get(small) == b"small"
        there = [path.name for path in (tmp_path / "disk" / "files").rglob("*") if path.is_file()]
        assert there == [small]
        assert blobs.get(blobs.put(b"another")) == b"another"


def test_a_backup_onto_a_full_disk_leaves_no_file(place: Path):
    """No half backup that looks like one."""
    with opened(place) as office, small_disk(place / "stick"):
        with office.store.writing(_hand()) as unit:
            unit.jobs.add(id_of("a"), **_blank("a"))
            for number in range(30):
                unit.keep(bytes([number]) * 100_000)
        with pytest.raises(StoreError) as full:
            back_up(office.store, place / "stick" / "backup.zip", NOW)
        assert words(full.value)[0] == "the disk is full"
        assert list((place / "stick").iterdir()) == []
    is_whole(place, "a")


# --- a disk that may not be written ---------------------------------------------------------------


def test_a_store_that_may_not_be_written_says_so(place: Path):
    """An ordinary user, a folder and files without the right to write: told, not tried again and again."""
    with opened(place) as office:
        open_job(office, THE_MACHINE, {"name": "before"})
    script = """
        import os, sys
        from courtwright.desk.caller import THE_MACHINE
        from courtwright.desk.jobs import open_job
        from courtwright.desk.office import Office
        from courtwright.errors import StoreError
        from courtwright.store.blobs import FolderBlobs
        from courtwright.store.opened import open_store
        place = sys.argv[1]
        if os.geteuid() == 0:
            os.setgid(65534); os.setuid(65534)
        def blob():
            FolderBlobs.put(FolderBlobs(__import__("pathlib").Path(place) / "files"), b"new")
        def row():
            office = Office(open_store(f"sqlite:///{place}/store.sqlite", f"{place}/files"))
            open_job(office, THE_MACHINE, {"name": "after"})
        for do in (blob, row):
            try:
                do()
            except StoreError as error:
                print(error.problem.id)
    """
    parents = [parent for parent in place.parents if parent.is_relative_to(Path(place.anchor) / place.parts[1])]
    with _passable(parents), _read_only(place):
        done = _run(script, place)
    assert done.stdout.split() == ["store.read-only", "store.read-only"], done.stderr
    is_whole(place, "before")


@contextlib.contextmanager
def _passable(folders: list[Path]) -> Generator[None]:
    """Let every user pass through folders of ours; those of others are as they are."""
    before = {folder: folder.stat().st_mode for folder in folders if folder.stat().st_uid == os.geteuid()}
    try:
        for folder, mode in before.items():
            folder.chmod(mode | 0o011)
        yield
    finally:
        for folder, mode in before.items():
            folder.chmod(mode)


@contextlib.contextmanager
def _read_only(folder: Path) -> Generator[None]:
    paths = [folder, *folder.rglob("*")]
    before = {path: path.stat().st_mode for path in paths}
    try:
        for path in paths:
            path.chmod(0o555 if path.is_dir() else 0o444)
        yield
    finally:
        for path, mode in before.items():
            path.chmod(mode)


# --- a database that others hold ------------------------------------------------------------------


def test_a_locked_database_is_busy_and_then_free(place: Path):
    """Another process holds it longer than we wait: the same again will do, and does."""
    holder = f"""
        import sqlite3, sys
        held = sqlite3.connect({str(place / "store.sqlite")!r}, isolation_level=None)
        held.execute("BEGIN IMMEDIATE")
        print("held", flush=True)
        sys.stdin.read()
    """
    with opened(place, busy_ms=50) as office:
        made = open_job(office, THE_MACHINE, {"name": "before"})
        with _beside(holder) as process:
            began = time.monotonic()
            with pytest.raises(BusyError) as busy:
                change_job(office, THE_MACHINE, made.id, 1, {"name": "during"})
            assert time.monotonic() - began < 5
            assert "try the same again" in words(busy.value)[1]
            assert job(office, THE_MACHINE, made.id).name == "before"
            process.kill()
            process.wait()
        assert change_job(office, THE_MACHINE, made.id, 1, {"name": "after"}).version == 2
    is_whole(place, "after")


def test_a_locked_row_of_postgresql_is_busy_too(postgres_url: str, tmp_path: Path):
    """It does not wait for ever."""
    with contextlib.closing(open_store(postgres_url, str(tmp_path / "files"), busy_ms=50)) as store:
        office = Office(store)
        made = open_job(office, THE_MACHINE, {"name": "before"})
        other = create_engine(store.engine.url)
        with other.connect() as connection, connection.begin():
            connection.execute(text("SELECT id FROM job FOR UPDATE"))
            with pytest.raises(BusyError):
                change_job(office, THE_MACHINE, made.id, 1, {"name": "during"})
        other.dispose()
        assert change_job(office, THE_MACHINE, made.id, 1, {"name": "after"}).version == 2


def test_a_server_that_cannot_be_reached_is_told_as_such(postgres_url: str, tmp_path: Path):
    """Nobody listens there, or the password is another: not that somebody else is at work."""
    right = make_url(postgres_url)
    for wrong in (right.set(port=1), right.set(password="another")):
        with pytest.raises(BusyError) as away:
            open_store(wrong.render_as_string(hide_password=False), str(tmp_path / "files"))
        assert "see that the server runs" in words(away.value)[1]


# --- what is no longer there, or no longer what it was ----------------------------------------------


@pytest.fixture
def full(place: Path) -> Iterator[Office]:
    """Give an office with a whole job, on SQLite."""
    from courtwright.store.keys import Keys

    with opened(place) as office:
        made = Office(office.store, keys=Keys(place / "keys"))
        add_person(made)
        add_job(made)
        yield made


def _photo(store: Store, place: Path) -> Path:
    with store.reading() as unit:
        sha256 = unit.photos.get(id_of("greens photo")).sha256
    return place / "files" / sha256[:2] / sha256


@pytest.mark.parametrize(("damage", "said"), [("lost", "a kept file is missing"), ("flipped", "no longer what it was")])
def test_a_file_that_is_lost_or_damaged_is_told_and_the_rest_goes_on(full: Office, place: Path, damage: str, said: str):
    """The one file is refused; rows, other files, a check and a backup go on; the backup from before brings it back."""
    back_up(full.store, place / "before.zip", NOW)
    path = _photo(full.store, place)
    if damage == "lost":
        path.unlink()
    else:
        data = bytearray(path.read_bytes())
        data[3] ^= 0x01
        path.write_bytes(data)
    with pytest.raises(DamagedError) as told:
        full.store.blobs.get(path.name)
    assert said in words(told.value)[0]
    assert [one.at for one in verify(full.store)] == [path.name]
    assert open_job(full, THE_MACHINE, {"name": "goes on"}).version == 1
    assert [one.at for one in back_up(full.store, place / "after.zip", NOW).complaints] == [path.name]
    with (place / "before.zip").open("rb") as file:
        restore(file, "before.zip", f"sqlite:///{place}/r.sqlite", full.store.blobs)
    assert full.store.blobs.get(path.name) == PHOTO + b"greens"
    assert verify(full.store) == ()


def test_a_corrupt_page_is_told_and_the_backup_from_before_restores(place: Path):
    """The middle of the database's file is overwritten: reading says so, checking says so, and nothing is made up."""
    with opened(place) as office:
        for number in range(200):
            open_job(office, THE_MACHINE, {"name": str(number), "note": "n" * 500})
        back_up(office.store, place / "before.zip", NOW)
    file = place / "store.sqlite"
    with sqlite3.connect(file) as database:
        pages = [n for (n,) in database.execute("SELECT pageno FROM dbstat WHERE name='job' AND pagetype='leaf'")]
        (size,) = database.execute("PRAGMA page_size").fetchone()
    database.close()
    with file.open("r+b") as handle:
        for page in pages[:5]:
            handle.seek((page - 1) * size)
            handle.write(b"\xaa" * size)
    with opened(place) as office:
        with pytest.raises(DamagedError) as told, office.reading() as unit:
            unit.jobs.all()
        assert words(told.value)[0] == "the database is damaged"
        assert {one.code for one in verify(office.store)} & {"damaged", "integrity"}
        with pytest.raises(DamagedError):
            back_up(office.store, place / "useless.zip", NOW)
        assert not (place / "useless.zip").exists()
    with (place / "before.zip").open("rb") as handle:
        done = restore(handle, "before.zip", f"sqlite:///{place}/r.sqlite", blobs_at(str(place / "r-files")))
    assert done.rows["job"] == 200


def test_changes_without_their_database_are_not_thrown_away(place: Path):
    """The database's file is taken away, its last changes are in the file beside it: refused, and left as they are."""
    with opened(place) as office:
        open_job(office, THE_MACHINE, {"name": "only in the log"})
        log = place / "store.sqlite-wal"
        held = log.read_bytes()
        assert held
        shutil.copy(place / "store.sqlite", place / "aside")
        (place / "store.sqlite").unlink()
        with pytest.raises(StoreError) as told:
            open_store(f"sqlite:///{place}/store.sqlite", str(place / "files"))
        assert "the database's file is gone" in words(told.value)[0]
        assert log.read_bytes() == held
        shutil.copytree(place, place.parent / f"{place.name}-copy")
    copy = place.parent / f"{place.name}-copy"
    (copy / "aside").rename(copy / "store.sqlite")
    is_whole(copy, "only in the log")


@pytest.mark.parametrize("content", [b"name,address\n" * 500, b"PK\x03\x04", b"SQLite format 2\x00"])
def test_a_file_that_is_no_database_is_told_and_left_alone(tmp_path: Path, content: bytes):
    """A list, an archive, something older: by mistake named as the database."""
    (tmp_path / "file").write_bytes(content)
    with pytest.raises(StoreError) as told:
        open_store(f"sqlite:///{tmp_path}/file", str(tmp_path / "files"))
    assert words(told.value)[0] == "that file is no database"
    assert (tmp_path / "file").read_bytes() == content
    with pytest.raises(StoreError):
        open_store(f"sqlite:///{tmp_path}", str(tmp_path / "files"))


def test_a_database_of_something_else_is_told_and_left_alone(tmp_path: Path):
    """One with a table that is called as one of ours, and no step of ours."""
    with sqlite3.connect(tmp_path / "file") as other:
        other.execute("CREATE TABLE job (what)")
    other.close()
    with pytest.raises(StoreError) as told:
        open_store(f"sqlite:///{tmp_path}/file", str(tmp_path / "files"))
    assert "does not say of which release" in words(told.value)[0]


# --- steps that are not finished --------------------------------------------------------------------


def test_a_process_killed_between_the_steps_leaves_a_database_that_opens(database: str, tmp_path: Path):
    """Killed after the tables and before the guards: all steps or none."""
    address = f"sqlite:///{tmp_path}/killed.sqlite" if database.startswith("sqlite") else database
    if not database.startswith("sqlite"):
        _emptied(database)
    script = """
        import os, signal, sys
        from courtwright.store.engine import engine_for
        from courtwright.store import migrate
        import alembic.operations
        engine = engine_for(sys.argv[1])
        seen = []
        def die(self, sql, *rest, **named):
            seen.append(sql)
            if len(seen) == 8:
                os.kill(os.getpid(), signal.SIGKILL)
            return execute(self, sql, *rest, **named)
        execute = alembic.operations.Operations.execute
        alembic.operations.Operations.execute = die
        print("begun", flush=True)
        migrate.upgrade(engine)
    """
    done = _run(script, address)
    assert (done.stdout, done.returncode) == ("begun\n", -signal.SIGKILL), done.stderr
    with contextlib.closing(open_store(address, str(tmp_path / "new-files"))) as store:
        assert open_job(Office(store), THE_MACHINE, {"name": "x"}).version == 1
        assert verify(store) == ()


def _emptied(address: str) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


def test_tables_without_a_step_are_refused_and_left_alone(database: str, tmp_path: Path):
    """What is half-way is not guessed at."""
    _tell_step(database, None)
    with pytest.raises(StoreError) as told:
        open_store(database, str(tmp_path / "files"))
    assert "does not say of which release" in words(told.value)[0]
    _tell_step(database, STEPS[-1])
    open_store(database, str(tmp_path / "files")).close()


def test_a_newer_database_is_refused_and_left_alone(database: str, tmp_path: Path):
    """Its step is told."""
    _tell_step(database, "0999")
    with pytest.raises(StoreError) as told:
        open_store(database, str(tmp_path / "files"))
    assert words(told.value)[0] == "the database was made by a newer release (step 0999)"
    _tell_step(database, STEPS[-1])
    open_store(database, str(tmp_path / "files")).close()


def _tell_step(address: str, step: str | None) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text("DELETE FROM alembic_version"))
        if step is not None:
            connection.execute(text("INSERT INTO alembic_version VALUES (:step)"), {"step": step})
    engine.dispose()


# --- helpers ----------------------------------------------------------------------------------------


def _run(script: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", textwrap.dedent(script), *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@contextlib.contextmanager
def _beside(script: str) -> Iterator[subprocess.Popen[bytes]]:
    command = [sys.executable, "-c", textwrap.dedent(script)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == b"held\n"
            yield process
        finally:
            process.kill()


def _hand() -> object:
    from courtwright.store.hand import Hand

    return Hand("machine", NOW)


def _blank(name: str) -> dict[str, object]:
    return {"name": name, "address": "", "note": "", "customer": None, "stage": "call", "units": "us", "call": {}}
