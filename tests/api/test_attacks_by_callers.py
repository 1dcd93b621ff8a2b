"""Attacks by cookies, fields, texts, and by the same at once or again."""

from __future__ import annotations

import json
import re
import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from tests.api.attacking import client, operations, served, spoken, walk
from tests.api.running import Running
from tests.company import Company, company, quick_passwords

__all__ = ["client", "company", "quick_passwords", "served", "walk"]


# --- who it is ----------------------------------------------------------------------------------


def test_a_change_without_the_word_is_refused_on_every_route(company: Company) -> None:
    """Whatever changes anything for somebody who is signed in asks for the word of their page, before anything else."""
    head = company.set_up()
    asked_for = 0
    for method, path, told in operations(company.app):
        if method in ("GET", "HEAD") or "person" not in str(told.get("security")):
            continue
        url = re.sub(r"\{\w+\}", str(uuid.UUID(int=9)), path)
        body: dict[str, Any] = {"content": b"{}", "headers": {"content-type": "application/json", "If-Match": '"1"'}}
        for one in (body, {"data": {"a": "b"}}, {"content": b"{}", "headers": {"content-type": "text/plain"}}):
            found = head.client.request(method, url, **one)
            assert (found.status_code, found.json()["code"]) == (403, "not-our-page"), (method, path, found.text)
            asked_for += 1
    assert asked_for > 90


def test_no_header_or_field_makes_another_method_of_a_request(company: Company) -> None:
    """What is read stays reading."""
    head = company.set_up()
    for name in ("X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"):
        found = head.client.get("/api/session", params={"_method": "DELETE"}, headers={name: "DELETE"})
        assert found.status_code == 200
    assert head.get("/api/me").status_code == 200


def test_a_cookie_of_any_size_or_form_is_nobody(served: Running) -> None:
    """Sixty kilobytes, many of one name, letters that no token has: 401, and nothing worse."""
    plain = b"courtwright_session=" + b"A" * 43
    for cookie in (
        b"A" * 60_000,
        plain + b"; " + plain,
        plain * 500,
        b"courtwright_session=\xff\xfe;;;=;",
        b'a="; ' + plain,
        b"=",
    ):
        head = b"GET /api/session HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nCookie: " + cookie + b"\r\n\r\n"
        assert spoken(served, head).startswith(b"HTTP/1.1 401 ")


def test_a_planted_cookie_never_makes_two_people_of_one_request(company: Company) -> None:
    """Two cookies of one name, as a neighbour on this machine can make: the request is one of the two, whole."""
    head = company.set_up()
    crew = company.join(head, "crew", "ben")
    name, own = next(iter(head.cookies.items()))
    other = crew.cookies[name]
    for both in (f"{name}={own}; {name}={other}", f"{name}={other}; {name}={own}"):
        browser = company.browser()
        seen = browser.client.get("/api/session", headers={"Cookie": both}).json()
        word = {"X-CSRF-Token": seen["csrf_token"], "Cookie": both}
        done = browser.client.patch("/api/me", json={"name": "New"}, headers={**word, "If-Match": '"1"'})
        assert done.json()["id"] == seen["person"]["id"]
        wrong = {"Cookie": both, "X-CSRF-Token": {head.word, crew.word}.difference({seen["csrf_token"]}).pop()}
        assert browser.client.delete("/api/session", headers=wrong).status_code == 403


# --- what is sent -------------------------------------------------------------------------------


def _closed(schema: Any, parts: dict[str, Any], seen: set[str]) -> Iterator[tuple[str, bool]]:
    """Yield each object that a body may hold, and whether it takes no fields but its own."""
    if isinstance(schema, list):
        for one in schema:
            yield from _closed(one, parts, seen)
    elif isinstance(schema, dict):
        name = str(schema.get("$ref", "")).rpartition("/")[2]
        if name and name not in seen:
            seen.add(name)
            yield from _closed(parts[name], parts, seen)
        if "properties" in schema:
            yield schema.get("title", "?"), schema.get("additionalProperties") is False
        for key in ("properties", "items", "anyOf", "allOf", "oneOf", "additionalProperties"):
            inner = schema.get(key)
            yield from _closed(list(inner.values()) if key == "properties" and inner else inner, parts, seen)


def test_no_body_takes_a_field_that_is_not_its_own(company: Company) -> None:
    """Nobody sets a role, an owner, a state or a version by sending one along."""
    parts = company.app.openapi()["components"]["schemas"]
    bodies = [told["requestBody"]["content"] for _, _, told in operations(company.app) if "requestBody" in told]
    found = [one for body in bodies for kind in body.values() for one in _closed(kind["schema"], parts, set())]
    assert len(found) > 25
    assert [name for name, is_closed in found if not is_closed] == []


def test_nobody_raises_themselves_by_a_field_too_many(company: Company) -> None:
    """Refused whole; nothing of it is done."""
    head = company.set_up()
    crew = company.join(head, "crew", "ben")
    sent = crew.send("PATCH", "/api/me", {"name": "B", "role": "head"}, version=1)
    assert (sent.status_code, sent.json()["places"][0]["at"]) == (422, "body.role")
    assert crew.get("/api/me").json()["role"] == "crew"
    assert head.send("POST", "/api/jobs", {"name": "a", "id": str(uuid.uuid4()), "version": 9}).status_code == 422


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"[" * 400_000, 400),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, 400),
        (b'{"name":"x","call":{"a":' + b"9" * 5000 + b"}}", 400),
        (b'{"name":"x","call":{"a":' + b"9" * 4000 + b"}}", 422),
        (b'{"name":"x","call":{"a":-9007199254740992}}', 422),
        (b'{"name":"x","call":{"a":9007199254740991}}', 201),
        (b'{"name":"x","call":{"a":1e999}}', 422),
        (b'{"name":"x","call":{"a":NaN}}', 422),
        (b'{"name":"x","call":{"\\ud800":1}}', 422),
        (b'{"name":"x","call":{"a":"\\u0000"}}', 422),
        (b'{"name":"x","call":' + b'{"a":' * 9 + b"1" + b"}" * 10, 422),
        (b'{"name":"x","call":{"a":"' + "\ufdfa".encode() * 90_000 + b'"}}', 201),
        (b'{"name":"x","\\ud800":1}', 422),
        (b'{"name":"\\ud800"}', 422),
        (b'{"name":"a\\u0000"}', 422),
        (b'{"name":"x","name":"y"}', 201),
        (b'{"name":"\xff"}', 400),
        (b"null", 422),
    ],
    ids=range(18),
)
def test_json_that_no_page_sends_is_answered_in_words(company: Company, body: bytes, status: int) -> None:
    """Depth, numbers, halves of characters, names twice: never a fault, and within a second."""
    head = company.set_up()
    began = time.perf_counter()
    headers = {"content-type": "application/json", "X-CSRF-Token": head.word}
    found = head.client.post("/api/jobs", content=body, headers=headers)
    assert found.status_code == status, found.text
    assert time.perf_counter() - began < 1.5
    assert status == 201 or found.json()["code"]
    assert head.get("/api/jobs").status_code == 200


def test_an_answer_does_not_grow_with_what_is_wrong(company: Company) -> None:
    """Of fifty thousand fields that nobody asked for a hundred are told."""
    body = json.dumps(dict.fromkeys(map(str, range(50_000)), 1))
    found = company.browser().client.post("/api/session", content=body, headers={"content-type": "application/json"})
    assert (found.status_code, len(found.json()["places"])) == (422, 100)


@pytest.mark.parametrize(
    "text", ["' OR '1'='1", '"; DROP TABLE job; --', "%", "_", "\\", "a' UNION SELECT 1--", "\u2028"]
)
def test_a_text_that_looks_like_sql_is_a_text(company: Company, text: str) -> None:
    """Searched for, typed as a name, at the door: found where it stands and nowhere else."""
    head = company.set_up()
    for name in ("plain", text):
        assert head.send("POST", "/api/jobs", {"name": name}).status_code == 201
    found = head.get("/api/jobs", params={"text": text}).json()["items"]
    assert [one["name"] for one in found] == [text.strip()] or text == "\u2028"
    assert len(head.get("/api/jobs").json()["items"]) == 2
    assert company.browser().sign_in(f"{text}@courts.example").status_code in (401, 422)


def test_a_nul_at_the_door_is_a_wrong_address(company: Company) -> None:
    """Not every database can look for one, so that none is asked; and what a form says is heeded alike."""
    company.set_up()
    for email in ("\0", "ana@courts.example\0"):
        assert company.browser().sign_in(email, "\0" * 12).status_code == 422
    for page in ("/enter", "/join"):
        form = {"token": "\0", "password": "\0" * 12}
        assert company.browser().client.post(page, data=form).status_code == 404


# --- at once and again --------------------------------------------------------------------------


def test_of_many_changes_that_saw_the_same_one_is_made(company: Company) -> None:
    """Eight at once with one ETag: one goes through, the others are told that it has changed."""
    head = company.set_up()
    job = head.send("POST", "/api/jobs", {"name": "a"}).json()["id"]
    with ThreadPoolExecutor(8) as threads:
        sent = [threads.submit(head.send, "PATCH", f"/api/jobs/{job}", {"name": f"n{n}"}, version=1) for n in range(8)]
    assert sorted(one.result().status_code for one in sent) == [200, *[412] * 7]
    assert head.get(f"/api/jobs/{job}").json()["version"] == 2


def test_the_key_of_somebody_else_opens_nothing(company: Company) -> None:
    """An idempotency key is its sender's: another's job does not come back by it; nor another body under one's own."""
    head = company.set_up()
    other = company.join(head, "estimator", "eva")
    key = {"Idempotency-Key": "k1"}
    first, again = (head.send("POST", "/api/jobs", {"name": "secret"}, headers=key) for _ in range(2))
    assert (first.status_code, again.json()) == (201, first.json())
    theirs = other.send("POST", "/api/jobs", {"name": "secret"}, headers=key)
    assert theirs.status_code == 201
    assert theirs.json()["id"] != first.json()["id"]
    assert head.send("POST", "/api/jobs", {"name": "other"}, headers=key).status_code == 409
