"""Turns away what is more than can be served at once, so that what is being served gets done."""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from courtwright.api.edge.answering import answer
from courtwright.says import say


class Crowd:
    """Lets ``most`` requests in at a time [-]; more are asked to come again."""

    def __init__(self, app: ASGIApp, most: int) -> None:
        self.app = app
        self.most = most
        self.inside = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        if self.inside >= self.most:
            again = [(b"retry-after", b"2")]
            title, do = say("api.edge-crowd"), say("api.edge-crowd-do")
            await answer(scope, send, 503, "crowd", title, do, headers=again, closes=True)
            return
        self.inside += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self.inside -= 1
