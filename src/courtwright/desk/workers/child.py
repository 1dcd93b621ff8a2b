"""What runs in a worker process: one call after another, until whoever asks is gone."""

from __future__ import annotations

import contextlib
import os
import signal
import threading
import time
import traceback
from collections.abc import Callable
from importlib import import_module
from multiprocessing import connection, parent_process
from multiprocessing.connection import Connection

from courtwright.desk.kinds import Told
from courtwright.desk.workers import wire
from courtwright.errors import CourtwrightError

#: Steps are told no more often than this. [s]
_BETWEEN_STEPS = 0.05
_LONGEST_DETAIL = 20_000


def serve(pipe: Connection, home: str, warm: tuple[str, ...], most_bytes: int | None) -> None:
    """Answer calls until the pipe ends.

    Parameters
    ----------
    pipe : Connection
        Brings the name of a kind and a payload, and takes what `wire` makes.
    home : str
        The package in which the kinds are modules.
    warm : tuple of str
        Kinds that are loaded before the first call.
    most_bytes : int or None
        Most memory. [bytes]
    """
    _leave_signals_to_the_parent()
    _end_with_the_parent()
    # Small matrices: a second thread of the linear algebra waits more than it works.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _limit(most_bytes)
    for kind in warm:
        with contextlib.suppress(Exception):  # whoever calls it is told
            import_module(f"{home}.{kind}")
    try:
        pipe.send_bytes(wire.READY)
        while True:
            kind, payload = pipe.recv_bytes().decode(), pipe.recv_bytes()
            pipe.send_bytes(wire.BEGUN)
            pipe.send_bytes(answer(f"{home}.{kind}", payload, pipe.send_bytes))
            del payload
    except (EOFError, OSError):
        return  # whoever asks has closed the pipe, or is gone


def answer(module: str, payload: bytes, send: Callable[[bytes], None]) -> bytes:
    """Return the last message of a call: its result, or why there is none, whatever the kind of work raises."""
    try:
        result = import_module(module).run(payload, _telling(send))
        if not isinstance(result, bytes):
            return wire.FAULT + f"{module} returned {type(result).__name__}, not bytes".encode()
        return wire.RESULT + result
    except MemoryError:
        return wire.MEMORY
    except CourtwrightError as error:
        return _refused(error)
    except BaseException as error:
        return wire.FAULT + _detail(error)


def _refused(error: CourtwrightError) -> bytes:
    try:
        return wire.refusal(error)
    except Exception as fault:  # an error whose own records are not what they should be
        return wire.FAULT + _detail(fault)


def _detail(error: BaseException) -> bytes:
    return "".join(traceback.format_exception(error))[-_LONGEST_DETAIL:].encode("utf-8", "replace")


def _telling(send: Callable[[bytes], None]) -> Told:
    last = -_BETWEEN_STEPS

    def told(done: int, of: int) -> None:
        nonlocal last
        now = time.monotonic()
        if done >= of or now - last >= _BETWEEN_STEPS:
            last = now
            send(wire.step(done, of))

    return told


def _leave_signals_to_the_parent() -> None:
    """Ignore what a terminal or a service manager sends to the whole group: the parent decides what is finished."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, (signal.SIGINT, signal.SIGTERM))


def _end_with_the_parent() -> None:
    parent = parent_process()
    if parent is None:
        return

    def watch() -> None:
        connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _limit(most_bytes: int | None) -> None:
    """Bound the memory, and write no core file: it would hold a customer's data."""
    try:
        import resource
    except ImportError:
        return  # not on every system
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if most_bytes is not None:
        hard = resource.getrlimit(resource.RLIMIT_AS)[1]
        least = most_bytes if hard == resource.RLIM_INFINITY else min(most_bytes, hard)
        resource.setrlimit(resource.RLIMIT_AS, (least, least))
