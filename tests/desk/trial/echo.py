"""Says who it is, and what it was handed."""

import os
from collections.abc import Callable


def run(payload: bytes, told: Callable[[int, int], None]) -> bytes:
    told(1, 1)
    return b"%d " % os.getpid() + payload
