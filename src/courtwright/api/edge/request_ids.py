"""Gives each request a name of its own, for the answer and the log alike."""

from __future__ import annotations

import uuid

from starlette.types import ASGIApp, Message, Receive, Scope, Send


class RequestIds:
    """Names requests. What a caller sends as a name is not taken: it would be written into the log."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        name = uuid.uuid4().hex
        scope.setdefault("state", {})["request_id"] = name

        async def named(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), (b"x-request-id", name.encode())]
            await send(message)

        await self.app(scope, receive, named)


def request_id(scope: Scope) -> str:
    """Return the name of a request, empty outside a server of ours."""
    return scope.get("state", {}).get("request_id", "")
