"""Tells whoever waits in this process that a task has changed, so that nobody need look again and again."""

from __future__ import annotations

import threading
from collections.abc import Callable

#: Told the id of the task, in the thread of whoever changed it; must neither wait nor fail.
Listener = Callable[[str], None]


class Bell:
    """Rings when a task is asked for, goes on or ends. Other processes are not reached: they look at the store."""

    def __init__(self) -> None:
        self._rung = threading.Condition()
        self._times = 0
        self._listeners: frozenset[Listener] = frozenset()

    def ring(self, id: str) -> None:
        """Tell everybody that a task has changed."""
        with self._rung:
            self._times += 1
            self._rung.notify_all()
            listeners = self._listeners
        for listener in listeners:
            listener(id)

    def wait(self, seen: int, most: float) -> int:
        """Wait until the bell has rung more often than was seen, and return how often. [-]

        Parameters
        ----------
        seen : int
            How often it had rung. [-]
        most : float
            How long to wait. [s]
        """
        with self._rung:
            self._rung.wait_for(lambda: self._times != seen, most)
            return self._times

    def add(self, listener: Listener) -> None:
        """Tell a listener from now on."""
        with self._rung:
            self._listeners |= {listener}

    def discard(self, listener: Listener) -> None:
        """Tell a listener no more."""
        with self._rung:
            self._listeners -= {listener}
