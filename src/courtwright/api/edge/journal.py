"""Writes one line for each request: what was asked, by its route and not its path, how it ended, how long it took."""

from __future__ import annotations

import time

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from courtwright.api.edge.request_ids import request_id
from courtwright.api.logs import Log

#: Asked every few seconds by whoever watches the service; told only when they go wrong.
_QUIET = frozenset({"/api/health/live", "/api/health/ready"})


class Journal:
    """Tells the log of each request. No path, query, body, address or browser: a path may hold a customer's token."""

    def __init__(self, app: ASGIApp, log: Log) -> None:
        self.app, self.log = app, log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.perf_counter(), 0

        async def noted(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, noted)
        finally:
            took_ms = round((time.perf_counter() - began) * 1000, 1)
            route = _route(scope)
            if route not in _QUIET or status >= 400:
                method = scope["method"] if scope["method"] in _METHODS else "other"
                self.log.info(
                    "request", request=request_id(scope), method=method, route=route, status=status, took_ms=took_ms
                )


#: What a caller may call a method is up to the caller; these are written down.
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def _route(scope: Scope) -> str:
    """Return the template of the route that was taken, e.g. ``/api/jobs/{job}``."""
    return getattr(scope.get("route"), "path", None) or "none"
