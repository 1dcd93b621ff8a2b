"""A walk as one file, out and in; what it says; the demo site by way of both is the demo site."""

from __future__ import annotations

import functools
import hashlib
import io
import json
import uuid
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from courtwright.desk.kinds import answer, asked
from courtwright.desk.kinds.asked import Site
from courtwright.desk.office import Office
from courtwright.desk.workers.pool import untold
from tests.api.walking import OCTETS, client_of, new_walk, receive, send_all, who
from tests.desk.jobs import a_job
from tests.store.walk.phones import Phone

DEMO = Path(__file__).resolve().parents[2] / "src" / "courtwright" / "site" / "demo_site"
PAD = str(uuid.UUID(int=0xA))
PADS = {"site.toml": b"[[pad]]\nid = 1\n"}
MARK = str(uuid.UUID(int=0xB))


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Return a client whose caller says who they are."""
    with client_of(office) as client:
        yield client


@pytest.fixture
def job(office: Office) -> str:
    """Return the id of a job."""
    return a_job(office)


def zipped(files: dict[str, bytes]) -> bytes:
    """Return files as a zip."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def demo() -> dict[str, bytes]:
    """Return the files of the demo site."""
    return {path.relative_to(DEMO).as_posix(): path.read_bytes() for path in DEMO.rglob("*") if path.is_file()}


def take_in(client: TestClient, job: str, data: bytes, name: str = "estimator", **query: str) -> Response:
    """Send a file of a walk."""
    return client.post(f"/api/jobs/{job}/walks/file", content=data, headers={**OCTETS, **who(name)}, params=query)


def answer_of(command: Literal["check", "verdict"], site: Site) -> dict[str, Any]:
    """Return the answer of the command of that name."""
    found = json.loads(answer.run(asked.payload(asked.AnswerAsked(command), site), untold))
    for pad in found["pads"]:
        for finding in pad.get("findings", []):
            # In a walk marks have ids of their own: where a finding lies is told by other names there.
            finding["at"] = [place["kind"] for place in finding["at"]]
    return found


@functools.cache
def wanted(command: Literal["check", "verdict"]) -> dict[str, Any]:
    """Return what a command says of the demo site."""
    return answer_of(command, demo())


# --- laws ---------------------------------------------------------------------------------------


def test_the_demo_site_comes_back_with_the_same_answers(client: TestClient, job: str) -> None:
    """Taken in, given out as a site folder and as a walk's file: check and verdict say what they say of the demo."""
    made = take_in(client, job, zipped(demo()))
    assert made.status_code == 201, made.text
    url = made.headers["location"]
    assert made.json()["walk"]["walked_on"] is not None
    assert answer_of("check", client.get(f"{url}/site.zip").content) == wanted("check")
    assert answer_of("verdict", client.get(f"{url}/file").content) == wanted("verdict")
    record = client.get(f"{url}/record").json()
    complaints = [{key: value for key, value in one.items() if key != "id"} for one in record["complaints"]]
    whole = wanted("check")
    assert record["pads"] == [{key: value for key, value in pad.items() if key != "facts"} for pad in whole["pads"]]
    # What an answer overrules shows only once the ground is read; everything else is told at once.
    assert complaints == [one for one in whole["complaints"] if one["code"] != "answer-overrules"]


def test_the_demo_site_that_the_service_gives_is_the_one_that_the_command_writes(client: TestClient, job: str) -> None:
    """The same files; the same zip each time; and a job takes it in as a walk."""
    given = client.get("/api/demo/site.zip")
    assert given.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(given.content)) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == demo()
    assert client.get("/api/demo/site.zip").content == given.content
    made = take_in(client, job, given.content)
    assert made.status_code == 201, made.text
    assert answer_of("check", client.get(f"{made.headers['location']}/site.zip").content) == wanted("check")


def test_a_file_taken_in_again_changes_nothing_and_a_later_one_brings_what_is_new(
    client: TestClient, job: str, office: Office
) -> None:
    """The same site folder is the same walk; the same walk's file too; in another job it is a walk of its own."""
    data = zipped({"site.toml": b'[[pad]]\nid = "n"\noutline = [[0,0],[9,0],[9,9]]\n'})
    first, again = take_in(client, job, data), take_in(client, job, data)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["walk"] == again.json()["walk"]
    assert again.json()["synced"]["new"] == 0
    url = first.headers["location"]
    saved = client.get(f"{url}/file").content
    assert saved == client.get(f"{url}/file").content
    assert take_in(client, job, saved).json()["synced"]["new"] == 0
    elsewhere = take_in(client, a_job(office), saved)
    assert elsewhere.status_code == 201
    assert elsewhere.json()["walk"]["id"] != first.json()["walk"]["id"]
    phone = Phone(5)
    receive(client, url, phone)
    phone.set("walk", "", "name", "Later")
    send_all(client, url, phone)
    later = client.get(f"{url}/file").content
    grown = take_in(client, a_job(office), later, walk=str(uuid.uuid4()))
    assert grown.status_code == 201
    there = elsewhere.headers["location"]
    assert client.get(f"{there}/record").json()["plain"]["walk"].get("name") is None
    merged = take_in(client, elsewhere.json()["walk"]["job_id"], later)
    assert merged.status_code == 200
    assert merged.json()["synced"]["new"] == 1
    assert client.get(f"{there}/record").json()["plain"]["walk"]["name"] == "Later"


def test_everything_that_was_typed_and_every_file_is_in_a_walks_file(
    client: TestClient, job: str, office: Office
) -> None:
    """Photos shown, photos withdrawn and what was typed over: all there in the office that takes it in."""
    photo = next(data for name, data in demo().items() if name.startswith("photos/"))
    other = next(data for name, data in sorted(demo().items(), reverse=True) if name.startswith("photos/"))
    made = take_in(client, job, zipped({**PADS, "photos/a.jpg": photo, "photos/b.jpg": other}))
    url = made.headers["location"]
    phone = Phone(5)
    receive(client, url, phone)
    phone.set("walk", "", "name", "First")
    phone.set("walk", "", "name", "Second")
    send_all(client, url, phone)
    gone = client.get(f"{url}/photos").json()["items"][0]
    client.post(f"/api/photos/{gone['id']}/withdraw", headers={"If-Match": f'"{gone["version"]}"'})
    id = str(uuid.uuid4())
    there = take_in(client, a_job(office), client.get(f"{url}/file").content, walk=id).headers["location"]
    assert there == f"/api/walks/{id}"
    kept = (
        client.get(f"{there}/photos").json()["items"]
        + client.get(f"{there}/photos", params={"withdrawn": True}).json()["items"]
    )
    assert {one["sha256"] for one in kept} == {hashlib.sha256(data).hexdigest() for data in (photo, other)}
    assert [one["sha256"] for one in kept if one["withdrawn_at"]] == [gone["sha256"]]
    for one in kept:
        assert hashlib.sha256(client.get(f"/api/photos/{one['id']}").content).hexdigest() == one["sha256"]
    typed = {one["after"] for one in client.get(f"{there}/history").json()["items"] if one["field"] == "name"}
    assert {"First", "Second"} <= typed


def test_what_a_phone_saved_is_a_walk(client: TestClient, job: str) -> None:
    """Bare envelopes come in; a later save of the same phone is the same walk."""
    phone = Phone(1)
    phone.set("walk", "", "name", "a")
    first = take_in(client, job, b"".join(phone.envelope(one) for one in phone.made))
    phone.set("walk", "", "name", "b")
    later = take_in(client, job, b"".join(phone.envelope(one) for one in phone.made))
    assert (first.status_code, later.status_code) == (201, 200)
    assert first.json()["walk"]["id"] == later.json()["walk"]["id"]
    assert later.json()["synced"]["new"] == 1


def test_a_walk_that_breaks_its_shape_is_complained_of_with_the_item_in_both_languages(
    client: TestClient, job: str
) -> None:
    """Good records are there; each complaint leads to the UUID of what it is about."""
    url = new_walk(client, job)
    phone = Phone(1)
    phone.new_item("pads", PAD, {"id": "north", "outline": [[0, 0], [120, 0], [120, 60], [0, 60]]})
    one_point = {"type": "LineString", "coordinates": [[10, 10]]}
    phone.new_item("marks", MARK, {"mark": "crack", "pad": PAD, "geometry": one_point})
    phone.root("marks")["x"] = "no map"
    assert send_all(client, url, phone).status_code == 200
    english = client.get(f"{url}/record").json()
    spanish = client.get(f"{url}/record", headers={"Accept-Language": "es"}).json()
    assert [one["id"] for one in english["pads"]] == ["north"]
    assert english["plain"]["marks"]["x"] == "no map"
    assert {one["id"] for one in english["complaints"]} >= {MARK, "x"}
    for one, other in zip(english["complaints"], spanish["complaints"], strict=True):
        assert one["code"] == other["code"]
        assert one["says"] != other["says"]


def test_a_walk_without_a_pad_has_a_record_that_says_so(client: TestClient, job: str) -> None:
    """Nothing to compute is no fault: the document, the complaints, and no answer."""
    url = new_walk(client, job)
    found = client.get(f"{url}/record")
    assert found.status_code == 200
    assert found.json()["pads"] == []
    assert found.json()["seq"] == 0


def test_a_document_names_no_file_of_another_walk(client: TestClient, job: str, office: Office) -> None:
    """Whoever writes the hash of a stranger's photo into a walk gets nothing of it."""
    photo = next(data for name, data in demo().items() if name.startswith("photos/"))
    take_in(client, job, zipped({"site.toml": b"[[pad]]\nid = 1\n", "photos/a.jpg": photo}))
    url = new_walk(client, a_job(office))
    phone = Phone(1)
    phone.new_item("photos", MARK, {"name": "a.jpg", "sha256": hashlib.sha256(photo).hexdigest()})
    send_all(client, url, phone)
    with zipfile.ZipFile(io.BytesIO(client.get(f"{url}/file").content)) as archive:
        assert not [name for name in archive.namelist() if name.startswith(("photos/", "walk/blobs"))]


# --- refusals -----------------------------------------------------------------------------------


def _bomb() -> bytes:
    return zipped({"site.toml": b"[[pad]]\n", "big.csv": bytes(300_000_000)})


def _link() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("site.toml", b"[[pad]]\n")
        info = zipfile.ZipInfo("photos/a.jpg")
        info.external_attr = 0o120777 << 16
        archive.writestr(info, "/etc/passwd")
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no zip",
        b"cw-walk",
        zipped({"other.txt": b"x"}),
        zipped({"../site.toml": b"x"}),
        zipped({"/etc/site.toml": b"x"}),
        zipped({"walk/updates.bin": b""}),
        zipped({"walk/updates.bin": b"x", "walk/manifest.json": b"{}"}),
        zipped({"walk/updates.bin": b"", "walk/manifest.json": b"[" * 100_000}),
        zipped({"walk/updates.bin": b"", "walk/manifest.json": b'{"format": "courtwright walk", "version": [9, 0]}'}),
        zipped({"walk/updates.bin": b"", "walk/manifest.json": b'{"format": "courtwright walk", "version": [1, 0]}'}),
        zipped({"site.toml": b"x" * 1000})[:-30],
        _link(),
        _bomb(),
    ],
    ids=range(14),
)
def test_what_is_no_walk_is_refused_whole(client: TestClient, job: str, data: bytes) -> None:
    """422 in words, and no walk comes of it."""
    answer = take_in(client, job, data)
    assert answer.status_code == 422, answer.text
    assert answer.json()["title"]
    assert client.get(f"/api/jobs/{job}/walks").json()["items"] == []


def test_a_damaged_file_of_a_walk_is_refused(client: TestClient, job: str, office: Office) -> None:
    """A photo that is not what it was is missing from its hash; a damaged update keeps all out."""
    url = new_walk(client, job)
    phone = Phone(1)
    phone.set("walk", "", "name", "a")
    send_all(client, url, phone)
    with zipfile.ZipFile(io.BytesIO(client.get(f"{url}/file").content)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    updates = bytearray(files["walk/updates.bin"])
    updates[-1] ^= 1
    other = a_job(office)
    assert take_in(client, other, zipped({**files, "walk/updates.bin": bytes(updates)})).status_code == 422
    assert client.get(f"/api/jobs/{other}/walks").json()["items"] == []


def test_a_file_does_not_go_into_a_walk_of_another_job(client: TestClient, job: str, office: Office) -> None:
    """409 where the id is asked for; nothing changes there."""
    url = new_walk(client, a_job(office))
    answer = take_in(client, job, zipped(PADS), walk=url.rpartition("/")[2])
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict")
    assert client.get(f"{url}/state").json()["seq"] == 0


def test_the_crew_of_another_job_takes_nothing_in_and_nothing_out(client: TestClient, job: str) -> None:
    """404, as if there were none."""
    url = new_walk(client, job)
    assert take_in(client, job, b"x", "crew off").status_code == 404
    for path in ("record", "file", "site.zip"):
        assert client.get(f"{url}/{path}", headers=who("crew off")).status_code == 404
        assert client.get(f"{url}/{path}", headers=who("crew")).status_code == 200
