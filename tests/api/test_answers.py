"""Answers about a walk over the web: asked for, watched, read, in one life of the service with real workers."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import time
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import FastAPI, Request
from fastapi.testclient import TestClient

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.kinds.answer import run
from courtwright.desk.kinds.asked import AnswerAsked, payload
from courtwright.desk.office import Office
from courtwright.desk.walks.walk_records import walked_files
from tests.desk.demo_walk import a_walk
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, HEAD, a_job
from tests.desk.kinds.demo import BARE, demo, untold

CALLERS = {"head": HEAD, "estimator": ESTIMATOR, "crew": CREW, "crew off": CREW_OFF}


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


def app_of(office: Office, workers: int = 0) -> FastAPI:
    app = create_app(office, workers=workers)
    app.dependency_overrides[signed_in] = caller_of
    return app


def caller_of(request: Request) -> Caller:
    return CALLERS[request.headers.get("x-who", "estimator")]


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Give a client of a service in which nobody does long work."""
    with TestClient(app_of(office)) as client:
        yield client


# --- laws ---------------------------------------------------------------------------------------


def test_a_question_is_answered_once_and_then_at_once(office: Office) -> None:
    """202 with the task and its place, its events to the end, then 200 with the document to the byte."""
    walk = a_walk(office, a_job(office), BARE)
    url = f"/api/walks/{walk}/answers"
    with TestClient(app_of(office, workers=1)) as client:
        begun = client.post(url, json={"what": "verdict", "language": "es"})
        assert (begun.status_code, begun.json()["state"], begun.json()["about"]) == (202, "waiting", walk)
        events = client.get(begun.headers["location"] + "/events").text
        told = [json.loads(line.removeprefix("data:")) for line in events.splitlines() if line.startswith("data:")]
        assert told[-1]["state"] == "done"
        again = client.post(url, json={"what": "verdict", "language": "es"})
        read = client.get(f"{url}/verdict", params={"language": "es"})
    assert (again.status_code, read.status_code) == (200, 200)
    assert again.content == read.content
    with office.reading() as unit:
        site = walked_files(unit, walk)[1].written
    document = run(payload(AnswerAsked("verdict", "es"), site), untold)
    assert read.content.endswith(b',"answer":' + document + b"}")
    values: dict[str, Any] = read.json()
    assert values.pop("answer") == json.loads(document)
    at = dt.datetime.fromisoformat(values.pop("at"))
    assert abs((office.now() - at).total_seconds()) < 60.0
    assert values == {"what": "verdict", "language": "es", "seed": 1, "seq": values["seq"], "is_current": True}


def test_a_long_answer_is_packed_for_who_takes_it(office: Office) -> None:
    """The heights of both pads of the demo come in under 100 kB, the same to the byte; a short answer is as it is."""
    walk = a_walk(office, a_job(office), demo())
    url = f"/api/walks/{walk}/answers"
    with TestClient(app_of(office, workers=1)) as client:
        for what in ("maps", "check"):
            begun = client.post(url, json={"what": what})
            client.get(begun.headers["location"] + "/events")
        plain = client.get(f"{url}/maps", headers={"Accept-Encoding": "identity"})
        packed = client.get(f"{url}/maps", headers={"Accept-Encoding": "gzip"})
        refused = client.get(f"{url}/maps", headers={"Accept-Encoding": "gzip;q=0"})
        short = client.get(f"{url}/check", headers={"Accept-Encoding": "gzip"})
    assert (packed.headers["content-encoding"], packed.headers["vary"]) == ("gzip", "Accept-Encoding")
    assert int(packed.headers["content-length"]) < 100_000 < int(plain.headers["content-length"])
    assert packed.content == plain.content == refused.content
    assert not any("content-encoding" in answer.headers for answer in (plain, refused))
    assert ("content-encoding" in short.headers) == (len(short.content) >= 20_000)


def test_what_cannot_be_answered_is_a_problem_of_its_task(office: Office) -> None:
    """With its complaints, in the reader's language."""
    walk = a_walk(office, a_job(office), {"site.toml": b"[[pad]]\nid = 'a'\noutline = 'round'\n"})
    with TestClient(app_of(office, workers=1)) as client:
        url = client.post(f"/api/walks/{walk}/answers", json={"what": "verdict"}).headers["location"]
        until = time.monotonic() + 30.0
        while (task := client.get(url).json())["state"] in ("waiting", "running"):
            assert time.monotonic() < until
            time.sleep(0.05)
    assert (task["state"], task["problem"]["status"], task["problem"]["code"]) == ("failed", 422, "input")
    assert task["problem"]["places"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("who", "what", "asked", "read"),
    [
        ("head", "price", 202, 404),
        ("crew", "verdict", 202, 404),
        ("crew", "price", 403, 403),
        ("crew off", "verdict", 404, 404),
        ("crew off", "price", 403, 403),
    ],
)
def test_who_may_ask(client: TestClient, office: Office, who: str, what: str, asked: int, read: int) -> None:
    """Money for who may see it, walks for who may see the job; what was never asked has no answer."""
    url = f"/api/walks/{a_walk(office, a_job(office), BARE)}/answers"
    assert client.post(url, json={"what": what}, headers={"X-Who": who}).status_code == asked
    assert client.get(f"{url}/{what}", headers={"X-Who": who}).status_code == read


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"what": "season"},
        {"what": "price", "seed": -1},
        {"what": "price", "seed": 2**60},
        {"what": "price", "x": 1},
    ],
)
def test_what_is_no_question_is_refused(client: TestClient, body: dict[str, Any]) -> None:
    """Whether or not there is such a walk."""
    url = f"/api/walks/{uuid.uuid4()}/answers"
    assert client.post(url, json=body).status_code == 422
    assert client.get(f"{url}/season").status_code == 422
    assert client.post(url, json={"what": "check"}).status_code == 404
