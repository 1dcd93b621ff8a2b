"""The guards around the app, each asked without a network."""

from __future__ import annotations

import asyncio
import io
import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.types import ASGIApp, Receive, Scope, Send

from courtwright.api.edge import Edge, around
from courtwright.api.edge.hosts import Hosts, host_name
from courtwright.api.edge.pace import Pace
from courtwright.api.edge.sizes import Sizes
from courtwright.api.edge.streams import OpenStreams
from courtwright.api.logs import KEYS, open_log
from tests.api.asking import Answer, Ask
from tests.api.small_app import SECRET, small_app

SMALL = Edge(
    names=("localhost", "courts.example", "*.club.example", "::1"),
    sizes=Sizes(1000, (("/api/echo/large", 5000),)),
    pace=Pace(idle_s=0.15, grace_s=0.4, least_bytes_s=1000.0),
    most_requests=2,
)


def _guarded(app: ASGIApp | None = None, log: io.StringIO | None = None) -> ASGIApp:
    return around(app or small_app(), SMALL, open_log(None, log or io.StringIO()), OpenStreams())


def _lines(log: io.StringIO) -> list[dict[str, Any]]:
    return [json.loads(line) for line in log.getvalue().splitlines()]


# --- headers ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ask",
    [
        Ask("/api/health/live", "GET"),
        Ask("/api/nowhere", "GET"),
        Ask("/api/broken", "GET"),
        Ask(headers={"host": "evil.example"}),
        Ask(headers={"host": "localhost", "content-length": "9999"}),
    ],
    ids=["answer", "none", "fault", "host", "large"],
)
def test_every_answer_has_the_headers_of_safety(ask: Ask):
    """A fault and a refusal have them as an answer has."""
    answer = ask.of(_guarded())
    policy = dict(part.split(" ", 1) for part in (answer.header("content-security-policy") or "").split("; "))
    assert policy["default-src"] == policy["script-src"] == policy["style-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["object-src"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in str(policy)
    assert answer.header("x-content-type-options") == "nosniff"
    assert answer.header("referrer-policy") == "no-referrer"
    assert answer.header("cross-origin-opener-policy") == "same-origin"
    assert answer.header("cross-origin-resource-policy") == "same-origin"
    assert answer.header("cache-control") == "no-store"
    assert re.fullmatch("[0-9a-f]{32}", answer.header("x-request-id") or "")


def test_strict_transport_is_said_under_tls_alone():
    """Browsers take no notice of it elsewhere, and a service without TLS must not promise it."""
    assert Ask("/who", "GET").of(_guarded()).header("strict-transport-security") is None
    answer = Ask("/who", "GET", scheme="https").of(_guarded())
    assert "max-age=31536000" in (answer.header("strict-transport-security") or "")


def test_an_answer_may_be_stricter_itself():
    """What the app says of an answer stands, once."""
    answer = Ask("/own-policy", "GET").of(_guarded())
    assert answer.header("content-security-policy") == "sandbox"
    assert answer.header("cache-control") == "max-age=5"


# --- hosts --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host", ["localhost", "localhost:8787", "COURTS.example.", "north.club.example:443", "[::1]:80"]
)
def test_our_own_names_are_served(host: str):
    """With a port or without, in any letters, a wildcard's one label."""
    assert Ask("/api/health/live", "GET", {"host": host}).of(_guarded()).status == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "club.example", "a.b.club.example", "203.0.113.9", "xlocalhost"]
)
def test_a_name_that_was_made_to_lead_here_is_turned_away(host: str):
    """A page under a stranger's name cannot talk to us as to its own host."""
    answer = Ask("/api/health/live", "GET", {"host": host}).of(_guarded())
    assert (answer.status, answer.code) == (421, "host")


@pytest.mark.parametrize("host", ["", "a b", "localhost/x", "localhost@evil.example", "local\thost", "localhost:x"])
def test_what_is_no_host_is_told(host: str):
    """A header that names no host, or hides one."""
    answer = Ask("/api/health/live", "GET", {"host": host}).of(_guarded())
    assert (answer.status, answer.code) == (400, "host-unread")


@given(st.text(max_size=40))
def test_no_text_gets_past_as_one_of_our_names(text: str):
    """Only a text that is one of the names, but for letters, a dot and a port, is served."""
    name = host_name(text)
    plain = re.sub(r":\d{1,5}$", "", text).strip("[]").rstrip(".").lower()
    assert name in ("", plain)
    assert Hosts(small_app(), ("courts.example",)).serves(name) is (plain == "courts.example" == name)


# --- bodies -------------------------------------------------------------------------------------


def test_a_body_within_its_size_goes_through():
    """Up to the last byte, in one part or in many."""
    assert Ask(parts=[b"x" * 1000]).of(_guarded()).body == b"1000"
    assert Ask(parts=[b"x"] * 1000).of(_guarded()).body == b"1000"


@pytest.mark.parametrize("parts", [[b"x" * 1001], [b"x" * 600, b"x" * 600], [b"x"] * 1001])
def test_a_body_that_grows_too_large_is_refused(parts: list[bytes]):
    """Without a length it is counted as it comes; what the app makes of the broken body is not sent."""
    answer = Ask(parts=parts).of(_guarded())
    assert (answer.status, answer.code, answer.header("connection")) == (413, "too-large", "close")
    assert answer.is_whole


def test_a_body_that_says_it_is_too_large_is_refused_before_the_app_hears_of_it():
    """The length is enough."""
    heard: list[Scope] = []

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        heard.append(scope)

    answer = Ask(headers={"host": "localhost", "content-length": "1001"}, parts=[b"x" * 1001]).of(_guarded(app))
    assert (answer.status, answer.code) == (413, "too-large")
    assert heard == []


def test_another_path_has_another_size():
    """The longest beginning that fits counts."""
    assert Ask("/api/echo/large", parts=[b"x" * 4000]).of(_guarded()).status == 404
    assert Ask("/api/echo/large", headers={"host": "localhost", "content-length": "5001"}).of(_guarded()).status == 413


@pytest.mark.parametrize(
    ("parts", "status"),
    [
        ([b"x", 0.05, b"x", 0.05, b"x"], 200),
        ([b"x", 1.0, b"x"], 408),  # a pause
        ([b"x", 0.1] * 20, 408),  # never a pause, and yet 2 s for 20 bytes
        ([b"x" * 100, 0.1] * 8, 200),  # 0.8 s, and 800 bytes buy as much beside the grace
    ],
    ids=["slow", "pause", "trickle", "steady"],
)
def test_a_body_that_holds_a_place_is_refused(parts: list[bytes | float], status: int):
    """A phone with a bad signal is waited for; a caller that trickles is not."""
    answer = Ask(parts=parts).of(_guarded())
    assert answer.status == status
    assert status == 200 or (answer.code, answer.header("connection")) == ("too-slow", "close")


def test_time_that_the_app_takes_is_not_the_callers():
    """A body that is there already is not slow because the app is."""

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        while (await receive())["more_body"]:
            await asyncio.sleep(0.2)
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body"})

    assert Ask(parts=[b"x"] * 4).of(_guarded(app)).status == 204


# --- faults -------------------------------------------------------------------------------------


def test_a_fault_is_answered_without_its_words():
    """The answer says that there was one; where it was stands in the log, under the same name."""
    log = io.StringIO()
    answer = Ask("/api/broken", "GET").of(_guarded(log=log))
    assert (answer.status, answer.code) == (500, "fault")
    assert b"ValueError" not in answer.body
    fault, request = _lines(log)
    assert (fault["event"], fault["fault"]) == ("fault", "ValueError")
    assert fault["request"] == request["request"] == answer.header("x-request-id")
    assert any(frame.startswith("small_app.py:") and frame.endswith(" broken") for frame in fault["frames"])
    assert SECRET not in log.getvalue() + answer.body.decode()


def test_a_500_that_the_app_means_goes_out():
    """Held back only until it is known that nothing broke."""
    answer = Ask("/api/meant", "GET").of(_guarded())
    assert (answer.status, answer.body) == (500, b"meant")


def test_half_an_answer_is_broken_off():
    """What has begun cannot be taken back: the server hears of it and closes, so that nobody takes it for whole."""
    log = io.StringIO()
    with pytest.raises(Exception, match=r"^$"):
        Ask("/api/half", "GET").of(_guarded(log=log))
    assert _lines(log)[0]["event"] == "fault"
    assert SECRET not in log.getvalue()


# --- crowds and streams -------------------------------------------------------------------------


def test_more_than_can_be_served_are_asked_to_come_again():
    """Two are served, the third is told when to come, and a place that was left is free."""

    async def three() -> list[Answer]:
        app, ask = _guarded(), Ask("/api/slow", "GET", query="seconds=0.2")
        answers = await asyncio.gather(*(ask.answered(app) for _ in range(3)))
        return [*answers, await Ask("/api/health/live", "GET").answered(app)]

    first, second, third, later = asyncio.run(three())
    assert (first.status, second.status, later.status) == (200, 200, 200)
    assert (third.status, third.code, third.header("retry-after")) == (503, "crowd", "2")


def test_a_stream_of_events_ends_whole_when_the_server_stops():
    """Whoever listens sees the end of it; one that begins afterwards ends at once; other answers are let be."""

    async def listened() -> tuple[Answer, Answer, Answer]:
        streams = OpenStreams()
        app = around(small_app(), SMALL, open_log(None, io.StringIO()), streams)
        asyncio.get_running_loop().call_later(0.2, streams.end_all)
        slow, ended = await asyncio.gather(
            Ask("/api/slow", "GET", query="seconds=0.4").answered(app),
            Ask("/api/events", "GET").answered(app),
        )
        return slow, ended, await Ask("/api/events", "GET").answered(app)

    slow, ended, late = asyncio.run(asyncio.wait_for(listened(), 5))
    assert (slow.status, slow.body) == (200, b'"done"')
    assert ended.is_whole
    assert ended.body.count(b"data: tick\n\n") >= 2
    assert late.is_whole


# --- log ----------------------------------------------------------------------------------------


def test_the_log_tells_the_route_and_nothing_of_who_asked():
    """A token in the path, a query, a body, where it came from, an address and a claimed name are not written down."""
    log = io.StringIO()
    headers = {"host": "localhost", "referer": "ana", "x-request-id": "made-up", "cookie": "kept=ana"}
    ask = Ask("/api/links/tok3n", "GET", headers, query="email=ana", parts=[b"ana"])
    assert ask.of(_guarded(log=log)).status == 200
    (line,) = _lines(log)
    assert line["route"] == "/api/links/{token}"
    assert (line["event"], line["method"], line["status"]) == ("request", "GET", 200)
    assert line["took_ms"] >= 0
    assert not re.search(r"tok3n|ana|made-up|203\.0\.113", log.getvalue())


def test_only_known_keys_reach_the_log():
    """A key that nobody listed leaves no value, and shows that it was there."""
    log = io.StringIO()
    open_log(None, log).warning("event", email=SECRET, count=3)
    (line,) = _lines(log)
    assert (line["count"], line["left_out"], line["level"]) == (3, 1, "warning")
    assert set(line) <= KEYS | {"left_out"}
    assert SECRET not in log.getvalue()


def test_a_method_of_the_callers_own_making_is_not_written_down():
    """It may hold anything."""
    log = io.StringIO()
    assert Ask("/api/health/live", "ANA").of(_guarded(log=log)).status == 405
    assert _lines(log)[0]["method"] == "other"


def test_health_checks_are_told_only_when_they_go_wrong():
    """They come every few seconds."""
    log = io.StringIO()
    assert Ask("/api/health/live", "GET").of(_guarded(log=log)).status == 200
    assert log.getvalue() == ""


def test_problems_are_in_the_readers_language():
    """Spanish where it comes first."""
    ask = Ask("/api/health/live", "GET", {"host": "evil.example", "accept-language": "es-MX,en;q=0.5"})
    assert "no se sirve nada" in json.loads(ask.of(_guarded()).body)["title"]
