"""Asks a server over one connection, and remembers what was answered and what was refused."""

from __future__ import annotations

import http.client
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

#: What a connection does when its server dies: the request may or may not have been done.
GONE = (OSError, http.client.HTTPException)
OCTETS, PARTIAL = "application/octet-stream", "application/partial-upload"


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer that was hoped for."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    def json(self) -> Any:
        """Return what it says."""
        return json.loads(self.body)


@dataclass(slots=True)
class Asking:
    """One connection of one client."""

    connection: http.client.HTTPConnection
    #: How many changes were acknowledged.
    acknowledged: int = 0
    refused: list[tuple[int, bytes]] = field(default_factory=list[tuple[int, bytes]])

    def __call__(
        self, method: str, path: str, body: object = None, headers: Mapping[str, str] | None = None
    ) -> Answer | None:
        """Return the answer; None where it is a refusal, which is remembered."""
        data, kind = (body, OCTETS) if isinstance(body, bytes) else (json.dumps(body).encode(), "application/json")
        told = {"Content-Type": kind, **(headers or {})}
        self.connection.request(method, path, None if body is None else data, told)
        answer = self.connection.getresponse()
        content = answer.read()
        if answer.status >= 400:
            self.refused.append((answer.status, content))
            return None
        if method not in ("GET", "HEAD"):
            self.acknowledged += 1
        return Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, content)
