"""What can go wrong with long work besides the work itself.

::

    CourtwrightError
    └── WorkError              "work"          long work has no result
        ├── WorkStoppedError   "work-stopped"  it was cancelled, or the program is closing
        ├── WorkLateError      "work-late"     it took longer than it may
        ├── WorkLargeError     "work-large"    it asked for more memory than it may
        ├── WorkerDiedError    "worker-died"   its process ended in the midst of it
        └── WorkFaultError     "work-fault"    a fault inside the program
"""

from __future__ import annotations

from courtwright.errors import CourtwrightError
from courtwright.says import say


class WorkError(CourtwrightError):
    """Long work has no result."""

    code = "work"


class WorkStoppedError(WorkError):
    """It was cancelled, or the program is closing."""

    code = "work-stopped"

    def __init__(self) -> None:
        super().__init__(say("desk.work-stopped"), fix=say("desk.work-again-do"))


class WorkLateError(WorkError):
    """It took longer than it may. ``most`` is the time it had [s]."""

    code = "work-late"

    def __init__(self, most: float) -> None:
        super().__init__(say("desk.work-late", most=most), fix=say("desk.work-less-do"))


class WorkLargeError(WorkError):
    """It asked for more memory than it may."""

    code = "work-large"

    def __init__(self) -> None:
        super().__init__(say("desk.work-large"), fix=say("desk.work-less-do"))


class WorkerDiedError(WorkError):
    """Its process ended in the midst of it. ``exit_code`` is the process's own, negative for a signal, or None."""

    code = "worker-died"

    def __init__(self, exit_code: int | None) -> None:
        super().__init__(say("desk.worker-died"), fix=say("desk.work-again-do"))
        self.exit_code = exit_code


class WorkFaultError(WorkError):
    """A fault inside the program. ``detail`` is for the log alone: nobody is shown it."""

    code = "work-fault"

    def __init__(self, detail: str) -> None:
        super().__init__(say("desk.work-fault"), fix=say("desk.work-fault-do"))
        self.detail = detail
