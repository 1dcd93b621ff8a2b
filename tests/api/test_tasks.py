"""Tasks over the web: watched as they go on, stopped, and seen by whoever may."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import json
import threading
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx2
import pytest
from fastapi import FastAPI, Request
from fastapi.testclient import TestClient

from courtwright.api import watching
from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.work.runner import Pace, Runner
from courtwright.desk.work.tasks import Work, ask_for, stop_task
from courtwright.desk.workers import WorkerPool
from courtwright.store.rows.tasks import Task
from tests.api.running import running
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, HEAD, a_job

CALLERS = {"head": HEAD, "estimator": ESTIMATOR, "crew": CREW, "crew off": CREW_OFF}
ABOUT = "00000000-0000-0000-0000-0000000000f1"


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(1, 30.0, home="tests.desk.trial") as made:
        made.run("echo", b"")
        yield made


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


@pytest.fixture
def app(office: Office) -> FastAPI:
    """Return an app whose caller says who they are."""
    made = create_app(office)
    made.dependency_overrides[signed_in] = caller_of
    return made


def caller_of(request: Request) -> Caller:
    return CALLERS[request.headers.get("x-who", "estimator")]


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app) as client:
        yield client


@contextlib.contextmanager
def worked(office: Office, pool: WorkerPool) -> Iterator[None]:
    runner = Runner(office, pool, 1, pace=Pace(step=0.02))
    runner.start(is_alone=False)
    yield
    runner.stop()


@contextlib.contextmanager
def served(app: FastAPI, folder: Path) -> Iterator[httpx2.Client]:
    """Give a client of a real server, in which streams stream."""
    with running(app, folder) as server, httpx2.Client(base_url=server.address, timeout=20.0) as client:
        yield client


def asked(office: Office, kind: str = "nap", payload: bytes = b"1", **values: Any) -> Task:
    work = Work(kind, ABOUT, None, "answers.read", payload, {})
    with office.writing(ESTIMATOR) as unit:
        return ask_for(office, unit, dataclasses.replace(work, **values))


def events(lines: Iterator[str]) -> Iterator[tuple[int, dict[str, Any]]]:
    """Yield each event's id and what it tells."""
    told: dict[str, str] = {}
    for line in lines:
        if line:
            name, _, value = line.partition(":")
            told[name] = value.strip()
        elif "data" in told:
            assert told["event"] == "task"
            yield int(told["id"]), json.loads(told["data"])
            told = {}


# --- laws ---------------------------------------------------------------------------------------


def test_a_task_is_watched_to_its_end(app: FastAPI, office: Office, pool: WorkerPool, tmp_path: Path) -> None:
    """First as it is, then each change while it goes on, then done, and the stream ends."""
    made = asked(office, "nap", b"60")
    with served(app, tmp_path) as client, client.stream("GET", f"/api/tasks/{made.id}/events") as stream:
        assert stream.headers["content-type"].startswith("text/event-stream")
        told = events(stream.iter_lines())
        assert [(id, task["state"], task["id"]) for id, task in [next(told)]] == [(1, "waiting", made.id)]
        with worked(office, pool):
            rest = list(told)
    ids = [id for id, _ in rest]
    steps = [task["done"] for _, task in rest if task["of"] == 60]
    assert ids == sorted(set(ids))
    assert [task["state"] for _, task in rest][-1] == "done"
    assert steps == sorted(steps)
    assert len(set(steps)) > 3


def test_who_comes_back_is_told_what_was_missed_and_no_more(client: TestClient, office: Office) -> None:
    """By the id of the last event that came; one that is none of ours counts as none."""
    made = asked(office)
    stop_task(office, ESTIMATOR, made.id)
    url = f"/api/tasks/{made.id}/events"

    def told(last: str | bytes | None) -> list[int]:
        answer = client.get(url, headers={} if last is None else {"Last-Event-ID": last})
        assert answer.status_code == 200
        return [id for id, _ in events(iter(answer.text.splitlines()))]

    assert told(None) == told("1") == told("x") == told("") == told("²".encode()) == told("99999999999999999999") == [2]
    assert told("2") == []


def test_another_servers_changes_are_told_too(app: FastAPI, office: Office, tmp_path: Path) -> None:
    """Within a second or so, though no bell rings here."""
    made = asked(office)
    with served(app, tmp_path) as client, client.stream("GET", f"/api/tasks/{made.id}/events") as stream:
        told = events(stream.iter_lines())
        next(told)
        at = time.monotonic()
        stop_task(Office(office.store), ESTIMATOR, made.id)
        assert next(told)[1]["state"] == "stopped"
        assert time.monotonic() - at < 2.0


def test_own_changes_are_told_at_once(app: FastAPI, office: Office, tmp_path: Path) -> None:
    """The bell rings in this process: nobody waits for the next look at the store."""
    made = asked(office)
    with served(app, tmp_path) as client, client.stream("GET", f"/api/tasks/{made.id}/events") as stream:
        told = events(stream.iter_lines())
        next(told)
        at = time.monotonic()
        assert client.post(f"/api/tasks/{made.id}/stop").json()["state"] == "stopped"
        assert next(told)[1]["state"] == "stopped"
        assert time.monotonic() - at < watching.LOOK * 0.8


def test_a_quiet_stream_is_kept_open(
    app: FastAPI, office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By comments, which no reader of events shows."""
    monkeypatch.setattr("fastapi.routing._PING_INTERVAL", 0.1)
    made = asked(office)
    with served(app, tmp_path) as client, client.stream("GET", f"/api/tasks/{made.id}/events") as stream:
        lines = stream.iter_lines()
        while not next(lines).startswith(":"):
            pass


def test_a_server_that_stops_ends_its_streams(app: FastAPI, office: Office, tmp_path: Path) -> None:
    """Whole, and without waiting for the task."""
    made = asked(office)
    with (
        running(app, tmp_path) as server,
        httpx2.Client(base_url=server.address, timeout=20.0) as client,
        client.stream("GET", f"/api/tasks/{made.id}/events") as stream,
    ):
        told = events(stream.iter_lines())
        next(told)
        at = time.monotonic()
        stopping = threading.Thread(target=server.stop)
        stopping.start()
        assert list(told) == []
        assert time.monotonic() - at < 1.5
    stopping.join()
    assert office.bell._listeners == frozenset()


def test_a_stream_ends_after_a_while_and_goes_on_when_asked_again(
    client: TestClient, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who signs out does not watch for ever."""
    monkeypatch.setattr(watching, "LONGEST", 0.1)
    monkeypatch.setattr(watching, "LOOK", 0.05)
    made = asked(office)
    assert len(list(events(iter(client.get(f"/api/tasks/{made.id}/events").text.splitlines())))) == 1


def test_a_task_is_found_and_stopped(client: TestClient, office: Office) -> None:
    """With why it failed in the reader's language."""
    made = asked(office)
    shown = client.get(f"/api/tasks/{made.id}").json()
    assert (shown["state"], shown["kind"], shown["about"], shown["problem"]) == ("waiting", "nap", ABOUT, None)
    assert client.post(f"/api/tasks/{made.id}/stop").json()["state"] == "stopped"
    assert client.get("/api/tasks", params={"state": "waiting"}).json() == {"items": [], "next": None}
    assert [one["id"] for one in client.get("/api/tasks", params={"about": ABOUT}).json()["items"]] == [made.id]


def test_why_it_failed_is_a_problem_in_the_readers_language(
    client: TestClient, office: Office, pool: WorkerPool
) -> None:
    """As every other, with every wrong place."""
    made = asked(office, "fail", b"complaints")
    url = f"/api/tasks/{made.id}"
    with worked(office, pool):
        while client.get(url).json()["state"] != "failed":
            time.sleep(0.02)
    english, spanish = (client.get(url, headers={"Accept-Language": one}).json()["problem"] for one in ("en", "es"))
    assert (english["code"], english["status"], english["at"]) == ("input", 422, "walk")
    assert english["title"] != spanish["title"]
    assert [place["at"] for place in english["places"]] == ["marks.geojson, feature 3"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("way", ["", "/events", "/stop"])
@pytest.mark.parametrize(
    ("who", "needs", "status"),
    [
        ("head", "prices.read", 200),
        ("estimator", "prices.read", 200),
        ("crew", "prices.read", 404),
        ("crew off", "prices.read", 404),
        ("crew off", "answers.read", 404),
    ],
)
def test_money_and_others_jobs_are_as_if_not_there(
    client: TestClient, office: Office, way: str, who: str, needs: str, status: int
) -> None:
    """For the crew, in every way to ask."""
    made = asked(office, job_id=a_job(office), needs=needs)
    stop_task(office, ESTIMATOR, made.id)
    ask = client.post if way == "/stop" else client.get
    answer = ask(f"/api/tasks/{made.id}{way}", headers={"X-Who": who})
    assert answer.status_code == status
    if status == 404:
        assert answer.headers["content-type"] == "application/problem+json"


def test_one_person_watches_so_many_at_once(app: FastAPI, office: Office, tmp_path: Path) -> None:
    """One more is refused, and taken when another has gone; others are not held up."""
    url = f"/api/tasks/{asked(office, job_id=a_job(office)).id}/events"
    with served(app, tmp_path) as client, contextlib.ExitStack() as open_ones:
        streams = [open_ones.enter_context(client.stream("GET", url)) for _ in range(watching.MOST)]
        assert {stream.status_code for stream in streams} == {200}
        with client.stream("GET", url) as refused:
            assert (refused.status_code, json.loads(refused.read())["code"]) == (429, "too-many")
            assert int(refused.headers["retry-after"]) > 0
        with client.stream("GET", url, headers={"X-Who": "head"}) as theirs:
            assert theirs.status_code == 200
        streams[0].close()
        until = time.monotonic() + 5.0
        while True:
            with client.stream("GET", url) as again:
                if again.status_code == 200:
                    break
            assert time.monotonic() < until
            time.sleep(0.05)


def test_a_task_that_is_none_is_told_so(client: TestClient) -> None:
    """A UUID that nobody has, and what is no UUID."""
    assert client.get(f"/api/tasks/{uuid.uuid4()}").status_code == 404
    assert client.get(f"/api/tasks/{uuid.uuid4()}/events").status_code == 404
    assert client.get("/api/tasks/x/events").status_code == 422
