"""Tells browsers what our pages never do, so that they stop whoever tries."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: What a page of ours may load, and from where. Nothing inline, nothing from elsewhere, no frames.
#: The worker that keeps the client on a device, its manifest and the worker that draws papers are our files too, and
#: papers are drawn without WebAssembly: nothing more is let in for them.
CONTENT_POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self' blob:",
        "worker-src 'self'",
        "connect-src 'self'",
        "object-src 'none'",
        "frame-src 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
    )
)

#: Set on every answer that does not set its own.
ALWAYS: Mapping[bytes, bytes] = MappingProxyType(
    {
        b"content-security-policy": CONTENT_POLICY.encode(),
        b"x-content-type-options": b"nosniff",
        b"x-frame-options": b"DENY",
        b"referrer-policy": b"no-referrer",
        b"cross-origin-opener-policy": b"same-origin",
        b"cross-origin-resource-policy": b"same-origin",
        # A walk takes pictures and may ask where it is; nothing else of the device is ours. A browser complains on each
        # page of a name that it does not know, so that only those are here that browsers have.
        b"permissions-policy": b"camera=(self), geolocation=(self), microphone=(), payment=(), usb=(), serial=(),"
        b" display-capture=()",
    }
)

#: A year: a browser that came by https once never comes by http again. Said under TLS only, where it counts.
STRICT_TRANSPORT = b"max-age=31536000"


class SecurityHeaders:
    """Adds the headers above; answers under ``/api`` are kept in no cache unless they say how."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        wanted = dict(ALWAYS)
        if scope["scheme"] == "https":
            wanted[b"strict-transport-security"] = STRICT_TRANSPORT
        if scope["path"].startswith("/api"):
            wanted[b"cache-control"] = b"no-store"

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                told = list(message.get("headers", ()))
                there = {name.lower() for name, _ in told}
                message["headers"] = told + [(name, value) for name, value in wanted.items() if name not in there]
            await send(message)

        await self.app(scope, receive, guarded)
