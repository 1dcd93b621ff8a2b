"""Does the long work that was asked for: takes tasks from the store, has workers do them, keeps what they give.

A task is leased. Whoever dies with it loses the lease, and another takes it up; a result that comes with a lost lease
is dropped. What a result means is kept in the same unit of work as the result itself.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import threading
import time
import traceback
from collections.abc import Callable, Generator, Mapping
from dataclasses import dataclass

from courtwright.desk.kinds import KINDS, Told
from courtwright.desk.office import Office
from courtwright.desk.work.handing import payload_of
from courtwright.desk.work.outcomes import ON_DONE, OnDone
from courtwright.desk.work.tasks import plain_problem
from courtwright.desk.workers import WorkerDiedError, WorkerPool, WorkError, WorkFaultError, WorkStoppedError
from courtwright.errors import BusyError, CourtwrightError, DamagedError, StoreError
from courtwright.says import say
from courtwright.store.hand import MACHINE
from courtwright.store.rows.tasks import State, Task
from courtwright.store.unit import Unit

#: A task whose worker, or whose server, died so often is given up. [-]
MOST_TRIES = 3
#: Kinds that come after all others: nobody sits and waits for them.
BEHIND = ("photo",)


@dataclass(frozen=True, slots=True)
class Pace:
    """How often what is done.

    Parameters
    ----------
    lease : float
        How long a task is held, unless renewed. [s]
    renew : float
        How often it is renewed. [s]
    look : float
        How often the store is looked at for what other processes changed. [s]
    step : float
        Least time between two steps that are written down. [s]
    """

    lease: float = 15.0
    renew: float = 5.0
    look: float = 1.0
    step: float = 0.25


def untold_fault(task: Task | None, fault: WorkFaultError) -> None:
    """Tell nobody of a fault."""


class Runner:
    """Threads that do tasks, one at a time each, until they are told to stop.

    Parameters
    ----------
    office : Office
        Where tasks are asked for.
    pool : WorkerPool
        Whose workers do them; closed by whoever made it.
    threads : int
        How many tasks at a time, best as many as there are workers. [-]
    on_done : mapping
        What a result means, by kind.
    tell_fault : callable
        Told of a fault of the program, for the log, and at which task, if at one.
    pace : Pace
        How often what is done.
    """

    def __init__(
        self,
        office: Office,
        pool: WorkerPool,
        threads: int,
        *,
        on_done: Mapping[str, OnDone] = ON_DONE,
        tell_fault: Callable[[Task | None, WorkFaultError], None] = untold_fault,
        pace: Pace = Pace(),
    ) -> None:
        self._office, self._pool, self._pace = office, pool, pace
        self._on_done, self._tell_fault = on_done, tell_fault
        self._closing = threading.Event()
        self._lock = threading.Lock()
        # By lease: what ends the work on a task.
        self._held: dict[str, threading.Event] = {}
        self._threads = [
            threading.Thread(target=self._work, name=f"courtwright-runner-{n}", daemon=True) for n in range(threads)
        ]
        self._threads.append(threading.Thread(target=self._watch, name="courtwright-runner-watch", daemon=True))

    @property
    def is_alive(self) -> bool:
        """Whether tasks are taken up."""
        return not self._closing.is_set() and all(thread.is_alive() for thread in self._threads)

    def start(self, is_alone: bool) -> None:
        """Begin.

        Parameters
        ----------
        is_alone : bool
            Whether no other server works on this store: what is found begun was then left by one that died.
        """
        if is_alone:
            with self._office.writing_as(MACHINE) as unit:
                for left in unit.tasks.abandoned():
                    unit.tasks.end(left.id, "waiting")
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """Stop, and wait for it: what is being worked on waits again, for the next server."""
        self._closing.set()
        with self._lock:
            for stop in self._held.values():
                stop.set()
        self._office.bell.ring("")
        for thread in self._threads:
            if thread.ident is not None:
                thread.join()

    # --- taking tasks up ---

    def _work(self) -> None:
        rung = 0
        while not self._closing.is_set():
            is_idle = True
            try:
                is_idle = not self._worked()
            except StoreError:
                pass  # a store that cannot be read just now is looked at again
            except Exception as error:  # a fault of ours must not end all work
                self._tell_fault(None, _fault(error))
            if is_idle:
                rung = self._office.bell.wait(rung, self._pace.look)

    def _worked(self) -> bool:
        """Take a task up and do it; tell whether there was one."""
        task = self._taken()
        if task is None:
            return False
        with self._holding(task) as stop:
            self._office.bell.ring(task.id)
            self._do(task, stop)
        self._office.bell.ring(task.id)
        return True

    def _taken(self) -> Task | None:
        """Lease the next task, if there is one; one that was begun too often is given up."""
        now = self._office.now()
        with self._office.reading() as unit:
            if not unit.tasks.has_next(now):
                return None
        until = now + dt.timedelta(seconds=self._pace.lease)
        with self._office.writing_as(MACHINE) as unit:
            task = unit.tasks.take_next(self._office.new_id(), until, BEHIND)
            if task is None or task.tries <= MOST_TRIES:
                return task
            unit.tasks.end(task.id, "failed", problem=plain_problem(_given_up()), tries=MOST_TRIES)
        self._office.bell.ring(task.id)
        return None

    @contextlib.contextmanager
    def _holding(self, task: Task) -> Generator[threading.Event, None, None]:
        stop, lease = threading.Event(), _lease(task)
        with self._lock:
            self._held[lease] = stop
        if self._closing.is_set():
            stop.set()
        try:
            yield stop
        finally:
            with self._lock:
                del self._held[lease]

    # --- doing one ---

    def _do(self, task: Task, stop: threading.Event) -> None:
        """Do a task, and leave it done, failed, or waiting to be tried again."""
        try:
            self._finish(task, self._result(task, stop))
        except WorkStoppedError:
            # Where a person stopped it, the lease is gone, and this leaves it as it is.
            self._leave(task, "waiting", tries=task.tries - 1)
        except DamagedError as error:
            self._fail(task, error)
        except (WorkerDiedError, StoreError) as error:
            if task.tries < MOST_TRIES:
                self._leave(task, "waiting")
            else:
                self._fail(task, _given_up() if isinstance(error, WorkerDiedError) else error)
        except CourtwrightError as error:
            self._fail(task, error)
        except Exception as error:  # a fault of ours must end one task, not all work
            self._fail(task, _fault(error))

    def _result(self, task: Task, stop: threading.Event) -> bytes:
        kind = KINDS.get(task.kind)
        payload = payload_of(self._office.store.blobs, task)
        return self._pool.run(task.kind, payload, self._telling(task), stop, kind.most_seconds if kind else None)

    def _telling(self, task: Task) -> Told:
        last = 0.0

        def told(done: int, of: int) -> None:
            nonlocal last
            now = time.monotonic()
            if now - last < self._pace.step:
                return
            last = now
            # How far it is can be told with the next step as well.
            with contextlib.suppress(StoreError), self._held_unit(task) as unit:
                if unit is not None:
                    unit.tasks.change(task.id, None, done=done, of=of)
            self._office.bell.ring(task.id)

        return told

    # --- leaving one ---

    def _finish(self, task: Task, result: bytes) -> None:
        # On the disk before the unit begins: nobody else who writes has to wait for a large file.
        sha256 = self._office.store.blobs.put(result)
        self._patiently(lambda: self._keep(task, sha256, result))

    def _keep(self, task: Task, sha256: str, result: bytes) -> None:
        with self._held_unit(task) as unit:
            if unit is None:
                return
            of = max(unit.tasks.get(task.id).of, 1)
            unit.keep_put(sha256, len(result))
            done = unit.tasks.end(task.id, "done", result_sha256=sha256, done=of, of=of)
            if task.kind in self._on_done:
                self._on_done[task.kind](self._office, unit, done, result)

    def _fail(self, task: Task, error: CourtwrightError) -> None:
        if isinstance(error, WorkFaultError):
            self._tell_fault(task, error)
        self._leave(task, "failed", problem=plain_problem(error))

    def _leave(self, task: Task, state: State, **values: object) -> None:
        def leave() -> None:
            with self._held_unit(task) as unit:
                if unit is not None:
                    unit.tasks.end(task.id, state, **values)

        # Where even this cannot be written, the lease runs out and the task is taken up again.
        with contextlib.suppress(StoreError):
            self._patiently(leave)

    @contextlib.contextmanager
    def _held_unit(self, task: Task) -> Generator[Unit | None, None, None]:
        """Open a unit in the name of whoever asked, or None in its place when the task is no longer held."""
        with self._office.writing_as(task.by) as unit:
            yield unit if unit.tasks.held(task.id, _lease(task)) else None

    def _patiently(self, write: Callable[[], None]) -> None:
        """Write, again and again while the store is taken, for as long as a lease."""
        until = time.monotonic() + self._pace.lease
        while True:
            try:
                return write()
            except BusyError:
                if time.monotonic() > until:
                    raise
                time.sleep(self._pace.step)

    # --- watching over those that are held ---

    def _watch(self) -> None:
        rung, renewed = 0, time.monotonic()
        while not self._closing.is_set():
            rung = self._office.bell.wait(rung, self._pace.look)
            with self._lock:
                held = dict(self._held)
            if not held:
                continue
            with contextlib.suppress(StoreError):
                self._stop_lost(held)
                if time.monotonic() - renewed >= self._pace.renew:
                    self._renew(held)
                    renewed = time.monotonic()

    def _stop_lost(self, held: Mapping[str, threading.Event]) -> None:
        with self._office.reading() as unit:
            lost = unit.tasks.lost(held)
        for lease in lost:
            held[lease].set()

    def _renew(self, held: Mapping[str, threading.Event]) -> None:
        with self._office.writing_as(MACHINE) as unit:
            unit.tasks.renew(held, self._office.now() + dt.timedelta(seconds=self._pace.lease))


def _lease(task: Task) -> str:
    if task.lease is None:
        message = "a task that nobody has leased"
        raise ValueError(message)
    return task.lease


def _fault(error: Exception) -> WorkFaultError:
    return WorkFaultError("".join(traceback.format_exception(error)))


def _given_up() -> WorkError:
    return WorkError(say("desk.work-given-up", tries=MOST_TRIES), fix=say("desk.work-less-do"))
