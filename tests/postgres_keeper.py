"""Keeps the PostgreSQL that all tests of a run share: started by the first that needs it, ended with the run.

Run as a program of its own, so that it outlives the worker that started it and ends when the run does, even when the
run is killed: ``python -m tests.postgres_keeper <number of the run's process> <file that gets the address>``.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

from tests.postgres import is_there, postgres_server


def main(watched: int, told: Path) -> None:
    """Start a server, write its address, and end it when the watched process is gone."""
    for number in (signal.SIGINT, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN)  # an interrupted run still closes its connections first
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    with postgres_server() as server:
        draft = told.with_suffix(".draft")
        draft.write_text(f"{server.url()}\n{os.getpid()}\n{server.pid}\n", encoding="utf-8")
        draft.chmod(0o600)
        draft.rename(told)
        while is_there(watched):
            time.sleep(0.1)


if __name__ == "__main__":
    main(int(sys.argv[1]), Path(sys.argv[2]))
