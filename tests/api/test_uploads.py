"""Photos and survey files in parts: broken off and gone on with, whole or not at all, known by their content."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import io
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response
from PIL import Image

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.office import Office
from courtwright.desk.walks import uploads
from tests.api.running import running
from tests.api.walking import caller_of, client_of, new_walk, who
from tests.desk.jobs import a_job


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Return a client whose caller says who they are."""
    with client_of(office) as client:
        yield client


@pytest.fixture
def walk(client: TestClient, office: Office) -> str:
    """Return the address of a new walk."""
    return new_walk(client, a_job(office))


def jpeg(colour: int = 120, size: tuple[int, int] = (400, 300)) -> bytes:
    """Return a photo."""
    out = io.BytesIO()
    Image.effect_noise(size, colour).convert("RGB").save(out, "JPEG", quality=95)
    return out.getvalue()


def announce(client: TestClient, walk: str, data: bytes, by: str = "estimator", **given: object) -> Response:
    """Announce a file."""
    body = {"sha256": hashlib.sha256(data).hexdigest(), "size_bytes": len(data), "name": "a.jpg", "kind": "photo"}
    return client.post(f"{walk}/uploads", json={**body, **given}, headers=who(by))


def append(client: TestClient, url: str, offset: int, data: bytes, name: str = "estimator", **more: str) -> Response:
    """Send a part."""
    headers = {"Upload-Offset": str(offset), "Content-Type": "application/partial-upload", **who(name), **more}
    return client.patch(url, content=data, headers=headers)


def kept(client: TestClient, walk: str, kind: str = "photos") -> list[str]:
    """Return the hashes of the photos or survey files of a walk."""
    return [one["sha256"] for one in client.get(f"{walk}/{kind}").json()["items"]]


# --- laws ---------------------------------------------------------------------------------------


def test_a_photo_comes_in_parts_and_is_kept_once_it_is_whole(client: TestClient, walk: str) -> None:
    """Each answer tells how far it has come; before the last part the walk has no photo, after it the very bytes."""
    data = jpeg()
    made = announce(client, walk, data)
    url = made.headers["location"]
    assert (made.status_code, made.headers["upload-offset"], made.headers["upload-complete"]) == (201, "0", "?0")
    for start in (0, 5000, 10_000):
        assert client.head(url).headers["upload-offset"] == str(start)
        done = append(client, url, start, data[start : start + 5000])
        assert (done.status_code, done.headers["upload-complete"]) == (204, "?0")
        assert kept(client, walk) == []
    last = append(client, url, 15_000, data[15_000:], **{"Upload-Complete": "?1"})
    assert (last.status_code, last.headers["upload-complete"]) == (204, "?1")
    assert last.headers["upload-offset"] == str(len(data))
    photo = client.get(f"{walk}/photos").json()["items"][0]
    assert client.get(url).json()["kept_id"] == photo["id"]
    assert (photo["media"], photo["facts"]["width_px"], photo["size_bytes"]) == ("image/jpeg", 400, len(data))
    assert client.get(f"/api/photos/{photo['id']}").content == data


def test_a_part_that_is_sent_again_does_no_harm(client: TestClient, walk: str) -> None:
    """In the midst 409 with where to go on; after the end it is acknowledged; one photo comes of it."""
    data = jpeg()
    url = announce(client, walk, data).headers["location"]
    append(client, url, 0, data[:5000])
    again = append(client, url, 0, data[:5000])
    assert (again.status_code, again.headers["upload-offset"]) == (409, "5000")
    assert again.json()["code"] == "upload-offset"
    assert append(client, url, 9000, data[9000:]).headers["upload-offset"] == "5000"
    append(client, url, 5000, data[5000:])
    replayed = append(client, url, 5000, data[5000:])
    assert (replayed.status_code, replayed.headers["upload-complete"]) == (204, "?1")
    assert len(kept(client, walk)) == 1


def test_what_is_announced_again_is_the_same_upload_and_what_is_kept_need_not_come(
    client: TestClient, walk: str, office: Office
) -> None:
    """A phone that forgot goes on; the file is one of a second walk without a byte sent; the crew by its own job."""
    data = jpeg()
    url = announce(client, walk, data).headers["location"]
    append(client, url, 0, data[:5000])
    again = announce(client, walk, data)
    assert (again.headers["location"], again.headers["upload-offset"]) == (url, "5000")
    append(client, url, 5000, data[5000:])
    second = new_walk(client, a_job(office))
    assert announce(client, second, data, "crew").status_code == 201
    there = announce(client, second, data)
    assert (there.status_code, there.json()["is_complete"]) == (200, True)
    assert kept(client, second) == kept(client, walk)


def test_a_connection_that_breaks_costs_only_what_had_not_come(office: Office, tmp_path: Path) -> None:
    """A socket is closed in the midst of a body; what came is there, and the rest makes it whole."""
    data = jpeg(size=(1500, 1100))
    assert len(data) > 1_200_000
    app = create_app(office)
    app.dependency_overrides[signed_in] = caller_of
    with TestClient(app) as client:
        walk = new_walk(client, a_job(office))
        url = announce(client, walk, data).headers["location"]
        with running(app, tmp_path) as served, socket.create_connection(served.place) as line:
            head = f"PATCH {url} HTTP/1.1\r\nHost: localhost\r\nUpload-Offset: 0\r\nContent-Length: {len(data)}\r\n\r\n"
            line.sendall(head.encode() + data[:1_100_000])
            time.sleep(0.3)
            line.close()
            until = time.monotonic() + 10
            while (came := int(client.head(url).headers["upload-offset"])) < 1_000_000 and time.monotonic() < until:
                time.sleep(0.05)
        assert 1_000_000 <= came <= 1_100_000
        while client.head(url).headers["upload-offset"] != str(came):
            came = int(client.head(url).headers["upload-offset"])
        assert append(client, url, came, data[came:]).headers["upload-complete"] == "?1"
        assert kept(client, walk) == [hashlib.sha256(data).hexdigest()]


def test_two_that_send_the_same_file_at_once_make_one_photo(client: TestClient, walk: str) -> None:
    """Each goes on where the server stands; nothing is doubled."""
    data = jpeg(size=(800, 600))
    url = announce(client, walk, data).headers["location"]

    def work() -> None:
        for _ in range(200):
            state = client.head(url).headers
            if state["upload-complete"] == "?1":
                return
            offset = int(state["upload-offset"])
            append(client, url, offset, data[offset : offset + 20_000])

    threads = [threading.Thread(target=work) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert kept(client, walk) == [hashlib.sha256(data).hexdigest()]


def test_a_survey_file_is_one_by_its_content(client: TestClient, walk: str) -> None:
    """Points as CSV are taken whatever they are called, and given out as bytes to be saved."""
    data = b"point,northing,easting,elevation\n1,0,0,100\n"
    url = announce(client, walk, data, kind="survey", name="shots.html").headers["location"]
    assert append(client, url, 0, data).headers["upload-complete"] == "?1"
    one = client.get(f"{walk}/surveys").json()["items"][0]
    found = client.get(f"/api/surveys/{one['id']}")
    assert (found.content, found.headers["content-type"]) == (data, "application/octet-stream")
    assert found.headers["content-disposition"].startswith("attachment")


def test_an_upload_to_which_nothing_comes_is_given_up_after_a_month(
    client: TestClient, walk: str, office: Office
) -> None:
    """Not before; what came of it is gone, and it may be announced anew."""
    data = jpeg()
    url = announce(client, walk, data).headers["location"]
    append(client, url, 0, data[:5000])
    id = url.rpartition("/")[2]
    now = dt.datetime.now(dt.UTC)
    for days, given_up in ((29, 0), (31, 1), (32, 0)):
        later = dataclasses.replace(office, now=lambda days=days: now + dt.timedelta(days=days))
        assert uploads.tidy_uploads(later) == given_up
    assert office.store.parts.size(id) == 0
    assert append(client, url, 0, data).status_code == 409
    assert announce(client, walk, data).headers["location"] != url


# --- refusals -----------------------------------------------------------------------------------


def test_what_is_not_what_was_announced_is_dropped_and_may_come_again(client: TestClient, walk: str) -> None:
    """Another file of the same size: refused, back at the first byte, and the right one is taken then."""
    data = jpeg()
    url = announce(client, walk, data).headers["location"]
    wrong = append(client, url, 0, data[:-1] + b"x")
    assert (wrong.status_code, kept(client, walk)) == (422, [])
    assert client.head(url).headers["upload-offset"] == "0"
    assert append(client, url, 0, data).headers["upload-complete"] == "?1"


SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><script>alert(1)</script>"


@pytest.mark.parametrize(
    "data", [SVG, HTML, b"GIF89a" + bytes(60), b"BM" + bytes(60), b"\xff\xd8\xff" + HTML, b"%PDF-1.7"]
)
@pytest.mark.parametrize("name", ["a.jpg", "a.svg"])
def test_what_is_no_photo_is_refused_whatever_it_is_called(
    client: TestClient, walk: str, data: bytes, name: str
) -> None:
    """By its content alone, in words; nothing of it is kept."""
    url = announce(client, walk, data, name=name).headers["location"]
    answer = append(client, url, 0, data)
    assert answer.status_code == 422
    assert answer.json()["title"]
    assert kept(client, walk) == []
    assert client.head(url).headers["upload-offset"] == "0"


@pytest.mark.parametrize(
    "data",
    [SVG, HTML, b"%PDF-1.7", b"PK\x03\x04" + bytes(60), bytes(range(256)), jpeg()],
    ids=["svg", "html", "pdf", "zip", "bytes", "photo"],
)
def test_what_is_no_survey_is_refused(client: TestClient, walk: str, data: bytes) -> None:
    """Pages, papers, archives, pictures and bytes that mean nothing."""
    url = announce(client, walk, data, kind="survey", name="shots.csv").headers["location"]
    assert append(client, url, 0, data).status_code == 422
    assert kept(client, walk, "surveys") == []


def test_more_than_was_announced_is_refused(client: TestClient, walk: str) -> None:
    """What was there before stays."""
    data = jpeg()
    url = announce(client, walk, data).headers["location"]
    append(client, url, 0, data[:5000])
    assert append(client, url, 5000, data).status_code == 422
    assert client.head(url).headers["upload-offset"] == "5000"
    short = append(client, url, 5000, data[5000:6000], **{"Upload-Complete": "?1"})
    assert (short.status_code, client.head(url).headers["upload-offset"]) == (422, "6000")


@pytest.mark.parametrize(
    "given",
    [{"sha256": "x" * 64}, {"sha256": "AB" * 32}, {"size_bytes": 0}, {"kind": "page"}, {"name": "a\nb"}, {"more": 1}],
)
def test_what_cannot_be_announced(client: TestClient, walk: str, given: dict[str, object]) -> None:
    """422."""
    assert announce(client, walk, b"x", **given).status_code == 422


def test_too_large_or_too_many_are_refused(client: TestClient, walk: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """413 for one file, 409 for all of one person; given up, there is room again; others are not held up."""
    assert announce(client, walk, b"x", size_bytes=61_000_000).status_code == 413
    monkeypatch.setattr(uploads, "MOST_OPEN", 2)
    urls = [announce(client, walk, bytes([n]), size_bytes=1).headers["location"] for n in range(2)]
    assert announce(client, walk, b"c").status_code == 409
    assert announce(client, walk, b"c", "crew").status_code == 201
    assert client.delete(urls[0]).status_code == 204
    assert announce(client, walk, b"c").status_code == 201
    monkeypatch.setattr(uploads, "MOST_OPEN_BYTES", 100)
    assert announce(client, walk, b"d", "head", size_bytes=101).status_code == 409


def test_an_upload_is_its_senders_alone(client: TestClient, walk: str) -> None:
    """Another person of the same job finds none, and without an offset nothing is appended."""
    url = announce(client, walk, b"x").headers["location"]
    for name in ("crew", "crew off", "head"):
        assert client.head(url, headers=who(name)).status_code == 404
        assert append(client, url, 0, b"x", name).status_code == 404
        assert client.delete(url, headers=who(name)).status_code == 404
    assert client.patch(url, content=b"x").status_code == 422
