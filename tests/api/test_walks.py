"""Walks over the web: begun without signal and told later, once; seen by whoever is on the job."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from courtwright.desk.office import Office
from tests.api.walking import client_of, new_walk, who
from tests.desk.jobs import a_job

HERE = "11111111-1111-4111-8111-111111111111"


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Give a client whose caller says who they are."""
    with client_of(office) as client:
        yield client


def test_a_phone_names_its_walk_and_tells_of_it_as_often_as_it_likes(client: TestClient, office: Office) -> None:
    """The id of the phone stays; sent again it is the same walk, whatever else is sent; another job's is refused."""
    job, other = a_job(office), a_job(office)
    given = {"id": HERE, "name": "First", "walked_on": "2026-04-16"}
    made = client.post(f"/api/jobs/{job}/walks", json=given)
    again = client.post(f"/api/jobs/{job}/walks", json={"id": HERE, "name": "Other"}, headers=who("crew"))
    taken = client.post(f"/api/jobs/{other}/walks", json=given)
    assert (made.status_code, again.status_code, taken.status_code) == (201, 200, 409)
    assert made.json() == again.json()
    assert (made.json()["id"], made.json()["walked_on"]) == (HERE, "2026-04-16")
    assert taken.json()["title"] == "a walk of another job has this id"
    assert len(client.get(f"/api/jobs/{job}/walks").json()["items"]) == 1


def test_a_walk_without_an_id_is_begun_once_by_its_key(client: TestClient, office: Office) -> None:
    """The same Idempotency-Key gives the same walk."""
    job = a_job(office)
    key = {"Idempotency-Key": "k"}
    ids = {client.post(f"/api/jobs/{job}/walks", json={"name": "a"}, headers=key).json()["id"] for _ in range(3)}
    assert len(ids) == 1


def test_a_walk_is_changed_as_it_was_seen_and_withdrawn_is_not_gone(client: TestClient, office: Office) -> None:
    """428 without a tag, 412 with an old one; withdrawn it is in the other list; its changes tell all of it."""
    job = a_job(office)
    url = new_walk(client, job, name="a")
    assert client.patch(url, json={"name": "b"}).status_code == 428
    done = client.patch(url, json={"name": "b"}, headers={"If-Match": '"1"'})
    assert (done.status_code, done.headers["etag"], done.json()["name"]) == (200, '"2"', "b")
    assert client.patch(url, json={"name": "c"}, headers={"If-Match": '"1"'}).status_code == 412
    client.post(f"{url}/withdraw", headers={"If-Match": '"2"'})
    assert client.get(f"/api/jobs/{job}/walks").json()["items"] == []
    assert len(client.get(f"/api/jobs/{job}/walks", params={"withdrawn": True}).json()["items"]) == 1
    assert client.post(f"{url}/bring-back", headers={"If-Match": '"3"'}).json()["withdrawn_at"] is None
    actions = [change["action"] for change in client.get(f"{url}/changes").json()]
    assert actions == ["made", "changed", "withdrawn", "brought back"]


def test_pages_hold_every_walk_once(client: TestClient, office: Office) -> None:
    """Following next gives each of 7 walks once."""
    job = a_job(office)
    made = [new_walk(client, job, name=f"walk {n}").rpartition("/")[2] for n in range(7)]
    found, after = list[str](), None
    while True:
        page = client.get(f"/api/jobs/{job}/walks", params={"most": 3, **({"after": after} if after else {})}).json()
        found += [one["id"] for one in page["items"]]
        after = page["next"]
        if after is None:
            break
    assert sorted(found) == sorted(made)


def test_the_crew_of_another_job_cannot_tell_that_there_is_a_walk(client: TestClient, office: Office) -> None:
    """Everything about it answers as if there were none, in the very same words."""
    job = a_job(office)
    url = new_walk(client, job)
    none = f"/api/walks/{uuid.uuid4()}"
    tag = {"If-Match": '"1"', **who("crew off")}
    asks = [
        ("GET", "", {}),
        ("PATCH", "", {"json": {"name": "x"}}),
        ("POST", "/withdraw", {}),
        ("POST", "/bring-back", {}),
        ("GET", "/changes", {}),
        ("GET", "/updates", {}),
        ("POST", "/updates", {"content": b"x"}),
        ("GET", "/state", {}),
        ("GET", "/history", {}),
        ("GET", "/photos", {}),
        ("GET", "/surveys", {}),
        ("POST", "/uploads", {"json": {"sha256": "0" * 64, "size_bytes": 1, "name": "a", "kind": "photo"}}),
    ]
    for method, path, more in asks:
        theirs = client.request(method, url + path, headers=tag, **more)
        nothing = client.request(method, none + path, headers=tag, **more)
        if path == "/updates" and method == "POST":
            assert theirs.status_code == nothing.status_code == 422  # damaged before anything is looked up
            continue
        assert theirs.status_code == 404, (method, path)
        assert theirs.json() == nothing.json()
    assert client.get(f"/api/jobs/{job}/walks", headers=who("crew off")).status_code == 404
    assert client.post(f"/api/jobs/{job}/walks", json={}, headers=who("crew off")).status_code == 404
    assert client.get(url, headers=who("crew")).json()["version"] == 1


@pytest.mark.parametrize("body", [{"id": "x"}, {"nam": "a"}, {"walked_on": "yesterday"}, {"name": "a\nb"}])
def test_what_is_no_walk_is_refused(client: TestClient, office: Office, body: dict[str, str]) -> None:
    """422, and no walk comes of it."""
    job = a_job(office)
    assert client.post(f"/api/jobs/{job}/walks", json=body).status_code == 422
    assert client.get(f"/api/jobs/{job}/walks").json()["items"] == []
