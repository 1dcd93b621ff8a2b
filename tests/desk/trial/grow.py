"""Takes as many megabytes as it is told."""

from collections.abc import Callable


def run(payload: bytes, told: Callable[[int, int], None]) -> bytes:
    return b"%d" % len(bytearray(int(payload) * 1_000_000))
