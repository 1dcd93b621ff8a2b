"""The service as it is run: many users at once, a long list, a day's walk with its photos, start and stop."""

from __future__ import annotations

import contextlib
import hashlib
import http.client
import io
import json
import os
import random
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import fastapi
import pytest
from benchmarks.crowd import Crowd
from benchmarks.day import a_day, envelopes
from benchmarks.users import Visit
from PIL import Image
from pytest_benchmark.fixture import BenchmarkFixture

COMMAND = Path(sys.executable).with_name("courtwright")
BARE = f"bare FastAPI {fastapi.__version__} and SQLite"
USERS, SECONDS, WRITES = 50, 8.0, 0.1
#: Our median wait over that of the peer, which looks nobody up, writes no history and answers anybody. [-]
MOST = 6.0
#: What may take how long. [s]
PAGE, SEARCH, READY, STOPPED = 0.05, 0.1, 2.0, 1.0
TYPED = 10.0
JOBS = 10_000
PHOTOS, PHOTO_SIZE, PART = 300, 2_000_000, 1_000_000


@dataclass(frozen=True, slots=True)
class Running:
    """A server that takes requests."""

    port: int
    headers: dict[str, str]
    ids: list[str]

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Any:
        """Return what is answered."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        with contextlib.closing(connection):
            told = {name.replace("_", "-"): value for name, value in headers.items()}
            connection.request(method, path, body, {**self.headers, **told})
            answer = connection.getresponse()
            text = answer.read()
            assert answer.status < 300, text
            return json.loads(text) if text else dict(answer.getheaders())


@contextlib.contextmanager
def process(*call: object) -> Iterator[str]:
    """Run a server; give its first line; kill it when this is left."""
    with subprocess.Popen([sys.executable, "-m", *map(str, call)], stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            yield server.stdout.readline()
        finally:
            server.kill()


@contextlib.contextmanager
def ours(folder: Path, jobs: int) -> Iterator[Running]:
    """Run the service with its guards and somebody signed in."""
    with process("benchmarks.served", folder, jobs) as line:
        yield Running(**json.loads(line))


@contextlib.contextmanager
def bare(folder: Path, jobs: int) -> Iterator[Running]:
    """Run the peer with as many jobs."""
    folder.mkdir()
    with process("benchmarks.bare", folder / "bare.sqlite") as line:
        running = Running(int(line), {}, [])
        given = json.dumps({"name": "job", "address": "1 Court Road"}).encode()
        for _ in range(jobs):
            running.ids.append(running.ask("POST", "/api/jobs", given, Content_Type="application/json")["id"])
        yield running


def waits(running: Running, seconds: float = SECONDS) -> dict[str, list[float]]:
    """Return how long users waited for each kind of request. [s]"""
    visit = Visit(running.port, USERS, seconds, WRITES, running.ids, running.headers)
    call = [sys.executable, "-m", "benchmarks.users"]
    done = subprocess.run(call, input=visit.json(), capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def test_fifty_users_at_once(benchmark: BenchmarkFixture, crowds: list[Crowd], tmp_path: Path):
    """They read, list and open jobs as fast as they are answered, the peer's and ours in turn."""
    with bare(tmp_path / "bare", 200) as peer, ours(tmp_path / "ours", 200) as running:
        waits(peer, 1.0)
        waits(running, 1.0)
        theirs = waits(peer)
        own: dict[str, list[float]] = benchmark.pedantic(lambda: waits(running), rounds=1)
    rows = [Crowd(kind, BARE, own[kind], theirs[kind]) for kind in ("read", "list", "write")]
    every = [[wait for waits_ in side.values() for wait in waits_] for side in (own, theirs)]
    rows.append(Crowd("all", BARE, *every))
    crowds += rows
    for row in rows:
        assert row.ratio < MOST, f"{row.what}: {row.ratio:.1f} times {BARE}, at most {MOST:g} allowed"


@pytest.fixture(scope="module")
def long_list(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Run the service with many jobs."""
    with ours(tmp_path_factory.mktemp("long"), JOBS) as running:
        yield running


def test_a_page_of_a_long_list(within: Any, long_list: Running):
    """What the first screen asks for."""
    within("a page of 50 in 10,000 jobs", lambda: long_list.ask("GET", "/api/jobs?most=50"), PAGE, rounds=20)


def test_a_search_in_a_long_list(within: Any, long_list: Running):
    """Part of a name that few jobs have."""
    found = long_list.ask("GET", "/api/jobs?text=job+777")["items"]
    assert len(found) == 11
    within("a search in 10,000 jobs", lambda: long_list.ask("GET", "/api/jobs?text=job+777"), SEARCH, rounds=20)


def test_a_deep_page_of_a_long_list(within: Any, long_list: Running):
    """The last page is found as fast as the first."""
    path, pages = "/api/jobs?most=200", 1
    while (page := long_list.ask("GET", path))["next"]:
        last, pages = path, pages + 1
        path = f"/api/jobs?most=200&after={page['next']}"
    assert pages == JOBS // 200
    deep = last.replace("most=200", "most=50")
    within("a page of 50 at the end of 10,000 jobs", lambda: long_list.ask("GET", deep), PAGE, rounds=20)


# --- a day's walk -----------------------------------------------------------------------------------


def _walk(running: Running) -> str:
    given = json.dumps({"id": str(uuid.uuid4())}).encode()
    return running.ask("POST", f"/api/jobs/{running.ids[0]}/walks", given, Content_Type="application/json")["id"]


def test_what_was_typed_in_a_day_is_sent(within: Any, tmp_path: Path):
    """2,000 marks, 12,000 updates, in requests of as many as one may hold."""
    phone = a_day()
    bodies = envelopes(phone, most=2_000)
    with ours(tmp_path, 1) as running:

        def send() -> None:
            walk = _walk(running)
            for body in bodies:
                running.ask("POST", f"/api/walks/{walk}/updates", body, Content_Type="application/octet-stream")
            assert running.ask("GET", f"/api/walks/{walk}/state")["seq"] >= len(phone.made)

        within("what was typed in a day is sent", send, TYPED, rounds=2)


def _photos() -> Sequence[bytes]:
    """Return photos as large as a phone's, each like no other."""
    chance, held = random.Random(5), io.BytesIO()
    Image.effect_noise((1600, 1200), 60.0).save(held, "JPEG", quality=80)
    head, rest = held.getvalue()[:2], held.getvalue()[2:]
    found: list[bytes] = []
    for _ in range(PHOTOS):
        photo = bytearray(head)
        while len(photo) + len(rest) < PHOTO_SIZE:
            comment = chance.randbytes(65_000)
            photo += b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment
        found.append(bytes(photo) + rest)
    return found


def test_the_photos_of_a_day_are_sent(beside: Any, tmp_path: Path):
    """300 photos in parts of a megabyte, each part on the disk before it is acknowledged; beside a plain copy."""
    photos, count = _photos(), iter(range(100))

    def copied() -> None:
        folder = tmp_path / f"copies-{next(count)}"
        folder.mkdir()
        for number, photo in enumerate(photos):
            with (folder / str(number)).open("wb") as file:
                file.write(photo)
                file.flush()
                os.fsync(file.fileno())

    with ours(tmp_path / "ours", 1) as running:
        walk = _walk(running)
        beside(
            f"{PHOTOS} photos, {PHOTOS * PHOTO_SIZE / 1e6:.0f} MB sent",
            lambda: [_send(running, walk, photo) for photo in photos],
            "each written and flushed to the disk",
            copied,
            most=30.0,
            rounds=1,
            warmup=0,
        )


def _send(running: Running, walk: str, photo: bytes) -> None:
    told = {"sha256": hashlib.sha256(photo).hexdigest(), "size_bytes": len(photo), "name": "IMG.jpg", "kind": "photo"}
    path = f"/api/walks/{walk}/uploads"
    id = running.ask("POST", path, json.dumps(told).encode(), Content_Type="application/json")["id"]
    for start in range(0, len(photo), PART):
        part = photo[start : start + PART]
        complete: Literal["?0", "?1"] = "?1" if start + PART >= len(photo) else "?0"
        headers = {"Content_Type": "application/partial-upload", "Upload_Offset": str(start)}
        answer = running.ask("PATCH", f"/api/uploads/{id}", part, **headers, Upload_Complete=complete)
    assert answer["upload-complete"] == "?1"


# --- start and stop ---------------------------------------------------------------------------------


@dataclass(slots=True)
class Service:
    """``courtwright serve`` on a folder, started and stopped again and again."""

    folder: Path
    process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it; return with the line that says it is ready."""
        call = [str(COMMAND), "serve", "--port", "0", "--data", str(self.folder)]
        self.process = subprocess.Popen(call, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        assert "127.0.0.1" in self.process.stdout.readline()

    def stop(self) -> None:
        """Stop it in order, where it runs; return with its end."""
        if self.process is not None:
            with self.process:
                self.process.send_signal(signal.SIGTERM)
            assert self.process.returncode == 0
            self.process = None

    def rest(self) -> None:
        """Stop it, and wait until the machine has nothing more to do with it."""
        self.stop()
        time.sleep(0.5)


@pytest.fixture
def service(tmp_path: Path) -> Iterator[Service]:
    """Give the service on a store that is there; stopped afterwards."""
    made = Service(tmp_path)
    made.start()
    made.stop()
    yield made
    made.stop()


def test_the_service_starts(within: Any, service: Service):
    """From the command to its line that it is ready, imports included."""
    within("courtwright serve, to ready", service.start, READY, rounds=5, setup=service.rest)


def test_the_service_stops(within: Any, service: Service):
    """From SIGTERM to its end, once its workers are warm."""

    def warm() -> None:
        service.start()
        time.sleep(3.0)

    within("courtwright serve, stopped", service.stop, STOPPED, rounds=3, setup=warm)
