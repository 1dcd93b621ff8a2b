"""The whole store as one file, and back, into either database."""

from __future__ import annotations

import contextlib
import io
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, select, text

from courtwright.desk.office import Office
from courtwright.errors import ConflictError, InputError, StoreError
from courtwright.store import tables
from courtwright.store.backup import LEFT_OUT, back_up, check_backup, kept_tables, restore
from courtwright.store.blobs import blobs_at
from courtwright.store.engine import engine_for
from courtwright.store.failures import told
from courtwright.store.hand import Hand
from courtwright.store.keys import Keys
from courtwright.store.opened import Store, open_store
from courtwright.store.seals import verify_seals
from courtwright.store.unit import Unit
from courtwright.store.verify import verify
from tests.store.full_job import NOW, add_job, add_person, id_of

HAND = Hand("machine", NOW)


@pytest.fixture
def full(office: Office) -> Office:
    """Return an office with one person and two jobs, and somebody signed in."""
    add_person(office)
    add_job(office)
    add_job(office, "mill", is_accepted=False)
    with office.store.writing(HAND) as unit:
        unit.entries.add(id_of("entry"), token_hash="e" * 64, opens="set-up", person_id=None, expires_at=NOW)
    return office


@pytest.fixture(scope="module")
def backup(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the backup of a store with one whole job."""
    folder = tmp_path_factory.mktemp("backup")
    shutil.copy(sqlite_template, folder / "store.sqlite")
    with contextlib.closing(open_store(f"sqlite:///{folder}/store.sqlite", str(folder / "files"))) as store:
        office = Office(store, keys=Keys(folder / "keys"))
        add_person(office)
        add_job(office)
        return made(store, folder)


@pytest.fixture(params=["sqlite", "postgresql"])
def new_database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Give the address of a database with nothing in it, not even tables."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path}/new.sqlite"
        return
    with request.getfixturevalue("postgres_shared").database() as address:
        yield address


def made(store: Store, folder: Path) -> bytes:
    target = folder / "backup.zip"
    back_up(store, target, NOW)
    return target.read_bytes()


def everything(engine: Engine) -> dict[str, list[Any]]:
    with engine.connect() as connection:
        return {
            t.name: [tuple(row) for row in connection.execute(select(t).order_by(*t.primary_key.columns))]
            for t in kept_tables()
        }


# --- laws ---------------------------------------------------------------------------------------


def test_a_restored_store_is_the_one_that_was_backed_up(full: Office, new_database: str, tmp_path: Path):
    """Every row of every table but caches and passes, every file, every seal; from either database into either."""
    data = made(full.store, tmp_path)
    blobs = blobs_at(str(tmp_path / "new-files"))
    assert full.keys is not None
    keys = full.keys
    done = restore(io.BytesIO(data), "backup.zip", new_database, blobs, lambda unit: verify_seals(unit, keys))
    assert done.complaints == ()
    assert (done.rows["job"], done.rows["person"], done.files) == (2, 1, 6)
    with contextlib.closing(open_store(new_database, str(tmp_path / "new-files"))) as store:
        assert everything(store.engine) == everything(full.store.engine)
        assert verify(store, lambda unit: verify_seals(unit, keys)) == ()
        with store.reading() as unit:
            assert unit.people.get(id_of("ana")).password_hash == "$argon2id$a-secret"
            assert unit.connection.execute(select(tables.entry)).all() == []


def test_a_restored_store_goes_on(backup: bytes, new_database: str, tmp_path: Path):
    """The next change has the next number, and the database still refuses what it has to."""
    blobs = blobs_at(str(tmp_path / "new-files"))
    restore(io.BytesIO(backup), "backup.zip", new_database, blobs)
    with contextlib.closing(open_store(new_database, str(tmp_path / "new-files"))) as store:
        with store.reading() as unit:
            last = unit.connection.execute(select(tables.change.c.seq).order_by(tables.change.c.seq.desc())).scalars()
            before = next(iter(last))
        with store.writing(HAND) as unit:
            unit.jobs.change(id_of("greens"), None, note="goes on")
            unit.changes.note(HAND, "goes-on")
        with store.reading() as unit:
            assert unit.changes.of("job", id_of("greens"), most=99)[-1].seq == before + 1
        with pytest.raises(ConflictError), store.writing(HAND) as unit:
            unit.connection.execute(text("DELETE FROM change"))


def test_every_table_is_backed_up_or_left_out_on_purpose():
    """What is left out is a cache, or lets somebody in."""
    assert {table.name for table in kept_tables()} | LEFT_OUT == set(tables.METADATA.tables)
    assert {"walk_state", "answer", "preview", "entry"} < LEFT_OUT


def test_a_backup_is_for_its_owner_alone(full: Office, tmp_path: Path):
    """Others of the machine cannot read it, and no half-written file is left."""
    made(full.store, tmp_path)
    assert (tmp_path / "backup.zip").stat().st_mode & 0o777 == 0o600
    assert list(tmp_path.glob(".*.half")) == []


def test_a_lost_file_does_not_keep_the_rest_from_being_backed_up(full: Office, tmp_path: Path):
    """The backup names it, and so does the restore."""
    with full.store.reading() as unit:
        sha256 = unit.photos.get(id_of("greens photo")).sha256
    (tmp_path / "files" / sha256[:2] / sha256).write_bytes(b"something else")
    saved = back_up(full.store, tmp_path / "backup.zip", NOW)
    assert [one.at for one in saved.complaints] == [sha256]
    with (tmp_path / "backup.zip").open("rb") as file:
        done = restore(file, "backup.zip", f"sqlite:///{tmp_path}/n.sqlite", blobs_at(str(tmp_path / "new-files")))
    assert [one.at for one in done.complaints] == [sha256]


def test_an_empty_store_with_our_tables_is_restored_into(backup: bytes, database: str, tmp_path: Path):
    """A service that was started once on the new machine does no harm."""
    done = restore(io.BytesIO(backup), "backup.zip", database, blobs_at(str(tmp_path / "new-files")))
    assert done.rows["job"] == 1


_WRITER = """
import sys
from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.jobs import change_job, open_job
from courtwright.desk.office import Office
from courtwright.store.opened import open_store
office = Office(open_store(sys.argv[1], sys.argv[2]))
while True:
    job = open_job(office, THE_MACHINE, {"name": "0"})
    for number in range(1, 5):
        job = change_job(office, THE_MACHINE, job.id, job.version, {"name": str(number)})
    with office.writing(THE_MACHINE) as unit:
        unit.keep(job.id.encode())
    print("written", flush=True)
"""


@contextlib.contextmanager
def writing_beside(database: str, files: Path) -> Iterator[subprocess.Popen[bytes]]:
    """Let another process open and change jobs, and keep files, as fast as it can."""
    process = subprocess.Popen([sys.executable, "-c", _WRITER, database, files], stdout=subprocess.PIPE)
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == b"written\n"
        yield process
        assert process.poll() is None
    finally:
        process.kill()
        process.communicate()


def test_a_backup_beside_another_process_that_writes_is_one_moment_of_the_store(
    full: Office, database: str, tmp_path: Path
):
    """Three in a row: each holds every change up to one of them and every file that it names."""
    with writing_beside(database, tmp_path / "files"):
        for number in range(3):
            assert back_up(full.store, tmp_path / f"{number}.zip", NOW).complaints == ()
    counts = []
    for number in range(3):
        files, address = str(tmp_path / f"files-{number}"), f"sqlite:///{tmp_path}/{number}.sqlite"
        with (tmp_path / f"{number}.zip").open("rb") as file:
            counts.append(restore(file, f"{number}.zip", address, blobs_at(files)).rows["change"])
        with contextlib.closing(open_store(address, files)) as store:
            assert verify(store) == ()
    assert counts == sorted(set(counts))


def test_a_check_finds_nothing_in_a_whole_backup(backup: bytes):
    """It says when the backup was made."""
    assert check_backup(io.BytesIO(backup), "backup.zip").as_of == NOW.isoformat()


# --- refusals -----------------------------------------------------------------------------------


def test_a_store_that_is_not_empty_is_not_restored_into(full: Office, backup: bytes, database: str, tmp_path: Path):
    """Nothing of it changes."""
    before = everything(full.store.engine)
    with pytest.raises(StoreError) as refused:
        restore(io.BytesIO(backup), "backup.zip", database, blobs_at(str(tmp_path / "files")))
    assert refused.value.problem.id == "store.not-empty"
    assert everything(full.store.engine) == before


def test_a_backup_cut_anywhere_is_refused(backup: bytes, tmp_path: Path):
    """At twenty places; the new store is not begun."""
    for end in range(0, len(backup), len(backup) // 20 + 1):
        with pytest.raises(InputError):
            restore(
                io.BytesIO(backup[:end]), "x", f"sqlite:///{tmp_path}/n.sqlite", blobs_at(str(tmp_path / "new-files"))
            )
    assert not (tmp_path / "n.sqlite").exists()


def test_a_restore_that_fails_on_the_way_leaves_no_row(
    backup: bytes, new_database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """All of it or nothing; the next try does it."""

    def fail(*_: object) -> None:
        with told():
            raise OSError(28, "No space left on device")

    blobs = blobs_at(str(tmp_path / "new-files"))
    with monkeypatch.context() as patch:
        patch.setattr("courtwright.store.backup.require_sound", fail)
        with pytest.raises(StoreError) as failed:
            restore(io.BytesIO(backup), "backup.zip", new_database, blobs)
    assert failed.value.problem.id == "store.full"
    engine = engine_for(new_database)
    with engine.connect() as connection:
        assert not set(tables.METADATA.tables) & set(_names(connection))
    engine.dispose()
    assert restore(io.BytesIO(backup), "backup.zip", new_database, blobs).rows["job"] == 1


def _names(connection: Any) -> list[str]:
    from sqlalchemy import inspect

    return inspect(connection).get_table_names()


def test_a_seal_that_does_not_hold_is_told_after_a_restore(backup: bytes, new_database: str, tmp_path: Path):
    """With the keys of another office, every sealed offer is named."""
    keys = Keys(tmp_path / "other-keys")
    keys.make()

    def seals(unit: Unit) -> tuple[Any, ...]:
        return verify_seals(unit, keys)

    blobs = blobs_at(str(tmp_path / "new-files"))
    done = restore(io.BytesIO(backup), "backup.zip", new_database, blobs, seals)
    assert [(one.code, one.at) for one in done.complaints] == [("seal-key", id_of("greens offer"))]


def test_a_backup_over_a_file_that_is_there_is_refused(full: Office, tmp_path: Path):
    """It is left as it was, and nothing half-written beside it."""
    (tmp_path / "backup.zip").write_bytes(b"last week")
    with pytest.raises(StoreError):
        back_up(full.store, tmp_path / "backup.zip", NOW)
    assert (tmp_path / "backup.zip").read_bytes() == b"last week"
    assert list(tmp_path.glob(".*.half")) == []
