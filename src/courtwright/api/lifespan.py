"""What lives as long as the app: worker processes, and the threads that give them long work."""

from __future__ import annotations

import asyncio
import contextlib
import re
from collections.abc import AsyncGenerator, Callable

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool

from courtwright.api.logs import Log
from courtwright.desk.keeping.tidying import tidy
from courtwright.desk.office import Office
from courtwright.desk.work.runner import Runner
from courtwright.desk.workers import WorkerPool, WorkFaultError
from courtwright.errors import StoreError
from courtwright.store.rows.tasks import Task

#: Time of a piece of work whose kind names none. [s]
_MOST_SECONDS = 300.0
_FIRST_TIDY_S, _TIDY_EVERY_S = 600.0, 86_400.0
_FRAME = re.compile(r'File "(?:[^"]*[\\/])?([^"]+)", line (\d+), in (\S+)')


def working(workers: int, log: Log | None) -> Callable[[FastAPI], contextlib.AbstractAsyncContextManager[None]]:
    """Return the lifespan of an app with so many workers.

    Parameters
    ----------
    workers : int
        How many; with none, tasks are taken in and wait. [-]
    log : Log or None
        Is told of faults in long work.
    """

    @contextlib.asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncGenerator[None, None]:
        office: Office = app.state.office
        tidying = asyncio.create_task(_tidy_daily(office))
        try:
            async with _workers(app, office):
                yield
        finally:
            tidying.cancel()

    @contextlib.asynccontextmanager
    async def _workers(app: FastAPI, office: Office) -> AsyncGenerator[None, None]:
        if workers == 0:
            yield
            return
        with contextlib.closing(WorkerPool(workers, _MOST_SECONDS, warm=("answer",))) as pool:
            runner = Runner(office, pool, workers, tell_fault=_teller(log))
            await run_in_threadpool(runner.start, office.store.engine.dialect.name == "sqlite")
            app.state.runner = runner
            try:
                yield
            finally:
                await run_in_threadpool(runner.stop)

    return lifespan


async def _tidy_daily(office: Office) -> None:
    """Tidy a while after the start, which has enough to do, and then each day; what fails waits for the next time."""
    await asyncio.sleep(_FIRST_TIDY_S)
    while True:
        with contextlib.suppress(StoreError):
            await run_in_threadpool(tidy, office)
        await asyncio.sleep(_TIDY_EVERY_S)


def _teller(log: Log | None) -> Callable[[Task | None, WorkFaultError], None]:
    def tell(task: Task | None, fault: WorkFaultError) -> None:
        if log is not None:
            log.error(
                "work-fault",
                task=task.id if task else None,
                kind=task.kind if task else None,
                frames=frames_of(fault.detail),
            )

    return tell


def frames_of(detail: str) -> list[str]:
    """Return where a fault came from, never its words, which may quote anybody.

    Examples
    --------
    >>> frames_of('File "ana/site/read.py", line 7, in read' + chr(10) + 'ValueError: ana@example.org')
    ['read.py:7 read']
    """
    return [f"{file}:{line} {name}" for file, line, name in _FRAME.findall(detail)]
