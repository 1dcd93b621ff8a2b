"""Keeps worker processes, and runs long work in them one call at a time each."""

from __future__ import annotations

import atexit
import functools
import multiprocessing
import queue
import re
import signal
import threading
import time
from collections.abc import Generator
from contextlib import contextmanager, suppress
from multiprocessing import connection, resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from types import TracebackType
from typing import Self

from courtwright.desk.kinds import Told
from courtwright.desk.workers import wire
from courtwright.desk.workers.child import serve
from courtwright.desk.workers.failures import (
    WorkerDiedError,
    WorkFaultError,
    WorkLargeError,
    WorkLateError,
    WorkStoppedError,
)
from courtwright.errors import CallError
from courtwright.says import say

#: How soon a cancel is seen. [s]
_LOOK = 0.1
#: How long a worker may take to be ready, and to end by itself. [s]
_START, _END = 60.0, 1.0
_KIND = re.compile(r"[a-z][a-z_]*")


def untold(done: int, of: int) -> None:
    """Tell nobody how far the work is."""


class WorkerPool:
    """Worker processes that take bytes and return bytes.

    Each worker is started before it is needed, kept between calls, and replaced when it dies, is cancelled, takes too
    long or has served its calls. It ends with the process that made the pool, however that ends. The processes are
    spawned, so that a program that makes a pool does so below ``if __name__ == "__main__"``.

    Parameters
    ----------
    size : int
        How many. [-]
    most_seconds : float
        Time of one call, unless the call says otherwise. [s]
    most_bytes : int or None
        Memory of one worker; None for no bound. [bytes]
    most_calls : int
        Calls after which a worker is replaced, so that what leaks does not add up. [-]
    warm : tuple of str
        Kinds that a worker loads before its first call.
    home : str
        The package in which the kinds are modules with a function ``run(payload, told)``.
    """

    def __init__(
        self,
        size: int,
        most_seconds: float,
        *,
        most_bytes: int | None = 3_000_000_000,
        most_calls: int = 200,
        warm: tuple[str, ...] = (),
        home: str = "courtwright.desk.kinds",
    ) -> None:
        self._most_seconds = most_seconds
        self._most_calls = most_calls
        self._settings = (home, warm, most_bytes)
        self._closing, self._killing = threading.Event(), threading.Event()
        self._lock = threading.Lock()
        self._live: set[SpawnProcess] = set()
        # Workers ignore the signal by which the interpreter would end them at its exit: they are ended before.
        self._at_exit = functools.partial(_kill_all, self._live)
        atexit.register(self._at_exit)
        # The last one used is taken first: it is warm, and the others may sleep.
        self._idle: queue.LifoQueue[_Slot] = queue.LifoQueue()
        self._size = size
        for _ in range(size):
            self._idle.put(_Slot(self._started()))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    @property
    def pids(self) -> tuple[int, ...]:
        """The process ids of the workers. [-]"""
        with self._lock:
            return tuple(sorted(process.pid for process in self._live if process.pid is not None))

    def run(
        self,
        kind: str,
        payload: bytes,
        told: Told = untold,
        stop: threading.Event | None = None,
        most_seconds: float | None = None,
    ) -> bytes:
        """Run one piece of work, and wait for it.

        Called from as many threads as there are workers; one more waits its turn.

        Parameters
        ----------
        kind : str
            The name of its module.
        payload : bytes
            What the kind asks for.
        told : callable
            Told of each step, in this thread.
        stop : threading.Event, optional
            Once set, the work is cancelled and its worker killed.
        most_seconds : float, optional
            Time of this call, once a worker is ready for it. [s]

        Returns
        -------
        bytes
            What the kind returns.

        Raises
        ------
        CallError
            If nothing is called so.
        WorkError
            One of `failures`: stopped, too long, too much memory, died, or a fault.
        CourtwrightError
            What the kind itself refused, with its sentences and complaints.
        """
        if not _KIND.fullmatch(kind):
            raise CallError(say("desk.no-kind", kind=kind), fix=say("desk.asked-wrong-do"))
        slot = self._taken(stop)
        is_whole = False
        try:
            last = self._call(slot, kind, payload, told, stop, most_seconds or self._most_seconds)
            is_whole = not last.startswith(wire.MEMORY)
            return _result(last)
        finally:
            self._freed(slot, is_whole)

    def close(self, patience: float = 0.0) -> None:
        """End all workers; no call is taken any more.

        Parameters
        ----------
        patience : float
            How long calls that are being worked on may take to finish, before they are stopped. [s]
        """
        self._closing.set()
        until = time.monotonic() + patience
        ended: list[_Slot] = []
        while len(ended) < self._size:
            try:
                slot = self._idle.get(
                    timeout=max(0.0, until - time.monotonic()) if not self._killing.is_set() else None
                )
            except queue.Empty:
                self._killing.set()
                continue
            slot.worker = self._ended(slot.worker)
            ended.append(slot)
        for slot in ended:
            self._idle.put(slot)
        atexit.unregister(self._at_exit)

    def _taken(self, stop: threading.Event | None) -> _Slot:
        while not self._closing.is_set() and not (stop and stop.is_set()):
            with suppress(queue.Empty):
                return self._idle.get(timeout=_LOOK)
        raise WorkStoppedError

    def _freed(self, slot: _Slot, is_whole: bool) -> None:
        """Give a slot back, with a new worker in it where the old one is of no more use."""
        slot.calls += 1
        if slot.worker is not None and (not is_whole or slot.calls >= self._most_calls):
            slot.worker = self._ended(slot.worker, kill=not is_whole)
        if slot.worker is None and not self._closing.is_set():
            self._refill(slot)
        self._idle.put(slot)

    def _refill(self, slot: _Slot) -> _Worker:
        slot.worker, slot.calls = self._started(), 0
        return slot.worker

    def _call(
        self, slot: _Slot, kind: str, payload: bytes, told: Told, stop: threading.Event | None, most_seconds: float
    ) -> bytes:
        """Hand over one call, and return the last message that comes back."""
        worker = self._handed(slot, kind, payload, stop)
        until = time.monotonic() + most_seconds
        while (message := self._next(worker, stop, until, most_seconds)).startswith(wire.STEP):
            told(*wire.read_step(message))
        return message

    def _handed(self, slot: _Slot, kind: str, payload: bytes, stop: threading.Event | None) -> _Worker:
        """Return the worker that has begun a call; one that is found dead before is replaced, once, unseen."""
        worker = slot.worker or self._refill(slot)
        try:
            return self._begun(worker, kind, payload, stop)
        except WorkerDiedError:
            slot.worker = self._ended(worker, kill=True)
        return self._begun(self._refill(slot), kind, payload, stop)

    def _begun(self, worker: _Worker, kind: str, payload: bytes, stop: threading.Event | None) -> _Worker:
        until = time.monotonic() + _START
        if not worker.is_ready:
            self._next(worker, stop, until, _START)
            worker.is_ready = True
        try:
            worker.pipe.send_bytes(kind.encode())
            worker.pipe.send_bytes(payload)
        except OSError as error:
            raise WorkerDiedError(self._exit_code(worker, _END)) from error
        self._next(worker, stop, until, _START)
        return worker

    def _next(self, worker: _Worker, stop: threading.Event | None, until: float, most_seconds: float) -> bytes:
        while True:
            if self._killing.is_set() or (stop and stop.is_set()):
                raise WorkStoppedError
            left = until - time.monotonic()
            if left <= 0.0:
                raise WorkLateError(most_seconds)
            try:
                if worker.pipe.poll(min(_LOOK, left)):
                    return worker.pipe.recv_bytes()
            except (EOFError, OSError) as error:
                raise WorkerDiedError(self._exit_code(worker, _END)) from error

    def _exit_code(self, worker: _Worker, wait: float) -> int | None:
        """Return the exit code of a worker that has ended, or ends within ``wait`` [s]; None while it lives."""
        if not connection.wait([worker.process.sentinel], wait):
            return None
        with self._lock:
            worker.process.join()
            return worker.process.exitcode

    def _started(self) -> _Worker:
        ours, theirs = connection.Pipe(duplex=True)
        process = multiprocessing.get_context("spawn").Process(
            target=serve, args=(theirs, *self._settings), name="courtwright-worker", daemon=True
        )
        with self._lock, _signals_held():
            process.start()
            self._live.add(process)
        theirs.close()
        return _Worker(process, ours)  # pyright: ignore[reportArgumentType]  # the stub names another system's class

    def _ended(self, worker: _Worker | None, *, kill: bool = False) -> None:
        """End a worker and wait until it is gone."""
        if worker is None:
            return
        worker.pipe.close()
        if kill or self._exit_code(worker, _END) is None:
            worker.process.kill()
        with self._lock:
            worker.process.join()
            self._live.discard(worker.process)
            worker.process.close()


class _Worker:
    """One process, and our end of its pipe."""

    def __init__(self, process: SpawnProcess, pipe: Connection) -> None:
        self.process = process
        self.pipe = pipe
        self.is_ready = False


class _Slot:
    """A place for one worker, and how many calls this one has served."""

    def __init__(self, worker: _Worker | None) -> None:
        self.worker = worker
        self.calls = 0


def _result(message: bytes) -> bytes:
    match message[:1]:
        case wire.RESULT:
            return message[1:]
        case wire.REFUSAL:
            raise wire.read_refusal(message)
        case wire.MEMORY:
            raise WorkLargeError
        case _:
            raise WorkFaultError(message[1:].decode("utf-8", "replace"))


@contextmanager
def _signals_held() -> Generator[None]:
    """Let no interrupt reach a new process before it has said that it ignores them."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # it would be started below, and gives the signals free again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, (signal.SIGINT, signal.SIGTERM))
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _kill_all(live: set[SpawnProcess]) -> None:
    for process in tuple(live):
        process.kill()
