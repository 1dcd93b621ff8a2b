"""Attacks by how HTTP is spoken, and by work that never ends."""

from __future__ import annotations

import asyncio
import importlib
import io
import itertools
import re
import time
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from fastapi.testclient import TestClient

from courtwright.api.edge import Edge, around
from courtwright.api.edge.streams import OpenStreams
from courtwright.api.logs import open_log
from courtwright.site.formats import HEAD, kind_of
from courtwright.units import reading
from tests.api.asking import Answer, Ask
from tests.api.attacking import client, served, spoken, walk
from tests.api.running import Running
from tests.api.small_app import small_app
from tests.company import company, quick_passwords
from tests.places import ROOT
from tests.store.walk.phones import Phone

__all__ = ["client", "company", "quick_passwords", "served", "walk"]


# --- HTTP ---------------------------------------------------------------------------------------

_POST = b"POST /api/session HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
_BEHIND = b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\n\r\n"


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        (_POST + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "framing"),
        (_POST + b"Transfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n", "framing"),
        (_POST.replace(b"1.1", b"1.0") + b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "framing"),
        (_POST + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", "no-http"),
        (_POST + b"Content-Length: +2\r\n\r\n{}", "no-http"),
        (_POST + b"Content-Length: " + b"9" * 5000 + b"\r\n\r\n{}", "no-http"),
        (_POST + b"Transfer-Encoding: xchunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding: chunked, chunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n{}\r\n0\r\n\r\n", ""),
        (b"GET /api/\0 HTTP/1.1\r\nHost: localhost\r\n\r\n", "no-http"),
        (b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n", "no-http"),
    ],
    ids=range(12),
)
def test_no_second_request_hides_in_the_first(served: Running, sent: bytes, code: str) -> None:
    """What a proxy could read otherwise gets one answer, and the connection is closed before what stands behind it."""
    said = spoken(served, sent + _BEHIND)
    assert said.startswith(b"HTTP/1.1 400 "), said[:60]
    assert len(re.findall(rb"HTTP/1\.1 \d", said)) == 1
    assert b"live" not in said
    assert not code or f'"code": "{code}"'.encode() in said


@pytest.mark.parametrize(
    "line",
    [
        b"GET http://evil.example/api/health/live HTTP/1.1",
        b"CONNECT evil.example:443 HTTP/1.1",
        b"OPTIONS * HTTP/1.1",
        b"TRACE /api/health/live HTTP/1.1",
        b"PRI * HTTP/2.0",
    ],
)
def test_a_request_of_another_kind_is_refused(served: Running, line: bytes) -> None:
    """We are no proxy, echo nothing, and speak HTTP/1."""
    said = spoken(served, line + b"\r\nHost: localhost\r\nX-Echo: 4711\r\nConnection: close\r\n\r\n")
    assert re.match(rb"HTTP/1\.1 4\d\d ", said), said[:60]
    assert b"4711" not in said


def test_who_is_not_known_sends_nothing_large(served: Running) -> None:
    """Where a large body is meant, 401 comes before any of it; everywhere else it may not be large."""
    id = str(uuid.UUID(int=9)).encode()
    large = [(b"POST /api/walks/%b/updates", 30_000_000), (b"PATCH /api/uploads/%b", 200_000_000)]
    for line, size in [*large, (b"POST /api/jobs/%b/walks/file", 2_000_000_000)]:
        head = line % id + b" HTTP/1.1\r\nHost: localhost\r\nUpload-Offset: 0\r\nContent-Length: %d\r\n\r\n" % size
        assert spoken(served, head).startswith(b"HTTP/1.1 401 "), line
    for line in (
        b"PATCH /api/walks/%b",
        b"POST /api/walks/%b/answers",
        b"POST /api/walks/%b/uploads",
        b"POST /api/session",
    ):
        head = (
            line + b" HTTP/1.1\r\nHost: localhost\r\nExpect: 100-continue\r\nContent-Length: 1100000\r\n\r\n"
        ).replace(b"%b", id)
        assert spoken(served, head).startswith(b"HTTP/1.1 413 "), line


class AskFrom(Ask):
    """A request from an address."""

    def __init__(self, address: str, **given: Any) -> None:
        super().__init__(**given)
        self.address = address

    def _scope(self) -> dict[str, Any]:
        return {**super()._scope(), "client": (self.address, 1)}


def test_one_address_leaves_room_for_others() -> None:
    """Of three places one machine, or one network of IPv6, takes two; the third is somebody else's."""

    async def answers() -> list[Answer]:
        app = around(small_app(), Edge(most_requests=3, most_of_one=2), open_log(None, io.StringIO()), OpenStreams())
        slow = {"path": "/api/slow", "method": "GET", "query": "seconds=0.3"}
        mine = [AskFrom(f"2001:db8::{n}", **slow).answered(app) for n in (1, 2, 3)]
        return list(await asyncio.gather(*mine, AskFrom("203.0.113.9", **slow).answered(app)))

    assert [one.status for one in asyncio.run(answers())] == [200, 200, 503, 200]


# --- work without end ---------------------------------------------------------------------------

PUMPS = [
    "0",
    "a",
    " ",
    "\n",
    "\t",
    "-",
    ".",
    ",",
    "_",
    "[",
    "999 ",
    "999\n",
    "0\n",
    "a.",
    "1,1",
    "us ",
    "survey ",
    "m ",
    '"features"',
    "=",
    "\\",
]
_LONGEST_MATCH_S = 0.2


def _uses() -> dict[str, list[Callable[[Any], object]]]:
    """Return what our modules do with each pattern that they hold: match, match whole, look for."""
    found: dict[str, list[Callable[[Any], object]]] = {}
    for file in (ROOT / "src" / "courtwright").rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        if "re.compile" not in text or "migrations" in file.parts:
            continue
        name = ".".join(file.relative_to(ROOT / "src").with_suffix("").parts).removesuffix(".__init__")
        for own, pattern in vars(importlib.import_module(name)).items():
            if isinstance(pattern, re.Pattern):
                looks = re.search(rf"\b{own}\.(search|finditer|findall|sub|split)\(", text)
                found[f"{name}.{own}"] = [pattern.match, pattern.fullmatch, *([pattern.search] if looks else [])]
    return found


def _most_letters(name: str) -> int:
    """Return how much of a text a pattern gets to see: a quantity is refused by its length first."""
    return reading._LONGEST if name.startswith("courtwright.units") else 100_000


def test_no_pattern_of_ours_is_made_to_try_for_ever() -> None:
    """Each on repeated pieces that end otherwise, first short, where a bad one shows, then as long as a line may be."""
    uses = _uses()
    assert len(uses) > 30
    for name, matches in uses.items():
        is_bytes = isinstance(matches[0].__self__.pattern, bytes)  # type: ignore[attr-defined]  # a bound method
        for pump, times in itertools.product(PUMPS, (16, 24, 30, 4000)):
            text = (pump * times)[: _most_letters(name)] + "\x01"
            for match in matches:
                began = time.perf_counter()
                match(text.encode() if is_bytes else text)
                assert time.perf_counter() - began < _LONGEST_MATCH_S, (name, pump, times)


def test_the_kind_of_a_file_is_told_at_once() -> None:
    """A survey of sixteen kilobytes of what a drawing calls remarks took longer than anybody lives."""
    for text in (b"999 " * 32, b"999\n" * 32, b"999 " * (HEAD // 4), b"999\r\n0\r\n" * (HEAD // 8)):
        began = time.perf_counter()
        assert kind_of(text + b"x") == "text"
        assert time.perf_counter() - began < 1
    assert kind_of(b"999\r\nmade by 0\r\n  0\r\nSECTION\r\n") == "dxf"


def test_a_few_bytes_of_a_phone_do_not_fill_the_memory(client: TestClient, walk: str) -> None:
    """An update of 600 bytes that speaks of millions of ids took a gigabyte and most of a minute; it is refused."""
    run = b"\x21\x01\x04walk\x01k\xa0\x8d\x06"
    phone = Phone(6)
    began = time.perf_counter()
    sent = client.post(f"{walk}/updates", content=phone.envelope(b"\x01\x31\x06\x00" + run * 49 + b"\x00"))
    assert (sent.status_code, sent.json()["code"]) == (422, "envelope")
    assert time.perf_counter() - began < 5
    assert client.get(f"{walk}/state").json()["seq"] == 0
