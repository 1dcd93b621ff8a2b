"""A survey file over the web: it comes, it is looked at, it is taken, and everybody reads the same heights of it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import io
import uuid
import zipfile
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from courtwright.desk.office import Office
from courtwright.desk.walks.sync import OFFICE
from courtwright.site.folder import read_site
from courtwright.store.walk.envelope import Envelope, pack
from courtwright.store.walk.written import updates_of
from tests.api.test_answers import app_of
from tests.api.test_stakes import done
from tests.desk.jobs import a_job

#: A surveyor's list: a title, odd headings, German marks, heights in millimetres before places in metres.
ODD = "Aufmass Platz;;;\nNr;Hoehe;Rechts;Hoch\n" + "".join(
    f"P{i};{100_000 + 5 * x + 10 * y};{x},0;{y},50\n"
    for i, (x, y) in enumerate([(x, y) for x in range(2, 17, 3) for y in range(2, 33, 5)], 1)
)
PAD, FILE = str(uuid.UUID(int=1)), str(uuid.UUID(int=2))
COLUMNS = {
    **{"easting": 3, "northing": 4, "elevation": 2, "point": 1, "heading_lines": 2},
    **{"delimiter": "semicolon", "decimal": "comma", "unit": "m", "height_unit": "mm"},
}


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


def typed(client: TestClient, walk: str, plain: dict[str, dict[str, Any]], author: int) -> None:
    """Send what was typed somewhere."""
    now = dt.datetime.now(dt.UTC)
    body = b"".join(pack(Envelope(OFFICE, now, update)) for update in updates_of(plain, author))
    headers = {"Content-Type": "application/octet-stream"}
    assert client.post(f"/api/walks/{walk}/updates", content=body, headers=headers).is_success


def a_walk(office: Office, client: TestClient) -> str:
    walk = str(uuid.uuid4())
    assert client.post(f"/api/jobs/{a_job(office)}/walks", json={"id": walk}).status_code == 201
    outline = [[0, 0], [18, 0], [18, 36], [0, 36]]
    shot = {"pad": PAD, "x": "3 m", "y": "3 m", "elevation": "12 m", "order": 1}
    plain = {
        "walk": {"shape": 1, "units": "metric", "name": "Linden Row"},
        "pads": {PAD: {"id": "a", "outline": outline, "order": 1}},
        "shots": {str(uuid.UUID(int=9)): shot},
    }
    typed(client, walk, plain, 1)
    return walk


def come(client: TestClient, walk: str, data: bytes, name: str = "platz 3.asc") -> str:
    """Send a survey file; return its SHA-256."""
    sha256 = hashlib.sha256(data).hexdigest()
    given = {"sha256": sha256, "size_bytes": len(data), "name": name, "kind": "survey"}
    upload = client.post(f"/api/walks/{walk}/uploads", json=given).json()["id"]
    headers = {"Content-Type": "application/partial-upload", "Upload-Offset": "0", "Upload-Complete": "?1"}
    sent = client.patch(f"/api/uploads/{upload}", content=data, headers=headers)
    assert sent.status_code == 204, sent.text
    return sha256


def looked(client: TestClient, walk: str, sha256: str, **told: object) -> dict[str, Any]:
    begun = client.post(f"/api/walks/{walk}/surveys/looks", json={"sha256": sha256, "pad": PAD, **told})
    assert begun.status_code == 202, begun.text
    assert done(client, begun.json()["id"])["state"] == "done"
    found = client.get(begun.headers["location"])
    assert found.status_code == 200, found.text
    return found.json()


# --- laws ---------------------------------------------------------------------------------------


def test_a_list_with_odd_columns_is_looked_at_told_taken_and_taken_away(office: Office, tmp_path: Path) -> None:
    """The look, the record of the walk and the exported folder read the same heights; typed shots count again after."""
    with TestClient(app_of(office, workers=1)) as client:
        walk = a_walk(office, client)
        sha256 = come(client, walk, ODD.encode())
        blind = looked(client, walk, sha256)
        assert (blind["kind"], blind["on_pad"]) == ("text", 0)
        listed = blind["listed"]
        assert (listed["delimiter"], listed["decimal"], listed["heading_lines"]) == ("semicolon", "comma", 2)
        assert listed["rows"][1] == ["Nr", "Hoehe", "Rechts", "Hoch"]

        told = looked(client, walk, sha256, columns=COLUMNS)
        assert (told["points"], told["on_pad"], told["off_pad"]) == (35, 35, 0)
        assert (told["unit_m"], told["height_unit_m"]) == (1.0, 0.001)
        # 100 m + 5 mm × 2 + 10 mm × 2, and 100 m + 5 mm × 14 + 10 mm × 32.
        assert (told["lowest_m"], told["highest_m"]) == (100.03, 100.39)
        assert len(told["sketch_on_m"]) == 35
        assert told["complaints"] == []

        file = {"name": "platz 3.asc", "sha256": sha256, "columns": COLUMNS, "order": 1}
        outline = [[0, 0], [18, 0], [18, 36], [0, 36]]
        taken = {"files": {FILE: file}, "pads": {PAD: {"id": "a", "outline": outline, "shots": FILE, "order": 1}}}
        typed(client, walk, taken, 2)
        record = client.get(f"/api/walks/{walk}/record").json()
        assert record["pads"][0]["shots"] == 35
        assert [one["code"] for one in record["complaints"]] == ["walk-shots-both"]
        folder = client.get(f"/api/walks/{walk}/site.zip").content

        gone = {"files": {FILE: {**file, "withdrawn": True}}}
        typed(client, walk, gone, 3)
        assert client.get(f"/api/walks/{walk}/record").json()["pads"][0]["shots"] == 1
    path = tmp_path / "site.zip"
    path.write_bytes(folder)
    (pad,) = read_site(path).pads
    assert pad.shots is not None
    assert (len(pad.shots.xyz), pad.shots.source) == (35, "platz 3.asc")
    assert pad.shots.xyz[0].tolist() == pytest.approx([2.0, 2.5, 100.03])
    with zipfile.ZipFile(io.BytesIO(folder)) as archive:
        assert archive.read("platz 3.asc") == ODD.encode()


def test_a_list_in_a_map_is_placed_by_two_corners(office: Office) -> None:
    """The pad turned by a right angle: x runs south, y runs east; without a place nothing lies on the pad."""
    rows = "".join(
        f"{n},{5000 + y},{9000 - x},{50 + y / 100}\n"
        for n, (x, y) in enumerate([(x, y) for x in (3, 9, 15) for y in (3, 18, 33)], 1)
    )
    with TestClient(app_of(office, workers=1)) as client:
        walk = a_walk(office, client)
        sha256 = come(client, walk, ("id,e,n,z\n" + rows).encode())
        plain = looked(client, walk, sha256)
        assert (plain["points"], plain["on_pad"]) == (9, 0)
        assert plain["extent"] == [5003.0, 8985.0, 5033.0, 8997.0]
        columns = {"easting": 2, "northing": 3, "elevation": 4, "point": 1, "heading_lines": 1, "frame": "survey"}
        place = {"common": [[0, 0, 5000, 9000], [0, 36, 5036, 9000]]}
        found = looked(client, walk, sha256, columns=columns, place=place)
        assert (found["on_pad"], found["lowest_m"], found["highest_m"]) == (9, 50.03, 50.33)
        assert [3.0, 3.0] in found["sketch_on_m"]
        by_origin = looked(client, walk, sha256, columns=columns, place={"origin": [5000, 9000], "bearing_deg": 90})
        assert by_origin["sketch_on_m"] == found["sketch_on_m"]
        lacking = looked(client, walk, sha256, columns=columns)
        assert [one["code"] for one in lacking["complaints"]] == ["place-lacks"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "data",
    [b"PK\x03\x04" + bytes(60), b"%PDF-1.7 x", b"\x00\x01\x02" * 40, b"<html></html>", b"\xff\xd8\xff\xe0" + bytes(40)],
)
def test_what_is_no_survey_is_refused_in_words(office: Office, data: bytes) -> None:
    """An archive, a page, a picture: told what to bring, and nothing is kept."""
    with TestClient(app_of(office)) as client:
        walk = a_walk(office, client)
        given = {"sha256": hashlib.sha256(data).hexdigest(), "size_bytes": len(data), "name": "a.csv", "kind": "survey"}
        upload = client.post(f"/api/walks/{walk}/uploads", json=given).json()["id"]
        headers = {"Content-Type": "application/partial-upload", "Upload-Offset": "0", "Upload-Complete": "?1"}
        refused = client.patch(f"/api/uploads/{upload}", content=data, headers=headers)
        assert refused.status_code == 422
        assert refused.json()["detail"]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"LASF" + bytes(400), "scan-damaged"),
        (b"<?xml version='1.0'?><LandXML><CgPoints>", "landxml-damaged"),
        (b"II*\x00" + bytes(50), "raster-damaged"),
        (b"SQLite format 3\x00" + bytes(200), "layers-damaged"),
        (b"nothing, to, see\n", "no-points"),
    ],
)
def test_a_damaged_file_is_told_by_the_look(office: Office, data: bytes, code: str) -> None:
    """With the file's name; nothing fails, and no height is made up."""
    with TestClient(app_of(office, workers=1)) as client:
        walk = a_walk(office, client)
        found = looked(client, walk, come(client, walk, data))
        assert (found["on_pad"], found["lowest_m"]) == (0, None)
        assert [one["code"] for one in found["complaints"]] == [code]
        assert found["complaints"][0]["file"] == "platz 3.asc"


@pytest.mark.parametrize(
    "change",
    [
        {"sha256": "x"},
        {"pad": "a"},
        {"columns": {"easting": 1, "northing": 2}},
        {"columns": {**COLUMNS, "easting": 0}},
        {"columns": {**COLUMNS, "elevation": 201}},
        {"columns": {**COLUMNS, "delimiter": "x"}},
        {"columns": {**COLUMNS, "more": 1}},
        {"place": {"common": [[1, 2, 3]]}},
        {"place": {"common": [[0, 0, 0, 0]] * 51}},
        {"place": {"origin": [1e300, 0], "bearing_deg": 0}},
        {"place": {"crs": "../../etc"}},
        {"units": "yards"},
    ],
)
def test_what_is_no_question_is_refused(office: Office, change: dict[str, Any]) -> None:
    """Whether or not there is such a walk; nothing is begun."""
    body = {"sha256": "0" * 64, "pad": PAD, **change}
    with TestClient(app_of(office)) as client:
        assert client.post(f"/api/walks/{uuid.uuid4()}/surveys/looks", json=body).status_code == 422
        assert client.get("/api/tasks").json()["items"] == []


def test_a_file_of_another_walk_is_not_looked_at(office: Office) -> None:
    """Whoever knows its hash sees nothing of it by that."""
    with TestClient(app_of(office)) as client:
        one, other = a_walk(office, client), a_walk(office, client)
        body = {"sha256": come(client, one, ODD.encode()), "pad": PAD}
        assert client.post(f"/api/walks/{other}/surveys/looks", json=body).status_code == 404
        missing = {**body, "pad": str(uuid.uuid4())}
        assert client.post(f"/api/walks/{one}/surveys/looks", json=missing).status_code == 404
