"""pack, unpack, backup, restore and export as a person meets them: words, exit codes, nothing written over."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.cli.test_commands import answer, run
from tests.store.full_job import add_job, add_person, id_of
from tests.store.test_backup import writing_beside

from courtwright.desk.office import Office
from courtwright.desk.places import Places, open_places, places_in
from courtwright.store.blobs import digest
from courtwright.store.keys import Keys


@pytest.fixture
def data(sqlite_template: Path, tmp_path: Path) -> Iterator[Path]:
    """Give the data folder of an office with one whole job, and go to where a person types."""
    folder = tmp_path / "data"
    folder.mkdir()
    shutil.copy(sqlite_template, folder / "courtwright.sqlite")
    places = places_in(folder)
    with contextlib.closing(open_places(places)) as store:
        office = Office(store, keys=Keys(places.keys))
        add_person(office)
        add_job(office)
    with contextlib.chdir(tmp_path):
        yield folder


def places(folder: Path) -> Places:
    return places_in(folder)


# --- what they do ---------------------------------------------------------------------------------


def test_a_job_goes_from_one_office_to_another(data: Path, tmp_path: Path) -> None:
    """Packed by a part of its name, looked at, unpacked, and unpacked again without effect."""
    assert answer("pack", "Greens", "--out", "job.zip", "--data", data)["job"] == id_of("greens")
    assert answer("unpack", "job.zip", "--check", "--data", "other")["name"] == "Greens Road"
    assert not (tmp_path / "other").exists()
    first = answer("unpack", "job.zip", "--data", "other")
    assert (first["is_new"], first["added"]["job"]) == (True, 1)
    assert answer("unpack", "job.zip", "--data", "other")["added"] == {}
    assert "nothing was written over" not in run("unpack", "job.zip", "--data", "other").stdout


def test_a_store_goes_to_a_new_machine_with_its_keys(data: Path) -> None:
    """Backed up, looked at, restored, whole there, seals and all."""
    saved = answer("backup", "friday.zip", "--with-key", "--data", data)
    assert (saved["rows"]["job"], saved["keys"]) == (1, "friday-keys.zip")
    assert "is whole" in run("restore", "friday.zip", "--check", "--data", "new").stdout
    told = run("restore", "friday.zip", "--keys", "friday-keys.zip", "--data", "new")
    assert "Jobs: 1;" in told.stdout
    assert told.stderr == ""
    assert run("backup", "--check", "--data", "new").stdout == "The store is whole.\n"
    assert (Path("new") / "keys" / "seal.key").read_bytes() == (data / "keys" / "seal.key").read_bytes()
    assert (Path("new") / "keys" / "seal.key").stat().st_mode & 0o777 == 0o600


def test_without_the_keys_the_seals_are_told_and_the_rest_is_there(data: Path) -> None:
    """The backup says that it does not hold them."""
    assert "keys of the seals are not in it" in run("backup", "friday.zip", "--data", data).stdout
    secret = (data / "keys" / "seal.key").read_bytes()
    assert secret not in Path("friday.zip").read_bytes()
    assert id_of("greens offer") in run("restore", "friday.zip", "--data", "new").stderr


def test_a_folder_gets_a_dated_backup(data: Path) -> None:
    """So that one command a night makes one file a night."""
    Path("stick").mkdir()
    name = Path(answer("backup", "stick", "--data", data)["file"]).name
    assert name.startswith("courtwright-20")
    assert [path.name for path in Path("stick").iterdir()] == [name]


def test_a_store_can_be_named_by_the_environment(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the service's can."""
    monkeypatch.setenv("COURTWRIGHT_DATA", str(data))
    assert answer("backup", "friday.zip")["rows"]["job"] == 1


def test_what_is_written_is_for_its_owner_alone(data: Path) -> None:
    """A job, a backup, an export, and a store in a folder that others may look into."""
    before = os.umask(0o022)
    try:
        Path("new").mkdir(mode=0o755)
        answer("pack", "Greens", "--out", "job.zip", "--data", data)
        answer("backup", "friday.zip", "--data", data)
        answer("export", "open", "--data", data)
        answer("unpack", "job.zip", "--data", "new")
        assert os.umask(0o022) == 0o022
    finally:
        os.umask(before)
    made = [Path("job.zip"), Path("friday.zip"), Path("open"), *Path("open").rglob("*"), *Path("new").rglob("*")]
    assert [path for path in made if path.stat().st_mode & 0o077] == []


def test_everything_is_exported_as_open_files(data: Path) -> None:
    """People without their secrets; text that a spreadsheet would run is text."""
    done = answer("export", "all", "--data", data)
    files = [path for path in Path("all").rglob("*") if path.is_file()]
    assert (done["jobs"], done["files"]) == (1, len(files))
    (folder,) = (Path("all") / "jobs").iterdir()
    assert folder.name == f"greens-road-{id_of('greens')}"
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert {"walks/1-first/site/site.toml", "offers/1-1/offer.pdf", "records/change.csv", "records/job.json"} <= there
    secrets = (b"argon2", digest(b"greens").encode())
    assert [path for path in files if any(secret in path.read_bytes() for secret in secrets)] == []
    made = json.loads((folder / "records" / "change.json").read_text(encoding="utf-8"))
    assert made[0]["after"]["note"] == "=cmd|' /C calc'!A0"
    assert '"=cmd' not in (folder / "records" / "job.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "=cmd|' /C calc'!A0"])
def test_no_cell_of_an_export_begins_a_formula(data: Path, text: str) -> None:
    """Whatever is typed into a name, it comes out with an apostrophe before it."""
    import csv

    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.jobs import open_job

    with contextlib.closing(open_places(places(data))) as store:
        open_job(Office(store), THE_MACHINE, {"name": text})
    run("export", "all", "--data", data)
    with (Path("all") / "job.csv").open(encoding="utf-8", newline="") as file:
        names = [row["name"] for row in csv.DictReader(file)]
    assert sorted(names) == sorted(["Greens Road", f"'{text}"])


def test_each_works_beside_a_service_that_writes(data: Path) -> None:
    """Another process writes all the while; nothing is refused, and what comes out is whole."""
    with writing_beside(places(data).database, data / "blobs"):
        run("pack", id_of("greens"), "--out", "job.zip", "--data", data)
        run("backup", "friday.zip", "--data", data)
        run("unpack", "job.zip", "--data", data)
        run("backup", "--check", "--data", data)
    run("restore", "friday.zip", "--check")


# --- refusals -------------------------------------------------------------------------------------


def test_nothing_is_written_over(data: Path) -> None:
    """A file, a store, a folder that is there: told, left."""
    for command in (("pack", "Greens", "--out", "there"), ("backup", "there")):
        Path("there").write_bytes(b"mine")
        assert "there already" in run(*command, "--data", data, code=2).stderr
        assert Path("there").read_bytes() == b"mine"
    run("backup", "friday.zip", "--data", data)
    assert "not empty" in run("restore", "friday.zip", "--data", data, code=3).stderr
    assert "not empty" in run("export", data, "--data", data, code=2).stderr
    Path("saturday-keys.zip").write_bytes(b"mine")
    run("backup", "saturday.zip", "--with-key", "--data", data, code=2)
    assert not Path("saturday.zip").exists()


@pytest.mark.parametrize("command", ["pack x --out y.zip", "backup y.zip", "backup --check", "export y"])
def test_a_mistyped_folder_gets_no_empty_store(data: Path, command: str) -> None:
    """It is told that there is none, in the reader's language."""
    assert "there is no store" in run(*command.split(), "--data", "dta", code=2).stderr
    assert "no hay ningún almacén" in run(*command.split(), "--data", "dta", "--lang", "es", code=2).stderr
    assert not Path("dta").exists()
    assert not Path("y.zip").exists()


@pytest.mark.parametrize("command", ["unpack", "restore"])
@pytest.mark.parametrize("content", [b"", b"no zip at all", b"PK\x05\x06" + b"\0" * 18])
@pytest.mark.parametrize("check", [(), ("--check",)])
def test_a_foreign_file_is_told(tmp_path: Path, command: str, content: bytes, check: tuple[str, ...]) -> None:
    """With exit code 3, in words and in JSON, and nothing is begun in the store."""
    with contextlib.chdir(tmp_path):
        Path("file").write_bytes(content)
        told = run(command, "file", *check, "--data", "new", code=3)
        assert told.stderr.startswith("file: ")
        assert answer(command, "file", *check, "--data", "new", code=3)["complaints"][0]["weight"] == "error"
        assert not (Path("new") / "courtwright.sqlite").exists() or command == "unpack"


def test_a_backup_that_was_cut_is_told(data: Path) -> None:
    """A stick that was pulled out."""
    run("backup", "friday.zip", "--data", data)
    whole = Path("friday.zip").read_bytes()
    Path("friday.zip").write_bytes(whole[: len(whole) * 2 // 3])
    assert "friday.zip" in run("restore", "friday.zip", "--data", "new", code=3).stderr
    assert not (Path("new") / "courtwright.sqlite").exists()


def test_one_kind_of_file_is_not_the_other(data: Path) -> None:
    """It is told which command reads it."""
    run("backup", "friday.zip", "--data", data)
    run("pack", "Greens", "--out", "job.zip", "--data", data)
    assert "courtwright restore" in run("unpack", "friday.zip", "--data", "new", code=3).stderr
    assert "courtwright unpack" in run("restore", "job.zip", "--data", "new", code=3).stderr


def test_a_job_that_is_not_the_only_one_is_asked_for_by_its_id(data: Path) -> None:
    """None, or more than one."""
    assert "no job" in run("pack", "nowhere", "--out", "x.zip", "--data", data, code=2).stderr
    with contextlib.closing(open_places(places(data))) as store:
        add_job(Office(store), "mill", is_accepted=False)
    assert id_of("mill") in run("pack", "Greens", "--out", "x.zip", "--data", data, code=2).stderr
    assert not Path("x.zip").exists()


def test_a_store_that_is_not_whole_is_told_with_exit_code_3(data: Path) -> None:
    """Each thing on its own line; a backup is made all the same, and says what it lacks."""
    for path in (data / "blobs").rglob("*"):
        if path.is_file():
            path.write_bytes(b"x")
    assert run("backup", "--check", "--data", data, code=3).stderr.count("no longer what it was") >= 4
    assert "a kept file is missing" in run("backup", "friday.zip", "--data", data).stderr
    run("backup", "saturday.zip", "--strict", "--data", data, code=3)
    assert "a kept file is missing" in run("export", "open", "--data", data).stderr
    run("export", "open-2", "--strict", "--data", data, code=3)
    assert {one["weight"] for one in answer("backup", "--check", "--data", data, code=3)["complaints"]} == {"error"}


def test_seals_of_another_office_are_a_note(data: Path) -> None:
    """A job that came with seals is told of at each look, and the store is whole all the same."""
    run("pack", "Greens", "--out", "job.zip", "--data", data)
    run("unpack", "job.zip", "--data", "other")
    told = run("backup", "--check", "--data", "other")
    assert "made by another office" in told.stderr
    assert told.stdout == "The store is whole.\n"
    (note,) = answer("backup", "--check", "--data", "other")["complaints"]
    assert (note["code"], note["weight"]) == ("seal-foreign", "note")


def test_a_moment_is_told_as_people_write_it(data: Path) -> None:
    """To the minute in UTC; a program gets the whole of it."""
    run("backup", "friday.zip", "--data", data)
    told = run("restore", "friday.zip", "--check").stdout
    as_of = answer("restore", "friday.zip", "--check")["as_of"]
    assert f"on {as_of[:10]} {as_of[11:16]} UTC." in told


def test_keys_of_another_office_are_not_written_over(data: Path, tmp_path: Path) -> None:
    """The restore is refused, and the key that was there stays."""
    run("backup", "friday.zip", "--with-key", "--data", data)
    Keys(tmp_path / "new" / "keys").make()
    key = (tmp_path / "new" / "keys" / "seal.key").read_bytes()
    assert "another key" in run("restore", "friday.zip", "--keys", "friday-keys.zip", "--data", "new", code=3).stderr
    assert (tmp_path / "new" / "keys" / "seal.key").read_bytes() == key
    assert "no file of keys" in run("restore", "friday.zip", "--keys", "friday.zip", "--data", "newer", code=3).stderr


def test_backup_wants_a_file_or_a_check(data: Path) -> None:
    """One of the two."""
    run("backup", "--data", data, code=2)
    run("backup", "x.zip", "--check", "--data", data, code=2)
    assert not Path("x.zip").exists()
