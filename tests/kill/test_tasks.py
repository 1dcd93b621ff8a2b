"""A server killed over running tasks: the next one takes them up, and what each means is done once."""

from __future__ import annotations

import contextlib
import datetime as dt
import random
import subprocess
import sys
import time
import uuid
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from courtwright.desk.office import Office
from courtwright.desk.work.runner import MOST_TRIES
from courtwright.desk.work.tasks import Work, ask_for
from courtwright.store.opened import open_store
from courtwright.store.rows.tasks import Task
from courtwright.store.verify import verify
from tests.desk.jobs import ESTIMATOR
from tests.kill.rounds import ROOT
from tests.kill.tasks import KIND

#: Fewer than the deaths after which a task is given up.
DEATHS = MOST_TRIES - 1
TASKS = 6
_PATIENCE_S = 60.0


@contextlib.contextmanager
def server(database: str, files: Path) -> Iterator[None]:
    """Run a server of long work; it is killed when this is left."""
    call = [sys.executable, "-m", "tests.kill.tasks", database, str(files)]
    with subprocess.Popen(call, cwd=ROOT, stdout=subprocess.PIPE) as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == b"begun\n"
            yield
        finally:
            process.kill()


def all_tasks(office: Office) -> tuple[Task, ...]:
    with office.reading() as unit:
        return unit.tasks.all()


def wait_until(office: Office, states: Counter[str]) -> None:
    """Wait until there are at least so many tasks in these states."""
    until = time.monotonic() + _PATIENCE_S
    while not Counter(str(one.state) for one in all_tasks(office)) >= states:
        assert time.monotonic() < until, all_tasks(office)
        time.sleep(0.01)


def test_what_a_dead_server_was_doing_is_done_once(database: str, tmp_path: Path) -> None:
    """Killed twice while tasks run: each is done in the end, and never twice."""
    chance, files = random.Random(7), tmp_path / "files"
    with contextlib.closing(open_store(database, str(files))) as store:
        office = Office(store, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))
        with office.writing(ESTIMATOR) as unit:
            for number in range(TASKS):
                ask_for(office, unit, Work(KIND, str(number), None, "answers.read", b"30", {}))
        for _ in range(DEATHS):
            with server(database, files):
                # At any moment, but over one that runs.
                wait_until(office, Counter(running=1))
                time.sleep(chance.random() * 0.4)
                wait_until(office, Counter(running=1))
        with server(database, files):
            wait_until(office, Counter(done=TASKS))
        assert verify(store) == ()
        tasks = all_tasks(office)
        with office.reading() as unit:
            jobs = Counter(job.name for job in unit.jobs.all())
    assert jobs == Counter(f"done {one.id}" for one in tasks)
    assert max(one.tries for one in tasks) > 1, "no death was over a task that ran"
