"""Follows one task for as long as somebody watches: no thread waits meanwhile, and nobody watches too many at once."""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections import Counter
from collections.abc import AsyncIterator, Generator

from starlette.concurrency import run_in_threadpool

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.work import tasks as desk
from courtwright.errors import CourtwrightError, StoreError, TooManyError
from courtwright.says import say
from courtwright.store.rows.tasks import Task

#: Streams of one person at once: a browser opens no more to one host either. [-]
MOST = 6
#: How often the store is looked at for what another server did. [s]
LOOK = 1.0
#: After so long a stream ends, and who still watches asks again, and is known again or not. [s]
LONGEST = 300.0


class Watchers:
    """Counts who watches how many tasks."""

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()
        self._lock = threading.Lock()

    @contextlib.contextmanager
    def one_more(self, who: str) -> Generator[None, None, None]:
        """Count one more stream of a person for as long as it lasts.

        Raises
        ------
        TooManyError
            If the person has as many as anybody may.
        """
        with self._lock:
            if self._counts[who] >= MOST:
                raise TooManyError(say("api.streams", most=MOST), fix=say("api.streams-do"), wait=2)
            self._counts[who] += 1
        try:
            yield
        finally:
            with self._lock:
                self._counts[who] -= 1
                self._counts += Counter()  # forgets who watches none


async def states(office: Office, caller: Caller, id: str, seen: int) -> AsyncIterator[Task]:
    """Yield a task as it is now, then each time it has changed, until it is over.

    Parameters
    ----------
    office, caller, id
        Where, who watches, and which task.
    seen : int
        The version that was seen already; 0 for none. [-]
    """
    loop, rung = asyncio.get_running_loop(), asyncio.Event()

    def listen(told: str) -> None:
        if told == id:
            with contextlib.suppress(RuntimeError):  # the loop may have ended with the server
                loop.call_soon_threadsafe(rung.set)

    office.bell.add(listen)
    try:
        until = loop.time() + LONGEST
        while loop.time() < until:
            rung.clear()
            task = await _looked_at(office, caller, id)
            if isinstance(task, Task) and task.version != seen:
                yield task
                seen = task.version
            if task is None or task.is_over:
                return
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(LOOK):
                    await rung.wait()
    finally:
        office.bell.discard(listen)


async def _looked_at(office: Office, caller: Caller, id: str) -> Task | None:
    """Return the task; None once the caller may see it no more."""
    while True:
        try:
            return await run_in_threadpool(desk.task, office, caller, id)
        except StoreError:
            await asyncio.sleep(LOOK)  # not now; the stream is longer
        except CourtwrightError:
            return None
