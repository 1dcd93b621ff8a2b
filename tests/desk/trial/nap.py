"""Sleeps for as many hundredths of a second as it is told, and says so."""

import time
from collections.abc import Callable


def run(payload: bytes, told: Callable[[int, int], None]) -> bytes:
    steps = int(payload)
    for done in range(steps):
        told(done, steps)
        time.sleep(0.01)
    told(steps, steps)
    return b"rested"
