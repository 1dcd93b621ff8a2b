"""How often somebody may guess a password, counted in this process alone: a restart forgets it.

Five tries for an email address are free, then each waits twice as long as the one before, up to a quarter of an hour;
and so do all together after twenty within a minute, up to a minute. A try counts as wrong until it was right, so that
many at once do not slip through. Who is signed in is not concerned, and a one-time link lets in who has to wait.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
import threading
from collections import deque
from dataclasses import dataclass, field

from courtwright.errors import TooManyError
from courtwright.says import say

_FREE, _LONGEST, _FORGOTTEN = 5, dt.timedelta(minutes=15), dt.timedelta(days=1)
_FREE_OF_ALL, _LONGEST_OF_ALL, _WINDOW = 20, dt.timedelta(minutes=1), dt.timedelta(minutes=1)
#: As many addresses are remembered, those tried last.
_MOST = 10_000


@dataclass(slots=True)
class _Streak:
    """Wrong tries one after the other."""

    wrong: int
    last: dt.datetime

    def wait(self, now: dt.datetime, free: int, longest: dt.timedelta) -> dt.timedelta:
        """Return how long the next try must still wait."""
        if self.wrong < free:
            return dt.timedelta(0)
        return self.last + min(longest, dt.timedelta(seconds=2 ** min(self.wrong - free, 20))) - now


@dataclass(slots=True)
class Guesses:
    """The tries that were wrong, by address and all together."""

    _by_email: dict[str, _Streak] = field(default_factory=dict[str, _Streak], repr=False)
    _of_all: deque[dt.datetime] = field(default_factory=deque[dt.datetime], repr=False)
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def begin(self, email: str, now: dt.datetime) -> None:
        """Count a try, or refuse it.

        Parameters
        ----------
        email : str
            Whose password is tried; kept as its hash.
        now : datetime
            The time.

        Raises
        ------
        TooManyError
            If it comes too early; nothing is counted then.
        """
        with self._lock:
            streak = self._streak(email, now)
            while self._of_all and now - self._of_all[0] > _WINDOW:
                self._of_all.popleft()
            everybody = _Streak(len(self._of_all), self._of_all[-1] if self._of_all else now)
            wait = max(
                streak.wait(now, _FREE, _LONGEST), everybody.wait(now, _FREE_OF_ALL, _LONGEST_OF_ALL)
            ).total_seconds()
            if wait > 0:
                seconds = math.ceil(wait)
                raise TooManyError(say("desk.guesses", seconds=seconds), fix=say("desk.guesses-do"), wait=seconds)
            streak.wrong, streak.last = streak.wrong + 1, now
            self._of_all.append(now)

    def right(self, email: str) -> None:
        """Forget the tries for an address: the last one was right."""
        with self._lock:
            streak = self._by_email.pop(_key(email), None)
            if streak and streak.last in self._of_all:
                self._of_all.remove(streak.last)

    def _streak(self, email: str, now: dt.datetime) -> _Streak:
        key = _key(email)
        streak = self._by_email.pop(key, None)
        if streak is None or now - streak.last > _FORGOTTEN:
            streak = _Streak(0, now)
        self._by_email[key] = streak
        while len(self._by_email) > _MOST:
            del self._by_email[next(iter(self._by_email))]
        return streak


def _key(email: str) -> str:
    return hashlib.sha256(email.strip().lower().encode()).hexdigest()
