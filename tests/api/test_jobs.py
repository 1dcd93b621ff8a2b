"""Jobs over the web: opened once, changed as seen, withdrawn and brought back, found again, page by page."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Give a client of the app whose caller is an estimator."""
    app = create_app(office)
    app.dependency_overrides[signed_in] = lambda: Caller("00000000-0000-0000-0000-0000000000aa", "estimator")
    with TestClient(app) as client:
        yield client


def test_a_job_is_opened_once_however_often_it_is_sent(client: TestClient) -> None:
    """The same key and body give the same job; the same key with another body is refused."""
    key = {"Idempotency-Key": "a-key"}
    first = client.post("/api/jobs", json={"name": "Two courts"}, headers=key)
    again = client.post("/api/jobs", json={"name": "Two courts"}, headers=key)
    other = client.post("/api/jobs", json={"name": "Three courts"}, headers=key)
    assert (first.status_code, again.status_code, other.status_code) == (201, 201, 409)
    assert first.json() == again.json()
    assert len(client.get("/api/jobs").json()["items"]) == 1


def test_a_change_must_have_seen_the_latest(client: TestClient) -> None:
    """Without If-Match 428, with an old one 412, with the latest the change and its new tag."""
    made = client.post("/api/jobs", json={"name": "a"})
    url, tag = made.headers["location"], made.headers["etag"]
    assert client.patch(url, json={"name": "b"}).status_code == 428
    done = client.patch(url, json={"name": "b"}, headers={"If-Match": tag})
    assert (done.status_code, done.json()["name"], done.headers["etag"]) == (200, "b", '"2"')
    stale = client.patch(url, json={"name": "c"}, headers={"If-Match": tag})
    assert stale.status_code == 412
    assert stale.headers["content-type"] == "application/problem+json"
    assert client.get(url).json()["name"] == "b"


def test_withdrawn_is_not_gone(client: TestClient) -> None:
    """A withdrawn job is in the list of those withdrawn, can be brought back, and its history tells all of it."""
    url = client.post("/api/jobs", json={"name": "a"}).headers["location"]
    client.post(f"{url}/withdraw", headers={"If-Match": '"1"'})
    assert client.get("/api/jobs").json()["items"] == []
    assert len(client.get("/api/jobs", params={"withdrawn": True}).json()["items"]) == 1
    back = client.post(f"{url}/bring-back", headers={"If-Match": '"2"'})
    assert back.json()["withdrawn_at"] is None
    actions = [change["action"] for change in client.get(f"{url}/history").json()]
    assert actions == ["made", "withdrawn", "brought back"]


def test_pages_hold_every_job_once(client: TestClient) -> None:
    """Following next gives each of 25 jobs once, those changed last first."""
    made = [client.post("/api/jobs", json={"name": f"job {n}"}).json()["id"] for n in range(25)]
    found, after = list[str](), None
    while True:
        page = client.get("/api/jobs", params={"most": 10, **({"after": after} if after else {})}).json()
        found += [job["id"] for job in page["items"]]
        after = page["next"]
        if after is None:
            break
    assert found == made[::-1]


@pytest.mark.parametrize("text", ["100%", "a_b", "back\\slash", "Ñandú", "STRASSE"])
def test_a_search_takes_letters_as_they_are(client: TestClient, text: str) -> None:
    """What means something to a database means itself to the person who searches."""
    client.post("/api/jobs", json={"name": f"x {text.swapcase()} y"})
    client.post("/api/jobs", json={"name": "x 100 a-b back slash y"})
    found = client.get("/api/jobs", params={"text": text}).json()["items"]
    assert [job["name"] for job in found] == [f"x {text.swapcase()} y"]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"{", 400),
        (b'{"nam": "a"}', 422),
        (b'{"name": "a\\u0000b"}', 422),
        (b'{"name": "\\ud800"}', 422),
        (b'{"call": {"a": {"b": {"c": {"d": {"e": {"f": {"g": {"h": 1}}}}}}}}}', 422),
        (b'{"call": {"a": NaN}}', 422),
        (b'{"units": "furlongs"}', 422),
        (b"[]", 422),
    ],
)
def test_what_cannot_be_kept_is_refused_in_words(client: TestClient, body: bytes, status: int) -> None:
    """Each is a problem of RFC 9457, and no job comes of it."""
    answer = client.post("/api/jobs", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == status
    assert answer.json()["title"]
    assert client.get("/api/jobs").json()["items"] == []


def test_a_cursor_of_somebody_else_is_refused(client: TestClient) -> None:
    """A page begins where a page of ours ended."""
    assert client.get("/api/jobs", params={"after": "x"}).status_code == 422


def test_the_language_of_a_problem_is_the_readers(client: TestClient) -> None:
    """Spanish where it is asked for first."""
    url = "/api/jobs/00000000-0000-0000-0000-000000000000"
    english, spanish = (client.get(url, headers={"Accept-Language": tongue}).json() for tongue in ("en", "es-MX,en"))
    assert (english["title"], spanish["title"]) == ("there is no such job", "no existe: trabajo")
