"""Starts servers at once: a process that has everything imported, and forks one for each call.

Run as ``python -m tests.kill.nursery``; reads lines of JSON, a name of `DOES` and what it is given, and answers each
with the pid and, of a server, the port.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import mmap
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Generator
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.store.backup import back_up, restore
from courtwright.store.blobs import blobs_at
from courtwright.store.hand import Hand
from courtwright.store.keys import Keys
from courtwright.store.opened import Store, open_store
from courtwright.store.unit import Unit

ESTIMATOR = Caller("00000000-0000-0000-0000-0000000000aa", "estimator")


class Flag:
    """How many transactions of a server write just now, in a file that outlives it."""

    def __init__(self, file: Path) -> None:
        with file.open("r+b") as handle:
            self._byte = mmap.mmap(handle.fileno(), 1)
        self._lock = threading.Lock()

    def add(self, number: int) -> None:
        """Count one more, or one less."""
        with self._lock:
            self._byte[0] = self._byte[0] + number

    def up(self) -> bool:
        """Tell whether any was writing when last seen."""
        return self._byte[0] > 0

    def down(self) -> None:
        """Forget the dead."""
        self._byte[0] = 0


@dataclass(frozen=True, slots=True)
class WatchedStore:
    """A store that raises a flag while it is inside a transaction that writes."""

    inner: Store
    flag: Flag

    @contextlib.contextmanager
    def reading(self) -> Generator[Unit, None, None]:
        """As the store does."""
        with self.inner.reading() as unit:
            yield unit

    @contextlib.contextmanager
    def writing(self, hand: Hand) -> Generator[Unit, None, None]:
        """As the store does; the flag is up from its BEGIN until its COMMIT has come back."""
        is_up = False
        try:
            with self.inner.writing(hand) as unit:
                self.flag.add(1)
                is_up = True
                yield unit
        finally:
            if is_up:
                self.flag.add(-1)

    def __getattr__(self, name: str) -> object:
        return getattr(self.inner, name)


def _serve(listening: socket.socket, database: str, files: str, flag: str) -> None:
    store = WatchedStore(open_store(database, files), Flag(Path(flag)))
    app = create_app(Office(store, keys=Keys(Path(files).parent / "keys")))  # type: ignore[arg-type]  # the same doors
    app.dependency_overrides[signed_in] = lambda: ESTIMATOR
    config = uvicorn.Config(app, log_level="critical", lifespan="off")
    uvicorn.Server(config).run(sockets=[listening])


def _back_up(target: str, database: str, files: str) -> None:
    with contextlib.closing(open_store(database, files)) as store:
        back_up(store, Path(target), dt.datetime.now(dt.UTC))


def _restore(source: str, database: str, files: str) -> None:
    with Path(source).open("rb") as handle:
        restore(handle, "backup.zip", database, blobs_at(files))


DOES: dict[str, Callable[..., None]] = {"back up": _back_up, "restore": _restore}


def _end_with(nursery: int) -> None:
    """End this process once the one that forked it has ended: a test that fails leaves nobody behind."""
    while os.getppid() == nursery:
        time.sleep(1)
    os._exit(1)


def main() -> None:
    """Fork a process for each line."""
    nursery = os.getpid()
    # The dead are not waited for by anybody else.
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    for line in sys.stdin:
        name, *given = json.loads(line)
        listening = socket.create_server(("127.0.0.1", 0)) if name == "serve" else None
        pid = os.fork()
        if pid == 0:
            threading.Thread(target=_end_with, args=(nursery,), daemon=True).start()
            if listening is None:
                DOES[name](*given)
            else:
                _serve(listening, *given)
            os._exit(0)
        sys.stdout.write(f"{pid} {listening.getsockname()[1] if listening else 0}\n")
        sys.stdout.flush()
        if listening is not None:
            listening.close()


if __name__ == "__main__":
    main()
