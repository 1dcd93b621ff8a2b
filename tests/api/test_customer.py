"""A customer over the web: in by the link alone, to one offer alone, and out again when the link is taken back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi.testclient import TestClient

from courtwright.api.app import create_app
from courtwright.desk.offers import links
from courtwright.desk.office import Office
from courtwright.store.rows.links import Scope
from courtwright.store.rows.offers import Offer
from tests.api.test_offers import assert_saved
from tests.desk.jobs import ESTIMATOR
from tests.desk.offered import WHO, chosen, sent
from tests.desk.test_customers import KEYS
from tests.offer.specimens import logo


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Return a browser that has no cookie yet."""
    with TestClient(create_app(office)) as client:
        yield client


def entered(client: TestClient, office: Office, offer: Offer, scope: Scope = "accept") -> dict[str, str]:
    """Come in by a new link; return the header that changes need."""
    token, _ = links.make_link(office, ESTIMATOR, offer.id, scope)
    answer = client.post("/api/customer/session", json={"token": token})
    assert answer.status_code == 200, answer.text
    return {"X-CSRF-Token": answer.json()["csrf_token"]}


# --- laws ---------------------------------------------------------------------------------------


def test_the_logo_is_a_picture_for_who_came_by_the_link(client: TestClient, office: Office) -> None:
    """The one that the papers show; nobody has it without a link."""
    offer = sent(office)
    assert client.get("/api/customer/logo").status_code == 401
    entered(client, office, offer, "read")
    assert client.get("/api/customer/offer").json()["has_logo"] is True
    answer = client.get("/api/customer/logo")
    assert (answer.status_code, answer.headers["content-type"], answer.content) == (200, "image/png", logo())


def test_the_whole_way_of_a_customer(client: TestClient, office: Office) -> None:
    """In, read, ask, accept, read the seal, accept again, out."""
    offer = sent(office)
    word = entered(client, office, offer)
    assert client.get("/api/customer/session").json()["csrf_token"] == word["X-CSRF-Token"]
    shown = client.get("/api/customer/offer").json()
    assert (shown["standing"], shown["number"], shown["seal"]) == ("sent", 1, None)
    asked = client.post("/api/customer/questions", json={"text": "When?"}, headers=word)
    assert asked.status_code == 201
    given = {"options": chosen(offer), "name": WHO, "consent": shown["consent"]}
    first, again = (client.post("/api/customer/accept", json=given, headers=word) for _ in range(2))
    assert (first.status_code, first.json()["standing"], again.json()) == (200, "accepted", first.json())
    assert len(first.json()["seal"]) == 19
    assert first.json()["acceptance"]["name"] == WHO
    assert client.post("/api/customer/accept", json={**given, "name": "X"}, headers=word).status_code == 409
    assert client.post("/api/customer/decline", json={}, headers=word).status_code == 409
    assert client.delete("/api/customer/session", headers=word).status_code == 204
    assert client.get("/api/customer/offer").status_code == 401


def test_every_file_is_saved_and_none_is_a_page(client: TestClient, office: Office) -> None:
    """PDF, JSON, drawings and photos, each as what it is; drawings run no script even when they are opened."""
    offer = sent(office)
    entered(client, office, offer, "read")
    medias = set[str]()
    for name in client.get("/api/customer/offer").json()["files"]:
        file = client.get("/api/customer/file", params={"name": name})
        assert file.status_code == 200
        assert_saved(file)
        medias.add(file.headers["content-type"])
    assert medias == {"application/pdf", "application/json", "image/svg+xml", "image/jpeg"}


def test_no_answer_tells_how_a_price_was_made(client: TestClient, office: Office) -> None:
    """Every answer and every refusal of a customer's session, read for the words of the estimate."""
    offer = sent(office)
    word = entered(client, office, offer)
    for answer in (
        client.get("/api/customer/offer"),
        client.post("/api/customer/questions", json={"text": "?"}, headers=word),
        client.post("/api/customer/accept", json={"options": {}, "name": "", "consent": ""}, headers=word),
        client.get("/api/customer/file", params={"name": "estimate.json"}),
        client.get("/api/customer/file", params={"name": "inputs.json"}),
    ):
        told = {name: value for name, value in answer.json().items() if name != "at"}
        assert not KEYS.search(json.dumps(told)), KEYS.search(json.dumps(told))


def test_the_cookie_is_for_the_server_alone(client: TestClient, office: Office) -> None:
    """HttpOnly, SameSite, for no longer than the link holds; the token of the link is not in it."""
    token, _ = links.make_link(office, ESTIMATOR, sent(office).id, "read")
    answer = client.post("/api/customer/session", json={"token": token})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("courtwright_offer=")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert token not in answer.text + cookie
    seconds = int(cookie.partition("Max-Age=")[2].partition(";")[0])
    assert 59 * 86400 < seconds <= 60 * 86400


# --- refusals -----------------------------------------------------------------------------------


def test_links_that_open_nothing_are_answered_alike(client: TestClient, office: Office) -> None:
    """Unknown, mistyped and taken back: the same status, the same words, no cookie."""
    offer = sent(office)
    token, link = links.make_link(office, ESTIMATOR, offer.id, "read")
    links.withdraw_link(office, ESTIMATOR, offer.id, link.id)
    answers = [client.post("/api/customer/session", json={"token": one}) for one in (token, "x" * 43, "", "ü")]
    assert {(one.status_code, one.text) for one in answers} == {(401, answers[0].text)}
    assert not any("set-cookie" in one.headers for one in answers)


def test_a_link_taken_back_is_out_at_once(client: TestClient, office: Office) -> None:
    """The next request of its browser is refused."""
    offer = sent(office)
    token, link = links.make_link(office, ESTIMATOR, offer.id, "accept")
    client.post("/api/customer/session", json={"token": token})
    assert client.get("/api/customer/offer").status_code == 200
    links.withdraw_link(office, ESTIMATOR, offer.id, link.id)
    assert client.get("/api/customer/offer").status_code == 401


def test_a_customer_reaches_neither_the_office_nor_another_offer(client: TestClient, office: Office) -> None:
    """Every route that is not a customer's own answers 401 to a customer's browser."""
    mine, other = sent(office), sent(office)
    word = entered(client, office, mine)
    app: Any = client.app
    tried = 0
    for path, ways in app.openapi()["paths"].items():
        if not path.startswith(("/api/offers", "/api/jobs", "/api/seals", "/api/walks", "/api/tasks", "/api/people")):
            continue
        for way in ways:
            address = path.replace("{code}", "ABCD")
            for name in ("{id}", "{link_id}", "{question_id}", "{person_id}", "{sha256}"):
                address = address.replace(name, other.id)
            if "{" in address:
                continue
            tried += 1
            headers = {**word, "If-Match": '"1"', "Content-Type": "application/json"}
            answer = client.request(way, address, headers=headers, content=b"{}")
            assert answer.status_code == 401, (way, path, answer.status_code)
            assert other.id not in answer.text
    assert tried > 30
    assert client.get("/api/customer/offer").json()["standing"] == "sent"


def test_a_change_needs_the_word_of_its_page(client: TestClient, office: Office) -> None:
    """Without it, or from a stranger's page, nothing is accepted."""
    offer = sent(office)
    word = entered(client, office, offer)
    consent = client.get("/api/customer/offer").json()["consent"]
    given = {"options": chosen(offer), "name": WHO, "consent": consent}
    strange = {**word, "Origin": "https://example.org", "Sec-Fetch-Site": "cross-site"}
    for headers in ({}, {"X-CSRF-Token": "x"}, strange):
        assert client.post("/api/customer/accept", json=given, headers=headers).status_code == 403
    assert client.post("/api/customer/session", json={"token": "x"}, headers=strange).status_code == 403
    assert client.get("/api/customer/offer").json()["standing"] == "sent"


@pytest.mark.parametrize(
    "body",
    [
        {"options": {"upper": "nothing"}, "name": WHO},
        {"options": {}, "name": WHO},
        {"options": {"upper": "repair\n"}, "name": WHO},
        {"options": {f"{n}": "x" for n in range(300)}, "name": WHO},
        {"name": "x" * 300},
        {"name": "Rosa\x00"},
        {"name": "Rosa\nQuintero"},
    ],
)
def test_what_cannot_be_agreed_to_is_refused_in_words(client: TestClient, office: Office, body: Any) -> None:
    """422 with what is wrong, and the offer stays open."""
    offer = sent(office)
    word = entered(client, office, offer)
    consent = client.get("/api/customer/offer").json()["consent"]
    given = {"options": chosen(offer), "consent": consent, **body}
    answer = client.post("/api/customer/accept", json=given, headers=word)
    assert answer.status_code == 422
    assert answer.json()["title"]
    assert client.get("/api/customer/offer").json()["standing"] == "sent"


def test_questions_are_bounded(client: TestClient, office: Office) -> None:
    """Not empty, not a book, not without end; when they may come again is told."""
    word = entered(client, office, sent(office), "read")
    for text, status in (("", 422), ("x" * 4001, 422), ("a\x00b", 422)):
        answer = client.post("/api/customer/questions", json={"text": text}, headers=word)
        assert answer.status_code == status
    for _ in range(20):
        assert client.post("/api/customer/questions", json={"text": "?"}, headers=word).status_code == 201
    over = client.post("/api/customer/questions", json={"text": "?"}, headers=word)
    assert (over.status_code, over.headers["retry-after"]) == (429, "86400")


def test_a_link_to_read_does_not_accept(client: TestClient, office: Office) -> None:
    """403, in words."""
    offer = sent(office)
    word = entered(client, office, offer, "read")
    assert client.get("/api/customer/offer").json()["consent"] is None
    given = {"options": chosen(offer), "name": WHO, "consent": "x"}
    assert client.post("/api/customer/accept", json=given, headers=word).status_code == 403
    assert client.post("/api/customer/decline", json={}, headers=word).status_code == 403
