"""Turns away what is more than can be served at once, so that what is being served gets done."""

from __future__ import annotations

import ipaddress
from collections import Counter

from starlette.types import ASGIApp, Receive, Scope, Send

from courtwright.api.edge.answering import answer
from courtwright.says import say


class Crowd:
    """Lets ``most`` requests in at a time, ``most_of_one`` from one address [-]; more are asked to come again.

    The rest is for others: one machine that sends its requests byte by byte does not keep everybody out.
    """

    def __init__(self, app: ASGIApp, most: int, most_of_one: int) -> None:
        self.app = app
        self.most, self.most_of_one = most, most_of_one
        self.inside: Counter[str] = Counter()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        who = _who(scope)
        if self.inside.total() >= self.most or self.inside[who] >= self.most_of_one:
            again = [(b"retry-after", b"2")]
            title, do = say("api.edge-crowd"), say("api.edge-crowd-do")
            await answer(scope, send, 503, "crowd", title, do, headers=again, closes=True)
            return
        self.inside[who] += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self.inside[who] -= 1
            if not self.inside[who]:
                del self.inside[who]


def _who(scope: Scope) -> str:
    """Return the address that a request came from; of IPv6 the part that one household or office has to itself."""
    address: str = (scope.get("client") or ("",))[0]
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network((found, 64), strict=False)) if found.version == 6 else address
