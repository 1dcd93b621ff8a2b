"""Ends streams of events when the server stops: they would go on for ever."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from courtwright.api.edge.answering import response_header


class OpenStreams:
    """The streams that are open; the server ends them all when it is told to stop."""

    def __init__(self) -> None:
        self._ends: set[Callable[[], object]] = set()
        self.is_stopping = False

    def add(self, end: Callable[[], object]) -> None:
        """Take in a stream by what ends it; at once, when the server stops already."""
        self._ends.add(end)
        if self.is_stopping:
            end()

    def discard(self, end: Callable[[], object]) -> None:
        """Forget a stream."""
        self._ends.discard(end)

    def end_all(self) -> None:
        """End every stream, now and from now on."""
        self.is_stopping = True
        for end in tuple(self._ends):
            end()


class Streams:
    """Puts answers of the kind ``text/event-stream`` among the open streams; each ends whole, not broken off."""

    def __init__(self, app: ASGIApp, streams: OpenStreams) -> None:
        self.app, self.streams = app, streams

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        task = asyncio.current_task()
        if scope["type"] != "http" or task is None:
            await self.app(scope, receive, send)
            return
        is_ended = False

        def end() -> None:
            nonlocal is_ended
            if not is_ended:
                is_ended = True
                task.cancel()

        async def watched(message: Message) -> None:
            if message["type"] == "http.response.start":
                kind = response_header(message, b"content-type")
                await send(message)
                if kind.startswith(b"text/event-stream"):
                    self.streams.add(end)
                return
            await send(message)

        try:
            await self.app(scope, receive, watched)
        except asyncio.CancelledError:
            if not is_ended:
                raise
            task.uncancel()
            await send({"type": "http.response.body", "body": b"", "more_body": False})
        finally:
            self.streams.discard(end)
