"""One job as one file: what is in it, what it brings, what it refuses."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from courtwright.desk.keeping.open_copies import copies
from courtwright.desk.office import Office
from courtwright.errors import ArchiveError, ConflictError, InputError, MissingError
from courtwright.store import tables
from courtwright.store.bundle import contents
from courtwright.store.bundle.pack import pack
from courtwright.store.bundle.unpack import JobBundle, Unpacked, read_job, unpack
from courtwright.store.hand import Hand
from courtwright.store.keys import Keys
from courtwright.store.opened import Store, open_store
from courtwright.store.seals import verify_seals
from courtwright.store.verify import verify
from tests.store.full_job import NOW, PHOTO, add_job, add_person, id_of, walked

HAND = Hand("machine", NOW)
GOLDEN = Path(__file__).parents[1] / "data" / "bundles"


@pytest.fixture
def full(office: Office) -> Office:
    """Return an office with one person and one whole job."""
    add_person(office)
    add_job(office)
    return office


@pytest.fixture(scope="module")
def data(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the bundle of that job."""
    folder = tmp_path_factory.mktemp("bundle")
    shutil.copy(sqlite_template, folder / "store.sqlite")
    with contextlib.closing(open_store(f"sqlite:///{folder}/store.sqlite", str(folder / "files"))) as store:
        office = Office(store, keys=Keys(folder / "keys"))
        add_person(office)
        add_job(office)
        return packed(store)


@pytest.fixture
def other(sqlite_template: Path, tmp_path: Path) -> Iterator[Store]:
    """Give a second store, on SQLite."""
    shutil.copy(sqlite_template, tmp_path / "other.sqlite")
    store = open_store(f"sqlite:///{tmp_path}/other.sqlite", str(tmp_path / "other-files"))
    yield store
    store.close()


def packed(store: Store, name: str = "greens") -> bytes:
    out = io.BytesIO()
    with store.reading() as unit:
        pack(unit, id_of(name), out, copies)
    return out.getvalue()


def read(data: bytes) -> JobBundle:
    return read_job(io.BytesIO(data), "job.zip")


def into(store: Store, data: bytes) -> Unpacked:
    return unpack(store, HAND, read(data))


def remade(data: bytes, edit: Callable[[dict[str, bytes], dict[str, Any]], None], *, is_listed: bool = True) -> bytes:
    """Return a bundle with its files edited, and its list after them where it is to hold."""
    with zipfile.ZipFile(io.BytesIO(data)) as given:
        files = {name: given.read(name) for name in given.namelist()}
    manifest = json.loads(files.pop("manifest.json"))
    edit(files, manifest)
    if is_listed:
        manifest["files"] = [
            {"name": name, "size_bytes": len(part), "sha256": hashlib.sha256(part).hexdigest()}
            for name, part in sorted(files.items())
        ]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, part in files.items():
            made.writestr(name, part)
        made.writestr("manifest.json", json.dumps(manifest))
    return out.getvalue()


def rows_in(data: bytes, table: str) -> list[dict[str, Any]]:
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        return [json.loads(line) for line in file.read(f"records/{table}.jsonl").splitlines()]


def with_rows(data: bytes, table: str, change: Callable[[list[dict[str, Any]]], None]) -> bytes:
    def edit(files: dict[str, bytes], _: dict[str, Any]) -> None:
        rows = rows_in(data, table)
        change(rows)
        files[f"records/{table}.jsonl"] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)

    return remade(data, edit)


def count(store: Store) -> dict[str, int]:
    with store.reading() as unit:
        return {t.name: len(unit.connection.execute(select(t)).all()) for t in tables.METADATA.sorted_tables}


# --- laws ---------------------------------------------------------------------------------------


def test_every_table_is_in_a_bundle_of_a_job_or_left_out_on_purpose():
    """A table that is added has to be decided on: does it leave with a job?"""
    decided = {table.name for table in contents.OF_A_JOB} | set(contents.NOT_OF_A_JOB)
    assert set(tables.METADATA.tables) == decided


def test_the_same_job_packs_to_the_same_bytes(full: Office, other: Store):
    """Again, after it was packed and noted, and from another store on another database."""
    once = packed(full.store)
    with full.store.writing(HAND) as unit:
        unit.changes.note(HAND, "packed", id_of("greens"))
    assert packed(full.store) == once
    into(other, once)
    assert packed(other) == once


def test_a_job_comes_whole_with_its_history_files_and_seals(full: Office, other: Store):
    """Every row, every update of a walk and every file is there, and its seal holds under the office's key."""
    data = packed(full.store)
    done = into(other, data)
    assert (done.is_new, done.job_id, done.name) == (True, id_of("greens"), "Greens Road")
    with full.store.reading() as here, other.reading() as there:
        assert there.jobs.get(id_of("greens")) == here.jobs.get(id_of("greens"))
        assert [r.body for r in there.connection.execute(select(tables.walk_update).order_by("seq"))] == walked()
        assert [(c.action, c.before, c.after) for c in there.changes.of("job", id_of("greens"), most=9)] == [
            (c.action, c.before, c.after) for c in here.changes.of("job", id_of("greens"), most=9)
        ]
        assert there.blobs.get(there.photos.get(id_of("greens photo")).sha256) == PHOTO + b"greens"
        assert full.keys is not None
        assert verify_seals(there, full.keys) == ()
    assert verify(other) == ()


def test_no_secret_leaves(full: Office):
    """No hash of a password or a token, no email and no role, anywhere in the file."""
    data = packed(full.store)
    with full.store.reading() as unit:
        token = unit.links.get(id_of("greens link")).token_hash
    for secret in (b"argon2", b"ana@example.org", token.encode(), b"estimator"):
        assert secret not in data
    assert rows_in(data, "person") == [{"id": id_of("ana"), "name": "Ana"}]


def test_people_who_come_with_a_job_cannot_sign_in(full: Office, other: Store):
    """They are known by name, withdrawn, without a password; their link opens nothing."""
    into(other, packed(full.store))
    with other.reading() as unit:
        person = unit.people.get(id_of("ana"))
        assert (person.name, person.password_hash, person.withdrawn_at) == ("Ana", None, NOW)
        assert len(unit.links.get(id_of("greens link")).token_hash) != 64


def test_the_same_job_again_changes_nothing(full: Office, other: Store):
    """Neither where it came from nor where it went."""
    data = packed(full.store)
    into(other, data)
    for store in (full.store, other):
        before = count(store)
        assert into(store, data).added == {}
        assert count(store) == before


def test_what_only_grows_grows(full: Office, other: Store):
    """A walk, an update and a question that came later are added; what is here stays."""
    into(other, packed(full.store))
    with full.store.writing(HAND) as unit:
        unit.walks.add(id_of("later"), job_id=id_of("greens"), name="Later", walked_on=None)
        of = {"offer_id": id_of("greens offer"), "link_id": id_of("greens link")}
        unit.questions.add(id_of("second"), **of, text="When?", answer=None)
    done = into(other, packed(full.store))
    assert (done.is_new, dict(done.added)) == (False, {"walk": 1, "question": 1, "change": 2})
    assert packed(other) == packed(full.store)


def test_an_earlier_state_of_a_record_leaves_the_later_one_alone(full: Office):
    """A bundle of last week comes back: nothing of this week is undone."""
    data = packed(full.store)
    with full.store.writing(HAND) as unit:
        unit.jobs.change(id_of("greens"), None, note="this week")
    assert into(full.store, data).added == {}
    with full.store.reading() as unit:
        assert unit.jobs.get(id_of("greens")).note == "this week"


def test_a_file_that_was_lost_here_is_put_back(full: Office, tmp_path: Path):
    """A bundle heals what its job lost."""
    data = packed(full.store)
    with full.store.reading() as unit:
        sha256 = unit.photos.get(id_of("greens photo")).sha256
    (tmp_path / "files" / sha256[:2] / sha256).unlink()
    assert [one.code for one in verify(full.store)] == ["blob-missing"]
    into(full.store, data)
    assert verify(full.store) == ()


def test_a_lost_file_does_not_keep_the_rest_from_leaving(full: Office, other: Store, tmp_path: Path):
    """The bundle names what it lacks, and whoever unpacks it is told."""
    with full.store.reading() as unit:
        sha256 = unit.photos.get(id_of("greens photo")).sha256
    (tmp_path / "files" / sha256[:2] / sha256).unlink()
    assert into(other, packed(full.store)).missing == (sha256,)


def test_people_without_us_find_the_walk_as_a_site_folder_and_the_offer_as_pdf(full: Office, tmp_path: Path):
    """What lies in ``open/`` is read by the site room like any folder."""
    from courtwright.site import read_site

    with zipfile.ZipFile(io.BytesIO(packed(full.store))) as file:
        file.extractall(tmp_path / "out")
    folder = tmp_path / "out" / "open"
    record = read_site(folder / "walks" / "1-first" / "site")
    assert [pad.id for pad in record.pads] == ["north"]
    assert (folder / "offers" / "1-1" / "offer.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "offers" / "1-1" / "accepted.pdf").read_bytes() == b"%PDF sealed"
    assert (folder / "walks" / "1-first" / "other" / "1-img-1.jpg").read_bytes() == PHOTO + b"greens"


# --- other releases -----------------------------------------------------------------------------


def test_the_first_witness_of_the_form_is_read(other: Store):
    """A bundle that was written by the release that made the form, unchanged since."""
    done = into(other, (GOLDEN / "first.zip").read_bytes())
    assert (done.is_new, done.name, done.missing) == (True, "Greens Road", ())
    assert verify(other) == ()


def test_a_newer_release_may_add_what_it_says_can_be_left_out(data: bytes, other: Store):
    """Folders, tables and columns that are listed as such, and anything more in the manifest, are passed over."""

    def newer(files: dict[str, bytes], manifest: dict[str, Any]) -> None:
        manifest |= {"version": [1, 7], "step": "0999", "weather": {"is": "fine"}}
        manifest["may_ignore"] = {"folders": ["open", "voices"], "tables": ["voice"], "columns": {"job": ["mood"]}}
        files["voices/1.opus"] = b"voice"
        files["records/voice.jsonl"] = b'{"id":"1"}\n'
        job = {**rows_in(data, "job")[0], "mood": "good"}
        files["records/job.jsonl"] = json.dumps(job).encode() + b"\n"

    assert into(other, remade(data, newer)).is_new
    assert packed(other) == data


@pytest.mark.parametrize(
    ("where", "named"),
    [
        ("folder", "voices"),
        ("table", "voice"),
        ("column", "job.mood"),
        ("must", "voices"),
    ],
)
def test_a_newer_release_that_adds_what_cannot_be_left_out_is_refused(data: bytes, where: str, named: str):
    """Its name is told, and nothing is written."""

    def newer(files: dict[str, bytes], manifest: dict[str, Any]) -> None:
        manifest |= {"version": [1, 7], "step": "0999"}
        if where == "folder":
            files["voices/1.opus"] = b"voice"
        elif where == "table":
            files["records/voice.jsonl"] = b'{"id":"1"}\n'
        elif where == "must":
            manifest["must_understand"].append("voices")
        else:
            files["records/job.jsonl"] = json.dumps({**rows_in(data, "job")[0], "mood": 1}).encode() + b"\n"

    with pytest.raises(InputError) as told:
        read(remade(data, newer))
    assert (told.value.problem.id, told.value.problem.values["name"]) == ("store.bundle-must", named)


def test_a_bundle_of_an_earlier_step_is_brought_to_this_one(data: bytes, other: Store):
    """Its rows go through the steps that a database goes through."""

    def older(_: dict[str, bytes], manifest: dict[str, Any]) -> None:
        manifest["step"] = "0001"

    assert into(other, remade(data, older)).is_new
    assert packed(other) == data


def test_a_newer_form_is_refused_in_words(data: bytes):
    """A first number that is higher means: another form."""

    def newer(_: dict[str, bytes], manifest: dict[str, Any]) -> None:
        manifest["version"] = [2, 0]

    with pytest.raises(InputError) as told:
        read(remade(data, newer))
    assert told.value.problem.id == "store.bundle-newer"


# --- refusals -----------------------------------------------------------------------------------


def test_there_is_no_bundle_of_no_job(full: Office):
    """An unknown id is told."""
    with pytest.raises(MissingError):
        packed(full.store, "nobody")


def test_a_record_that_says_something_else_here_refuses_the_whole(full: Office, other: Store):
    """Two who changed one record since they shared it: neither is written over."""
    into(other, packed(full.store))
    for store, note in ((full.store, "ours"), (other, "theirs")):
        with store.writing(HAND) as unit:
            unit.jobs.change(id_of("greens"), None, note=note)
    with full.store.writing(HAND) as unit:
        unit.walks.add(id_of("later"), job_id=id_of("greens"), name="Later", walked_on=None)
    before = count(other)
    with pytest.raises(ConflictError) as told:
        into(other, packed(full.store))
    assert told.value.problem.id == "store.bundle-differs"
    assert count(other) == before


def test_an_acceptance_comes_with_its_offer_or_not_at_all(office: Office, other: Store):
    """An offer that is open here is not accepted by a file."""
    add_person(office)
    add_job(office, is_accepted=False)
    data = packed(office.store)
    into(other, data)
    forged = {"id": id_of("forged"), "offer_id": id_of("greens offer"), "options": {}, "name": "x", "consent": "x"}
    forged |= {"signed_on": None, "at": NOW.isoformat(), "who": "x"}
    with pytest.raises(ConflictError):
        into(other, with_rows(data, "acceptance", lambda rows: rows.append(forged)))
    assert count(other)["acceptance"] == 0


@pytest.mark.parametrize(
    ("table", "extra"),
    [("person", {"email": "x@example.org", "role": "head", "password_hash": "x"}), ("link", {"token_hash": "a" * 64})],
)
def test_a_bundle_that_brings_a_secret_is_refused(data: bytes, table: str, extra: dict[str, str]):
    """Nobody gets an account, or a link that opens, by a file."""
    with pytest.raises(InputError) as told:
        read(with_rows(data, table, lambda rows: rows[0].update(extra)))
    assert told.value.problem.id == "store.bundle-row"


def _of_another_job(rows: list[dict[str, Any]]) -> None:
    rows.append({**rows[0], "id": id_of("x")})


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("job", _of_another_job),
        ("walk", lambda rows: rows[0].update(job_id=id_of("x"))),
        ("walk", lambda rows: rows.append(rows[0])),
        ("photo", lambda rows: rows[0].update(walk_id=id_of("x"))),
        ("assignment", lambda rows: rows[0].update(person_id=id_of("x"))),
        ("change", lambda rows: rows[0].update(record="person")),
        ("event", lambda rows: rows[0].update(about=id_of("x"))),
        ("question", lambda rows: rows[0].update(link_id=id_of("x"))),
    ],
)
def test_rows_that_hang_on_something_else_are_refused(data: bytes, table: str, change: Any):
    """A bundle of one job writes to that job alone."""
    with pytest.raises(InputError) as told:
        read(with_rows(data, table, change))
    assert told.value.problem.id == "store.bundle-not-of-job"


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("job", lambda rows: rows[0].update(name=None)),
        ("job", lambda rows: rows[0].update(version="1")),
        ("job", lambda rows: rows[0].update(version=True)),
        ("job", lambda rows: rows[0].update(version=2**70)),
        ("job", lambda rows: rows[0].update(made_at="yesterday")),
        ("job", lambda rows: rows[0].update(made_at="2026-01-01T00:00:00")),
        ("job", lambda rows: rows[0].update(name="half \ud800")),
        ("job", lambda rows: rows[0].pop("stage")),
        ("walk", lambda rows: rows[0].update(walked_on="soon")),
        ("walk_update", lambda rows: rows[0].update(sha256="0" * 64)),
        ("walk_update", lambda rows: rows[0].update(body={"from": -5, "bytes": 5})),
        ("walk_update", lambda rows: rows[0].update(body={"from": 0, "bytes": 10**9})),
        ("walk_update", lambda rows: rows[0].update(body="text")),
    ],
)
def test_rows_that_no_database_could_keep_are_told_with_their_place(data: bytes, table: str, change: Any):
    """The table and the row are named."""
    with pytest.raises(InputError) as told:
        read(with_rows(data, table, change))
    assert told.value.problem.id == "store.bundle-row"
    assert dict(told.value.problem.values) == {"table": table, "number": 1}


def _flip(files: dict[str, bytes], _: dict[str, Any]) -> None:
    name = next(name for name in files if name.startswith("blobs/"))
    files[name] = files[name][:-1] + bytes([files[name][-1] ^ 1])


@pytest.mark.parametrize(
    ("edit", "id"),
    [
        (_flip, "damaged"),
        (lambda files, _: files.pop("records/job.jsonl"), "less"),
        (lambda files, _: files.update({"records/more.jsonl": b""}), "more"),
        (lambda files, _: files.update({"records/job.jsonl": b""}), "damaged"),
        (lambda _, manifest: manifest.update(format="something"), "foreign"),
        (lambda _, manifest: manifest.update(version="1"), "foreign"),
        (lambda _, manifest: manifest.update(version=[0, 9]), "foreign"),
        (lambda _, manifest: manifest.update(kind="store"), "kind-job"),
        (lambda _, manifest: manifest.pop("files"), "foreign"),
        (lambda _, manifest: manifest["files"][0].update(size_bytes=-1), "foreign"),
        (lambda _, manifest: manifest.update(job=id_of("x")), "not-of-job"),
    ],
)
def test_a_damaged_or_foreign_file_is_refused_whole(data: bytes, edit: Any, id: str):
    """Checksums, names, sizes, form: told before anything is written."""
    with pytest.raises(InputError) as told:
        read(remade(data, edit, is_listed=False))
    assert told.value.problem.id == f"store.bundle-{id}"


def test_a_file_cut_anywhere_is_refused(data: bytes):
    """A copy that broke off, at forty places from its first byte to its last."""
    for end in range(0, len(data), len(data) // 40 + 1):
        with pytest.raises(InputError):
            read(data[:end])


def test_a_file_with_any_byte_changed_is_refused_or_the_same(data: bytes):
    """One flipped bit at four hundred places: what is read is what was packed, or nothing."""
    rows = read(data).rows
    for at in range(0, len(data), len(data) // 400 + 1):
        flipped = data[:at] + bytes([data[at] ^ 0x10]) + data[at + 1 :]
        try:
            found = read(flipped).rows
        except InputError:
            continue
        assert found == rows


@pytest.mark.parametrize("name", ["../outside", "/outside", "C:/outside", "blobs/../../outside"])
def test_a_name_that_leaves_the_archive_refuses_it(data: bytes, name: str):
    """Nothing of such a file is read."""
    with pytest.raises(ArchiveError):
        read(remade(data, lambda files, _: files.update({name: b"x"})))


def test_a_bomb_is_refused_before_it_is_opened(full: Office):
    """A file that would grow a thousandfold."""
    out = io.BytesIO(packed(full.store))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as file:
        file.writestr("open/zeros", b"\0" * 50_000_000)
    with pytest.raises(ArchiveError):
        read(out.getvalue())


@pytest.mark.parametrize("data", [b"", b"no zip", b"PK\x05\x06" + b"\0" * 18, b"SQLite format 3\0" + b"\0" * 4096])
def test_what_is_no_bundle_is_told(data: bytes):
    """Anything else, in words."""
    with pytest.raises(InputError):
        read(data)


def test_keys_of_another_office_leave_a_note(full: Office, other: Store, tmp_path: Path):
    """Seals that came along cannot be looked at without their key, and nobody is alarmed."""
    into(other, packed(full.store))
    with other.reading() as unit:
        found = verify_seals(unit, Keys(tmp_path / "no-keys"))
    assert {(one.code, one.weight) for one in found} == {("seal-foreign", "note")}
