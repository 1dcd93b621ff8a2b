"""Serves only the names that are ours: a stranger's name that leads to this address is turned away.

Without it a page from elsewhere, whose name is made to lead here, could talk to a service on this machine as if it
were its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from starlette.types import ASGIApp, Receive, Scope, Send

from courtwright.api.edge.answering import answer
from courtwright.says import say

#: Of a machine's own.
LOOPBACK = ("localhost", "127.0.0.1", "::1")

_HOST = re.compile(r"(?:\[(?P<six>[0-9a-fA-F:.]+)\]|(?P<name>[\w.-]+))(?::\d{1,5})?", re.ASCII)


class Hosts:
    """Lets through requests to one of the names.

    Parameters
    ----------
    app : ASGIApp
        What is behind.
    names : iterable of str
        Host names and addresses without a port; ``*.example.org`` stands for one more label in front.
    """

    def __init__(self, app: ASGIApp, names: Iterable[str]) -> None:
        self.app = app
        self.names = frozenset(name.lower().rstrip(".") for name in names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        given = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
        host = host_name(given[0]) if len(given) == 1 else ""
        if not host:
            title, do = say("api.edge-host-unread"), say("api.edge-host-unread-do")
            await answer(scope, send, 400, "host-unread", title, do, closes=True)
        elif not self.serves(host):
            title, do = say("api.edge-host", host=host), say("api.edge-host-do")
            await answer(scope, send, 421, "host", title, do, closes=True)
        else:
            await self.app(scope, receive, send)

    def serves(self, host: str) -> bool:
        """Tell whether a name is one of ours."""
        return host in self.names or f"*.{host.partition('.')[2]}" in self.names


def host_name(text: str) -> str:
    """Return the name in a Host header, in small letters; empty when it is none.

    Examples
    --------
    >>> host_name("Courts.Example:8443"), host_name("[::1]:80"), host_name("a b"), host_name("")
    ('courts.example', '::1', '', '')
    """
    found = _HOST.fullmatch(text)
    return (found["six"] or found["name"]).lower().rstrip(".") if found else ""
