"""Ends its own process in the way it is told."""

import os
import signal
import sys
from collections.abc import Callable


def run(payload: bytes, told: Callable[[int, int], None]) -> bytes:
    if payload == b"exit":
        os._exit(7)
    if payload == b"sys.exit":
        sys.exit(7)
    os.kill(os.getpid(), getattr(signal, payload.decode()))
    return b"still here"
