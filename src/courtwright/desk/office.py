"""What every request needs: the store, the time, new ids."""

from __future__ import annotations

import contextlib
import datetime as dt
import uuid
from collections.abc import Callable, Generator
from dataclasses import dataclass, field

from courtwright.desk.bell import Bell
from courtwright.desk.caller import Caller
from courtwright.store.hand import Hand
from courtwright.store.keys import Keys
from courtwright.store.opened import Store
from courtwright.store.unit import Unit


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def _new_id() -> str:
    return str(uuid.uuid4())


@dataclass(frozen=True, slots=True)
class Office:
    """The store with the clock on its wall.

    Parameters
    ----------
    store : Store
        Open.
    now : callable
        Returns the time, with its zone.
    new_id : callable
        Returns a UUID that nobody has used.
    bell : Bell
        Rings when a task has changed.
    keys : Keys or None
        The keys of the seals; without them no offer can be accepted.
    """

    store: Store
    now: Callable[[], dt.datetime] = _now
    new_id: Callable[[], str] = _new_id
    bell: Bell = field(default_factory=Bell)
    keys: Keys | None = None

    @contextlib.contextmanager
    def reading(self) -> Generator[Unit, None, None]:
        """Open a unit that reads."""
        with self.store.reading() as unit:
            yield unit

    @contextlib.contextmanager
    def writing(self, caller: Caller) -> Generator[Unit, None, None]:
        """Open a unit in which the caller writes, now."""
        with self.writing_as(caller.who) as unit:
            yield unit

    @contextlib.contextmanager
    def writing_as(self, who: str) -> Generator[Unit, None, None]:
        """Open a unit in which something is written in the name of whoever once asked for it, now."""
        with self.store.writing(Hand(who, self.now())) as unit:
            yield unit
        for call in unit.afterwards:
            call()
