"""A server's runner of long work, in a process that can be killed: ``python -m tests.kill.tasks DATABASE FILES``."""

from __future__ import annotations

import sys
import time

from courtwright.desk.office import Office
from courtwright.desk.work.runner import Pace, Runner
from courtwright.desk.workers import WorkerPool
from courtwright.store.opened import open_store
from courtwright.store.rows.tasks import Task
from courtwright.store.unit import Unit

#: A lease that is not renewed is over soon: what a dead server held is taken up by the next one.
QUICK = Pace(lease=1.0, renew=0.3, look=0.05, step=0.02)
KIND = "nap"


def done(office: Office, unit: Unit, task: Task, result: bytes) -> None:
    """Open a job that names the task: that is what a result means here."""
    blank = {"address": "", "note": result.decode(), "customer": None, "stage": "call", "units": "us", "call": {}}
    unit.jobs.add(office.new_id(), name=f"done {task.id}", **blank)


def main() -> None:
    """Do what is asked for until killed."""
    office = Office(open_store(sys.argv[1], sys.argv[2]))
    with WorkerPool(2, 30.0, home="tests.desk.trial") as pool:
        runner = Runner(office, pool, 2, on_done={KIND: done}, pace=QUICK)
        runner.start(is_alone=office.store.engine.dialect.name == "sqlite")
        sys.stdout.write("begun\n")
        sys.stdout.flush()
        while runner.is_alive:
            time.sleep(1)


if __name__ == "__main__":
    main()
