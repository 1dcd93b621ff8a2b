"""Runs an app: opens the address, says when it is ready, and stops in order."""

from __future__ import annotations

import contextlib
import errno
import signal
import socket
import threading
from collections.abc import Callable, Generator
from dataclasses import dataclass
from types import FrameType
from urllib.parse import urlsplit

import uvicorn
from starlette.types import ASGIApp

from courtwright.api.certificate import Certificate, open_certificate
from courtwright.api.edge import Edge, around
from courtwright.api.edge.hosts import LOOPBACK
from courtwright.api.edge.patience import PatientProtocol
from courtwright.api.edge.streams import OpenStreams
from courtwright.api.logs import Log
from courtwright.api.settings import Settings
from courtwright.errors import CallError
from courtwright.says import say

_WILDCARDS = ("0.0.0.0", "::")
_BACKLOG = 512


@dataclass(frozen=True, slots=True)
class Door:
    """An address that is open: nobody else can take it, and nothing is served yet.

    Parameters
    ----------
    socket : socket
        Listening; who comes before the app is ready waits.
    certificate : Certificate or None
        For TLS.
    address : str
        How people reach the service, without a slash at its end.
    names : tuple of str
        Host names that are served.
    """

    socket: socket.socket
    certificate: Certificate | None
    address: str
    names: tuple[str, ...]

    def close(self) -> None:
        """Give the address back."""
        self.socket.close()


def open_door(settings: Settings) -> Door:
    """Try the certificate and take the address.

    Raises
    ------
    CallError
        If a certificate file is wrong, or the address is taken, forbidden or not of this machine.
    """
    certificate = None
    if settings.certificate and settings.key:
        certificate = open_certificate(settings.certificate, settings.key)
    bound = _bind(settings.host, settings.port)
    own = (settings.host,) if settings.host not in _WILDCARDS else ()
    told = (urlsplit(settings.address).hostname or "",) if settings.address else ()
    known = (*told, *settings.names, *(certificate.names if certificate else ()))
    # Whoever asks the loopback address by its own name is on this machine, whatever else is served.
    names = tuple(dict.fromkeys((*known, *own, *LOOPBACK)))
    address = settings.address or _address(bound, certificate, (*known, *own))
    return Door(bound, certificate, address, names)


def serve(
    app: ASGIApp,
    door: Door,
    settings: Settings,
    log: Log,
    *,
    ready: Callable[[], None],
    edge: Callable[[tuple[str, ...]], Edge] = Edge,
) -> None:
    """Serve an app until SIGTERM or SIGINT: running requests are finished, streams of events ended, then it returns.

    Parameters
    ----------
    app : ASGIApp
        What is served; it speaks the lifespan protocol.
    door : Door
        Where.
    settings : Settings
        How.
    log : Log
        Is told of requests and faults.
    ready : callable
        Called once, when requests are taken.
    edge : callable
        Makes what the guards hold to from the names that are served.

    Raises
    ------
    RuntimeError
        If the app could not start; the log says where.
    """
    with contextlib.closing(door):
        try:
            server_of(app, door, settings, log, ready=ready, edge=edge).run([door.socket])
        except SystemExit as error:
            message = "the app did not start"
            raise RuntimeError(message) from error


def server_of(
    app: ASGIApp,
    door: Door,
    settings: Settings,
    log: Log,
    *,
    ready: Callable[[], None],
    edge: Callable[[tuple[str, ...]], Edge] = Edge,
) -> uvicorn.Server:
    """Return the server that ``serve`` runs; it ends when its ``should_exit`` is set."""
    streams = OpenStreams()
    config = uvicorn.Config(
        around(app, edge(door.names), log, streams),
        http=PatientProtocol,
        ws="none",
        lifespan="on",
        loop="asyncio",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=bool(settings.proxies),
        forwarded_allow_ips=list(settings.proxies),
        timeout_keep_alive=15,
        timeout_graceful_shutdown=settings.stop_within_s,
        backlog=_BACKLOG,
    )
    config.load()
    config.ssl = door.certificate.context if door.certificate else None
    return _Server(config, streams, ready)


class _Server(uvicorn.Server):
    """Says when it is ready, ends streams when it stops, and leaves by returning."""

    def __init__(self, config: uvicorn.Config, streams: OpenStreams, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self.streams, self.ready = streams, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self.ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self.streams.end_all()
        await super().shutdown(sockets)

    @contextlib.contextmanager
    def capture_signals(self) -> Generator[None]:
        """Take SIGTERM and SIGINT as the wish to stop; uvicorn would raise them again afterwards."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = {number: signal.signal(number, self.handle_exit) for number in (signal.SIGTERM, signal.SIGINT)}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop in order; at once when asked a second time."""
        self.force_exit = self.should_exit
        self.should_exit = True


# --- addresses ----------------------------------------------------------------------------------

_REFUSALS = {
    errno.EADDRINUSE: "api.port-taken",
    errno.EACCES: "api.port-forbidden",
    errno.EPERM: "api.port-forbidden",
    errno.EADDRNOTAVAIL: "api.host-not-ours",
}


def _bind(host: str, port: int) -> socket.socket:
    where = f"{host}:{port}"
    try:
        family, kind, proto, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except (OSError, UnicodeError) as error:
        raise CallError(say("api.host-unknown", host=host), where=where, fix=say("api.host-do")) from error
    bound = socket.socket(family, kind, proto)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind(place)
        # A second bind to a port that is not yet listened on would go through.
        bound.listen(_BACKLOG)
    except OSError as error:
        bound.close()
        id = _REFUSALS.get(error.errno or 0, "api.host-not-ours")
        fix = say("api.host-do" if id == "api.host-not-ours" else "api.port-do")
        raise CallError(say(id, port=port, host=host), where=where, fix=fix) from error
    return bound


def _address(bound: socket.socket, certificate: Certificate | None, names: tuple[str, ...]) -> str:
    host = next((name for name in names if "*" not in name), "localhost")
    port = bound.getsockname()[1]
    scheme, usual = ("https", 443) if certificate else ("http", 80)
    shown = f"[{host}]" if ":" in host else host
    return f"{scheme}://{shown}" + ("" if port == usual else f":{port}")
