"""Runs an app behind its door in a thread of the tests, as ``courtwright serve`` runs it in a process."""

from __future__ import annotations

import contextlib
import io
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.types import ASGIApp

from courtwright.api.edge import Edge
from courtwright.api.logs import open_log
from courtwright.api.server import open_door, server_of
from courtwright.api.settings import Settings

#: Longest wait for a server to be ready or gone. [s]
_PATIENCE_S = 20.0


@dataclass(slots=True)
class Running:
    """A server that takes requests."""

    address: str
    port: int
    log: io.StringIO
    stop: Callable[[], None]

    @property
    def place(self) -> tuple[str, int]:
        """Where a socket connects to."""
        return "127.0.0.1", self.port


@contextlib.contextmanager
def running(
    app: ASGIApp, data: Path, edge: Callable[[tuple[str, ...]], Edge] = Edge, **settings: Any
) -> Iterator[Running]:
    """Give a running server on a free port; it is stopped in order afterwards."""
    given = Settings(**{"data": data, "port": 0, "stop_within_s": 2, **settings})
    log, is_ready = io.StringIO(), threading.Event()
    door = open_door(given)
    port: int = door.socket.getsockname()[1]
    server = server_of(app, door, given, open_log(None, log), ready=is_ready.set, edge=edge)
    thread = threading.Thread(target=server.run, args=([door.socket],), daemon=True)
    thread.start()

    def stop() -> None:
        server.should_exit = True
        thread.join(_PATIENCE_S)
        assert not thread.is_alive()

    try:
        assert is_ready.wait(_PATIENCE_S)
        yield Running(door.address, port, log, stop)
    finally:
        stop()
        door.close()
