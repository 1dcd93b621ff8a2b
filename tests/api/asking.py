"""Asks an ASGI app without a network: parts of a body as they come, and how long each takes to come."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from starlette.types import ASGIApp, Message


@dataclass(slots=True)
class Answer:
    """What an app answered."""

    status: int = 0
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)
    body: bytes = b""
    is_whole: bool = False

    def header(self, name: str) -> str | None:
        """Return a header; None when there is none; two of one name are an error."""
        found = [value.decode() for key, value in self.headers if key.decode().lower() == name.lower()]
        assert len(found) < 2, (name, found)
        return found[0] if found else None

    @property
    def code(self) -> str:
        """The code of the problem that it is."""
        assert self.header("content-type") == "application/problem+json", (self.status, self.headers)
        problem: dict[str, Any] = json.loads(self.body)
        assert problem["status"] == self.status
        return problem["code"]


@dataclass(slots=True)
class Ask:
    """A request."""

    path: str = "/api/echo"
    method: str = "POST"
    headers: dict[str, str] = field(default_factory=lambda: {"host": "localhost"})
    parts: Iterable[bytes | float] = ()  # bytes of the body, and pauses between them [s]
    scheme: str = "http"
    query: str = ""

    def of(self, app: ASGIApp) -> Answer:
        """Return the app's answer."""
        return asyncio.run(self.answered(app))

    async def answered(self, app: ASGIApp) -> Answer:
        """Return the app's answer."""
        answer, parts, is_over = Answer(), iter(self.parts), asyncio.Event()

        async def receive() -> Message:
            for part in parts:
                if isinstance(part, bytes):
                    return {"type": "http.request", "body": part, "more_body": True}
                await asyncio.sleep(part)
            if is_over.is_set():
                await asyncio.Event().wait()  # a caller that stays
            is_over.set()
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: Message) -> None:
            assert not answer.is_whole, "more after the end"
            if message["type"] == "http.response.start":
                assert not answer.status, "two answers"
                answer.status, answer.headers = message["status"], list(message["headers"])
            else:
                assert answer.status
                answer.body += message.get("body", b"")
                answer.is_whole = not message.get("more_body", False)

        await app(self._scope(), receive, send)
        return answer

    def _scope(self) -> dict[str, Any]:
        return {
            "type": "http",
            "asgi": {"version": "3.0", "spec_version": "2.3"},
            "http_version": "1.1",
            "method": self.method,
            "scheme": self.scheme,
            "path": self.path,
            "raw_path": self.path.encode(),
            "query_string": self.query.encode(),
            "root_path": "",
            "headers": [(key.lower().encode(), value.encode()) for key, value in self.headers.items()],
            "client": ("203.0.113.7", 4711),
            "server": ("127.0.0.1", 80),
            "state": {},
        }
