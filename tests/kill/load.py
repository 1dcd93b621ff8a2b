"""Clients that ask as fast as they are answered, and remember what was acknowledged."""

from __future__ import annotations

import datetime as dt
import http.client
import random
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Protocol

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from tests.kill.asking import GONE, Asking
from tests.kill.jobs import Jobs
from tests.kill.offers import Offers
from tests.kill.photos import Photos
from tests.kill.walks import Walks


class Habit(Protocol):
    """Something that a client does again and again, and looks for afterwards."""

    def step(self, ask: Asking, chance: random.Random) -> None:
        """Do it once."""
        ...

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged."""
        ...


@dataclass(slots=True)
class Client:
    """One client; it changes only what is its own, so that it knows what each must be."""

    seed: int
    has_offers: bool = False
    #: By kind of change. [-]
    answered: Counter[str] = field(default_factory=Counter[str])
    refused: list[tuple[int, bytes]] = field(default_factory=list[tuple[int, bytes]])
    habits: dict[str, Habit] = field(default_factory=dict[str, Habit])
    offers: Offers | None = None

    def __post_init__(self) -> None:
        walks = Walks(self.seed * 10_000)
        self.habits = {"jobs": Jobs(), "walks": walks, "photos": Photos(walks)}
        if self.has_offers:
            self.offers = Offers(Walks(self.seed * 10_000 + 5_000), dt.datetime.now(dt.UTC).date())
            self.habits["offers"] = self.offers

    @property
    def acknowledged(self) -> int:
        """How many changes were. [-]"""
        return self.answered.total()

    def run(self, port: int, stop: threading.Event) -> None:
        """Ask until the server is gone or it is told to stop."""
        chance = random.Random(f"{self.seed} {self.acknowledged}")
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        # What takes the most steps is done most often.
        ask, names = Asking(connection), [*self.habits, *(["offers"] * 3 if self.has_offers else [])]
        try:
            while not stop.is_set():
                self._once(ask, chance.choice(names), chance)
        except GONE:
            return
        finally:
            connection.close()

    def _once(self, ask: Asking, name: str, chance: random.Random) -> None:
        before = ask.acknowledged
        try:
            self.habits[name].step(ask, chance)
        finally:
            self.answered[name] += ask.acknowledged - before
            self.refused += ask.refused
        if ask.refused:
            ask.refused.clear()
            time.sleep(0.01)

    def between(self, office: Office, caller: Caller) -> None:
        """Do what others do while no server runs."""
        if self.offers is not None:
            self.offers.between(office, caller)

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged."""
        return [f"{name}: {one}" for name, habit in self.habits.items() for one in habit.lost(office, whole=whole)]
