"""Who may do what: every route of the schema with every kind of caller, on what is theirs and on what is not."""

from __future__ import annotations

import io
import json
import tomllib
import uuid
import zipfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response

from courtwright.api import watching
from courtwright.api.csrf import csrf_token
from tests.api.meant import FORM, PAGES, address, cookie_headers, sent_with, version_header
from tests.api.world import CANARIES, Someone, World, quick_hashes, world

__all__ = ["quick_hashes", "world"]

TABLE: dict[str, Any] = tomllib.loads(Path(__file__).with_name("rights.toml").read_text(encoding="utf-8"))
WHO: dict[str, dict[str, Any]] = TABLE.pop("who")
READS: dict[str, list[str]] = TABLE.pop("reads")
RIGHTS: dict[str, dict[str, str]] = TABLE
CALLERS = tuple(WHO["everybody"])
CUSTOMERS = tuple(WHO["customers"])
SAFE = ("GET", "HEAD")
#: What is written in the world for some alone.
SECRETS = {**CANARIES, "address of a colleague": "bo@courts.example"}


@pytest.fixture(scope="module")
def client(world: World) -> Iterator[TestClient]:
    """Return a client that keeps no cookies of its own; streams of waiting tasks end at once."""
    with (
        pytest.MonkeyPatch.context() as patch,
        TestClient(world.company.app, base_url="https://courts.example", follow_redirects=False) as client,
    ):
        patch.setattr(watching, "LONGEST", 0.01)
        patch.setattr(watching, "LOOK", 0.01)
        yield client


@pytest.fixture(autouse=True)
def _as_it_was(world: World) -> Iterator[None]:
    """Put the world back after each test."""
    yield
    world.restore()


def ask(
    client: TestClient,
    world: World,
    operation: str,
    target: str,
    who: str,
    someone: Someone | None = None,
    **headers: str,
) -> Response:
    """Return the answer to a request that is as it should be."""
    path, named = address(world, operation, target, who)
    meant = sent_with(world, operation, target)
    own = cookie_headers(someone or world.callers[who], operation)
    all_headers = {**own, **meant.headers, **version_header(world, operation, named, who), **headers}
    client.cookies.clear()
    return client.request(operation.partition(" ")[0], path, headers=all_headers, **meant.values())


def is_safe(operation: str) -> bool:
    """Tell whether an operation is one that reads."""
    return operation.startswith(SAFE)


@cache
def secured(app: FastAPI) -> dict[str, str]:
    """Return, for each operation that needs a cookie, whose it is."""
    found = dict[str, str]()
    for path, ways in app.openapi()["paths"].items():
        for way, route in ways.items():
            for scheme in route.get("security", ()):
                found[f"{way.upper()} {path}"] = next(iter(scheme))
    return found


def test_every_route_is_in_the_table(world: World) -> None:
    """The schema and the pages beside it are what the table holds: no more, no less."""
    schema = {f"{way.upper()} {path}" for path, ways in world.company.app.openapi()["paths"].items() for way in ways}
    assert sorted(RIGHTS) == sorted(schema | set(PAGES))
    there = set[str]()
    for route in world.company.app.routes:
        for one in route.original_router.routes if hasattr(route, "original_router") else [route]:
            there |= {f"{way} {one.path}" for way in one.methods}
    assert there == schema | set(PAGES)
    assert {who for kinds in RIGHTS.values() for who in kinds.values()} <= set(WHO)
    assert all(set(row) <= set(CALLERS) for row in WHO.values())


@pytest.mark.parametrize("operation", sorted(RIGHTS))
def test_each_caller_gets_what_is_theirs(world: World, client: TestClient, operation: str) -> None:
    """As the table says; what reads changes nothing, whoever asks, and a refusal changes nothing either."""
    before = world.rows()
    wrong = list[str]()
    for target, kind in RIGHTS[operation].items():
        wanted = {who: WHO[kind].get(who, 401) for who in CALLERS}
        # Those first who change nothing.
        for who in sorted(CALLERS, key=lambda who: wanted[who] == "yes"):
            if wanted[who] == "yes" and not is_safe(operation):
                assert world.rows() == before, (target, who)
            answer = ask(client, world, operation, target, who)
            got: object = "yes" if answer.status_code < 400 else answer.status_code
            if got != wanted[who]:
                wrong.append(f"{target or 'all'}, {who}: {got}, not {wanted[who]}: {answer.text[:200]}")
            if got == "yes" and not is_safe(operation):
                world.restore()
        assert world.rows() == before, target
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("operation", sorted(one for one in RIGHTS if "{" in one))
def test_nobody_can_tell_what_is_anothers_from_what_is_not(world: World, client: TestClient, operation: str) -> None:
    """Whoever gets 404 for a record gets the very same for one that never was; who may, gets 404 for that."""
    places = operation.count("{")
    for target, kind in RIGHTS[operation].items():
        nowhere = ", ".join([str(uuid.UUID(int=2**64)), *target.split(", ")[1:]])
        if "/seals/" in operation:
            nowhere = "AAAA-AAAA-AAAA-AAAA"
        for who in CALLERS:
            wanted = WHO[kind].get(who, 401)
            if wanted == 401 and who != "nobody":
                continue  # no record is looked at
            answer = ask(client, world, operation, nowhere, who, **{"If-Match": '"1"'})
            assert answer.status_code in ((wanted, 404) if wanted in (401, 403) else (404,)), (target, who, answer.text)
            if wanted == 404 and places == 1 and kind != "none of the office":
                theirs = ask(client, world, operation, target, who)
                assert theirs.content == answer.content, (target, who)


@pytest.mark.parametrize("operation", sorted(RIGHTS))
def test_a_token_opens_its_own_door_alone(world: World, client: TestClient, operation: str) -> None:
    """A customer's token in the cookie of a person, or a person's in a customer's, is nobody's."""
    if operation not in secured(world.company.app):
        return
    for who in ("head", "crew on", "reader", "acceptor"):
        own = world.callers[who]
        crossed = Someone(person=own.offer, offer=own.person)
        answer = ask(client, world, operation, next(iter(RIGHTS[operation])), who, crossed)
        assert answer.status_code == 401, who


@pytest.mark.parametrize("operation", sorted(RIGHTS))
def test_nobody_is_told_more_than_that_nobody_is_signed_in(world: World, client: TestClient, operation: str) -> None:
    """Whatever is wrong with the rest of the request: no version, no body, an id that is none."""
    if operation not in secured(world.company.app):
        return
    way, _, path = operation.partition(" ")
    client.cookies.clear()
    for part in ("x", "%00", str(uuid.UUID(int=1))):
        target = path
        while "{" in target:
            target = target[: target.index("{")] + part + target[target.index("}") + 1 :]
        assert client.request(way, target).status_code == 401, target


@pytest.mark.parametrize("operation", sorted(one for one in RIGHTS if not is_safe(one)))
def test_a_change_comes_from_our_own_pages_alone(world: World, client: TestClient, operation: str) -> None:
    """With the word of the very session, and from no other site's page; else nothing is changed."""
    before = world.rows()
    strange = [
        {"Origin": "https://example.org"},
        {"Origin": "null"},
        {"Origin": "http://courts.example"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ]
    words = [
        {"X-CSRF-Token": word} for word in ("", "x", csrf_token("x"), csrf_token(world.callers["crew off"].person))
    ]
    whose = secured(world.company.app).get(operation)
    target = next(iter(RIGHTS[operation]))
    who = "acceptor" if whose == "customer" else "head"
    if "own" in target or whose is None:
        who = "head"
    for headers in strange + (words if whose else []):
        answer = ask(client, world, operation, target, who, **headers)
        assert answer.status_code == 403, headers
        if operation in PAGES:
            # A form is shown again, or a problem told; nobody is signed in or out by it.
            assert "set-cookie" not in answer.headers
        else:
            assert answer.json()["code"] == "not-our-page", headers
    assert world.rows() == before
    if whose == "person":
        assert _without_word(client, world, operation, target, who).json()["code"] == "not-our-page"
        assert world.rows() == before
    ours = {"Origin": "https://courts.example", "Sec-Fetch-Site": "same-origin"}
    assert ask(client, world, operation, target, _who_may(operation), **ours).status_code != 403


def _who_may(operation: str) -> str:
    kind = next(iter(RIGHTS[operation].values()))
    return next((who for who in reversed(CALLERS) if WHO[kind].get(who) == "yes"), "head")


def _without_word(client: TestClient, world: World, operation: str, target: str, who: str) -> Response:
    path, named = address(world, operation, target, who)
    meant = sent_with(world, operation, target)
    headers = {**cookie_headers(world.callers[who], operation), **meant.headers}
    headers.pop("X-CSRF-Token")
    headers |= version_header(world, operation, named, who)
    client.cookies.clear()
    return client.request(operation.partition(" ")[0], path, headers=headers, **meant.values())


def test_what_only_some_may_read_stands_in_no_answer_to_others(world: World, client: TestClient) -> None:
    """Every route that reads, every caller, every target; and who may read it finds it."""
    found: dict[str, set[str]] = {name: set() for name in SECRETS}
    for operation in filter(is_safe, RIGHTS):
        for target in RIGHTS[operation]:
            for who in CALLERS:
                text = _text(ask(client, world, operation, target, who))
                for name, secret in SECRETS.items():
                    if secret in text:
                        found[name].add(who)
    assert {name: sorted(who) for name, who in found.items()} == {name: sorted(who) for name, who in READS.items()}


def _text(answer: Response) -> str:
    """Return what an answer says, what is in an archive too."""
    if answer.headers.get("content-type") == "application/zip":
        with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
            return "".join(archive.read(name).decode("latin-1") for name in archive.namelist())
    return answer.content.decode("latin-1")


def test_a_customer_sees_the_offer_of_their_own_link(world: World, client: TestClient) -> None:
    """The one is sent, the other accepted; nothing in the request tells which."""
    seen = {who: ask(client, world, "GET /api/customer/offer", "", who).json() for who in CUSTOMERS}
    assert {who: one["standing"] for who, one in seen.items()} == {
        "reader": "sent",
        "acceptor": "sent",
        "customer of b": "accepted",
    }
    assert {who: len(one["questions"]) for who, one in seen.items()} == {
        "reader": 0,
        "acceptor": 1,
        "customer of b": 1,
    }
    assert "estimate" not in json.dumps(seen)


def test_a_small_copy_that_is_not_made_yet_is_asked_for_and_nothing_else(
    world: World, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one thing that reading may begin: work, of which only the table of tasks tells."""
    from courtwright.desk.walks import photos
    from courtwright.store import tables

    monkeypatch.setattr(photos, "_WAIT_S", 0.01)
    with world.office.store.writing(None) as unit:  # type: ignore[arg-type]  # nobody's hand: a cache is dropped
        unit.connection.execute(tables.preview.delete())
    before = world.rows()
    assert ask(client, world, "GET /api/photos/{id}/preview", "photo a", "crew on").status_code == 503
    after = world.rows()
    assert {name for name, rows in after.items() if rows != before[name]} <= {"task", "blob"}


def test_the_form_of_a_page_is_read_as_a_form_alone(world: World, client: TestClient) -> None:
    """A stranger's page can send forms and plain text without asking: text signs nobody in."""
    client.cookies.clear()
    for kind in ("text/plain", "application/json", ""):
        body = f"token={world.ids['token sign-in']}".encode()
        answer = client.post("/enter", content=body, headers={**FORM, "Content-Type": kind})
        assert answer.status_code == 400
        assert "set-cookie" not in answer.headers
