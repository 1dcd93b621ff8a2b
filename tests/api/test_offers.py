"""Offers over the web: drafted, given papers, sent, accepted on paper, sealed; none of it for the crew."""

from __future__ import annotations

import re
from collections.abc import Iterator
from uuid import UUID

import pytest
from fastapi.testclient import TestClient

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.kinds.offer import run
from courtwright.desk.offers import customers
from courtwright.desk.offers.papers import papers_made
from courtwright.desk.office import Office
from courtwright.desk.work.handing import payload_of
from courtwright.errors import InputError
from tests.desk.demo_walk import a_walk as demo_walk
from tests.desk.jobs import CREW, ESTIMATOR, a_job
from tests.desk.kinds.demo import untold
from tests.desk.offered import ISSUED, WHO, sent

PROBLEM = "application/problem+json"


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Return a client of the app whose caller is an estimator."""
    app = create_app(office)
    app.dependency_overrides[signed_in] = lambda: ESTIMATOR
    with TestClient(app) as client:
        yield client


def match(answer: object) -> dict[str, str]:
    """Return the If-Match of what was just read."""
    return {"If-Match": answer.headers["etag"]}  # type: ignore[attr-defined]  # an answer of the client


def test_an_offer_from_draft_to_seal(client: TestClient, office: Office) -> None:
    """Drafted once, papers asked for and made, sent, accepted on paper, its seal looked at, each file to be saved."""
    job = a_job(office)
    walk = demo_walk(office, job)
    given = {"walk_id": walk, "issued_on": ISSUED.isoformat()}
    key = {"Idempotency-Key": "once"}
    made, again = (client.post(f"/api/jobs/{job}/offers", json=given, headers=key) for _ in range(2))
    assert (made.status_code, again.json()) == (201, made.json())
    url = made.headers["location"]
    asked = client.post(f"{url}/papers", headers=match(made))
    assert (asked.status_code, asked.json()["state"]) == (202, "waiting")
    with office.reading() as unit:
        task = unit.tasks.get(asked.json()["id"])
    result = run(payload_of(office.store.blobs, task), untold)
    with office.writing(ESTIMATOR) as unit:
        papers_made(office, unit, task, result)
    with_papers = client.get(url)
    assert with_papers.json()["has_papers"]
    assert client.post(f"{url}/send", headers=match(made)).status_code == 412
    answer = client.post(f"{url}/send", headers=match(with_papers))
    assert answer.json()["standing"] == "sent"
    options = {pad["id"]: pad["options"][0]["id"] for pad in answer.json()["says"]["pads"]}
    signed = {"options": options, "name": WHO, "signed_on": ISSUED.isoformat()}
    accepted = [client.put(f"{url}/acceptance", json=signed).json() for _ in range(2)]
    assert accepted[0] == accepted[1] == client.get(f"{url}/acceptance").json()
    assert client.put(f"{url}/acceptance", json={**signed, "name": "X"}).status_code == 409
    seal = client.get(f"{url}/seal").json()
    assert seal["findings"] == client.get("/api/seals/findings").json() == []
    assert client.get(f"/api/seals/{seal['short'].lower()}").json() == seal
    assert client.get("/api/seals/0000").status_code == 404
    listed = client.get(f"/api/jobs/{job}/offers").json()["items"]
    assert [one["standing"] for one in listed] == ["accepted"]
    for one in client.get(f"{url}/files").json():
        file = client.get(f"{url}/file", params={"name": one["name"]})
        assert file.status_code == 200
        assert_saved(file)
    for one in client.get(f"{url}/inputs").json():
        file = client.get(f"{url}/input", params={"name": one["name"]})
        assert (file.status_code, file.headers["content-type"]) == (200, "application/octet-stream")
        assert_saved(file)


def assert_saved(file: object) -> None:
    """Assert that a browser saves it, whatever is in it, and never shows it as a page."""
    headers = file.headers  # type: ignore[attr-defined]  # an answer of the client
    assert headers["content-disposition"].startswith("attachment; filename=")
    assert headers["x-content-type-options"] == "nosniff"
    assert "sandbox" in headers["content-security-policy"]
    assert "html" not in headers["content-type"]


def test_a_revision_a_decline_and_what_became_of_them(client: TestClient, office: Office) -> None:
    """Each as it was seen; the history tells all of it."""
    url = f"/api/offers/{sent(office).id}"
    declined = client.post(f"{url}/decline", json={"because": "too dear"}, headers=match(client.get(url)))
    assert declined.json()["declined_because"] == "too dear"
    opened = client.post(f"{url}/reopen", headers=match(declined))
    back = client.post(f"{url}/withdraw", headers=match(opened))
    assert back.json()["standing"] == "withdrawn"
    client.post(f"{url}/bring-back", headers=match(back))
    revision = client.post(f"{url}/revise")
    assert (revision.status_code, revision.json()["revision"]) == (201, 2)
    changed = client.patch(revision.headers["location"], json={"start": None, "seed": 7}, headers=match(revision))
    assert (changed.json()["seed"], changed.json()["start"]) == (7, None)
    assert client.patch(url, json={"seed": 7}, headers=match(client.get(url))).status_code == 409
    actions = [one["action"] for one in client.get(f"{url}/history").json()]
    assert actions == ["made", "changed", "changed", "changed", "changed", "withdrawn", "brought back"]


BY_HAND: dict[str, object] = {
    "texts": {"greeting": "Good day", "note": "", "closing": "", "options": {"upper": {"hold": "For a year"}}},
    "options": {"upper": ["hold"]},
    "reasons": {"upper": {"resurface": "They want no paint"}},
    "prices": {"upper": {"hold": {"firm_price": 4100, "because": "A neighbour of the last job"}}},
}
NOTHING = {"options": None, "reasons": None, "prices": None, "texts": None}


def test_what_is_set_by_hand_is_kept_as_it_was_typed(client: TestClient, office: Office) -> None:
    """In a new draft and a changed one, whole each time; an old version is refused, and the history tells reasons."""
    job = a_job(office)
    given = {"walk_id": demo_walk(office, job), "issued_on": ISSUED.isoformat()}
    made = client.post(f"/api/jobs/{job}/offers", json={**given, **BY_HAND})
    assert {name: made.json()[name] for name in BY_HAND} == BY_HAND
    plain = client.post(f"/api/jobs/{job}/offers", json=given)
    assert {name: plain.json()[name] for name in BY_HAND} == NOTHING
    url = plain.headers["location"]
    changed = client.patch(url, json=BY_HAND, headers=match(plain))
    assert {name: changed.json()[name] for name in BY_HAND} == BY_HAND
    assert client.patch(url, json={"texts": None}, headers=match(plain)).status_code == 412
    short = client.patch(url, json={"texts": {"closing": "Yours"}, "prices": None}, headers=match(changed))
    assert short.json()["texts"] == {"greeting": "", "note": "", "closing": "Yours", "options": {}}
    assert (short.json()["prices"], short.json()["options"]) == (None, BY_HAND["options"])
    assert client.patch(url, json=NOTHING, headers=match(short)).json()["texts"] is None
    history = client.get(f"{url}/history").text
    assert "They want no paint" in history
    assert "A neighbour of the last job" in history


def test_a_price_of_what_is_not_offered_is_told_when_papers_are_asked_for(client: TestClient, office: Office) -> None:
    """The office draws up no papers with it, and says so."""
    job = a_job(office)
    given = {"walk_id": demo_walk(office, job), "issued_on": ISSUED.isoformat()}
    prices = {"upper": {"no-such": {"firm_price": 4100, "because": "x"}}}
    made = client.post(f"/api/jobs/{job}/offers", json={**given, "prices": prices})
    asked = client.post(f"{made.headers['location']}/papers", headers=match(made))
    with office.reading() as unit:
        handed = payload_of(office.store.blobs, unit.tasks.get(asked.json()["id"]))
    with pytest.raises(InputError, match="price-not-offered"):
        run(handed, untold)


def test_a_question_is_answered_as_it_was_seen(client: TestClient, office: Office) -> None:
    """A link, its question, the answer; the link taken back."""
    offer = sent(office)
    url = f"/api/offers/{offer.id}"
    made = client.post(f"{url}/links", json={"scope": "read"}).json()
    assert re.fullmatch(r"/offer#[\w-]{43}", made["path"])
    token = made["path"].partition("#")[2]
    assert token not in client.get(f"{url}/links").text
    customer = Caller(f"link:{made['link']['id']}", "customer", offer_id=offer.id)
    customers.ask(office, customer, "When?")
    (question,) = client.get(f"{url}/questions").json()
    answers = f"{url}/questions/{question['id']}/answer"
    assert client.put(answers, json={"answer": "In June."}).status_code == 428
    done = client.put(answers, json={"answer": "In June."}, headers={"If-Match": f'"{question["version"]}"'})
    assert done.json()["answer"] == "In June."
    ended = client.delete(f"{url}/links/{made['link']['id']}")
    assert ended.json()["withdrawn_at"] is not None


# --- refusals -----------------------------------------------------------------------------------

IDS = {"id": UUID(int=1), "link_id": UUID(int=2), "question_id": UUID(int=3), "code": "ABCD"}
BODIES: dict[str, object] = {
    "draft_offer": {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04"},
    "change_offer": {"seed": 2},
    "record_acceptance": {"options": {"a": "b"}, "name": "x", "signed_on": "2026-05-04"},
    "decline_offer": {},
    "make_link": {"scope": "accept"},
    "answer_question": {"answer": "x"},
}


def test_the_crew_is_refused_at_every_door_of_an_offer(office: Office) -> None:
    """Each route of offers, links and seals answers 403, and tells nothing of what is there."""
    app = create_app(office)
    app.dependency_overrides[signed_in] = lambda: CREW
    found = 0
    with TestClient(app) as client:
        for path, ways in app.openapi()["paths"].items():
            for way, route in ways.items():
                if "offers" not in route.get("tags", ()):
                    continue
                found += 1
                body = next((body for name, body in BODIES.items() if route["operationId"].startswith(name)), None)
                answer = client.request(
                    way, path.format(**IDS), json=body, headers={"If-Match": '"1"'}, params={"name": "estimate.json"}
                )
                assert (answer.status_code, answer.headers["content-type"]) == (403, PROBLEM), (way, path, answer.text)
    assert found >= 25


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"walk_id": "x", "issued_on": "2026-05-04"},
        {"walk_id": str(UUID(int=4)), "issued_on": "2026-13-04"},
        {"walk_id": str(UUID(int=4)), "issued_on": "1026-05-04"},
        {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04", "seed": 2**53},
        {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04", "language": "fr"},
        {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04", "price": 1},
        *(
            {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04", "prices": {"a": {"b": price}}}
            for price in (
                {"firm_price": 0, "because": "x"},
                {"firm_price": -5, "because": "x"},
                {"firm_price": 12.5, "because": "x"},
                {"firm_price": 10**9, "because": "x"},
                {"firm_price": 5, "because": "  "},
                {"firm_price": 5},
            )
        ),
        *(
            {"walk_id": str(UUID(int=4)), "issued_on": "2026-05-04", "texts": texts}
            for texts in ({"greeting": "x" * 601}, {"closing": "x" * 2001}, {"note": "\x00"}, {"margin": "x"})
        ),
    ],
)
def test_a_draft_that_cannot_be_is_refused(client: TestClient, office: Office, body: dict[str, object]) -> None:
    """Each is a problem, and no offer comes of it."""
    job = a_job(office)
    answer = client.post(f"/api/jobs/{job}/offers", json=body)
    assert (answer.status_code, answer.headers["content-type"]) == (422, PROBLEM)
    assert client.get(f"/api/jobs/{job}/offers").json()["items"] == []


@pytest.mark.parametrize("name", ["../estimate.json", "offer/../estimate.json", "/etc/passwd", "photos/..", "."])
def test_a_file_is_found_by_its_listed_name_alone(client: TestClient, office: Office, name: str) -> None:
    """No name leads anywhere else."""
    url = f"/api/offers/{sent(office).id}"
    for door in ("file", "input"):
        assert client.get(f"{url}/{door}", params={"name": name}).status_code == 404
