"""Long work in processes of its own: what is slow, large or dangerous cannot hurt whoever asked for it."""

from courtwright.desk.workers.failures import (
    WorkerDiedError,
    WorkError,
    WorkFaultError,
    WorkLargeError,
    WorkLateError,
    WorkStoppedError,
)
from courtwright.desk.workers.pool import WorkerPool

__all__ = [
    "WorkError",
    "WorkFaultError",
    "WorkLargeError",
    "WorkLateError",
    "WorkStoppedError",
    "WorkerDiedError",
    "WorkerPool",
]
