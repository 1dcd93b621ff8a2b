"""Refuses a request of which a proxy and we may take different parts for its body.

What one of the two takes for the end of a body, the other takes for another request: a stranger's request could so come
in behind somebody else's. A length that is told twice, once as a number and once in chunks, is answered and the
connection closed, and so are chunks of a release of HTTP that has none.

References
----------
RFC 9112, "HTTP/1.1", 2022, section 6.3 and 11.2.
"""

from __future__ import annotations

from starlette.types import ASGIApp, Receive, Scope, Send

from courtwright.api.edge.answering import answer
from courtwright.says import say


class Framing:
    """Lets through requests whose length is told once."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] == "http" and _is_ambiguous(scope):
            title, do = say("api.edge-framing"), say("api.edge-framing-do")
            await answer(scope, send, 400, "framing", title, do, closes=True)
        else:
            await self.app(scope, receive, send)


def _is_ambiguous(scope: Scope) -> bool:
    told = {name for name, _ in scope["headers"]}
    return b"transfer-encoding" in told and (b"content-length" in told or scope["http_version"] != "1.1")
