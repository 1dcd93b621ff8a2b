"""One round: a server under load, killed; then everything that it acknowledged is looked for."""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from courtwright.desk.office import Office
from courtwright.store.keys import Keys
from courtwright.store.opened import open_store
from courtwright.store.verify import require_sound, verify
from tests.kill.load import Client
from tests.kill.nursery import ESTIMATOR, Flag

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = 4
#: After so many rounds, and after the last, everything is looked for, and each kept file read; in the others what was
#: changed since. Nothing is ever deleted, so that what is lost in any round is missed in the last. [-]
WHOLE_EVERY = 50
_PATIENCE_S = 30.0


@dataclass(slots=True)
class Nursery:
    """Where servers come from."""

    process: subprocess.Popen[str]

    @classmethod
    @contextlib.contextmanager
    def opened(cls) -> Iterator[Nursery]:
        """Give one that has everything imported."""
        call = [sys.executable, "-m", "tests.kill.nursery"]
        with subprocess.Popen(call, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
            # Leaving closes its input, on which it ends.
            yield cls(process)

    def server(self, database: str, files: Path, flag: Path) -> tuple[int, int]:
        """Return the pid and the port of a new server."""
        return self.begin("serve", database, files, flag)

    def begin(self, name: str, *given: str | Path) -> tuple[int, int]:
        """Return the pid of a new process that does what is named, and its port where it serves."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps([name, *map(str, given)]) + "\n")
        self.process.stdin.flush()
        pid, port = self.process.stdout.readline().split()
        return int(pid), int(port)


@dataclass(slots=True)
class Tally:
    """What rounds came to."""

    rounds: int = 0
    #: Deaths inside a transaction that wrote. [-]
    inside: int = 0
    acknowledged: Counter[str] = field(default_factory=Counter[str])
    lost: list[str] = field(default_factory=list[str])
    refused: list[tuple[int, bytes]] = field(default_factory=list[tuple[int, bytes]])


@dataclass(slots=True)
class Rounds:
    """Rounds on one database, with clients that go on from round to round.

    Parameters
    ----------
    database : str
        Address of a database with our tables.
    folder : Path
        For the files, the keys and the flag.
    seed : int
        Of moments and of what is asked.
    """

    database: str
    folder: Path
    seed: int
    tally: Tally = field(default_factory=Tally)
    chance: random.Random = field(init=False)
    clients: list[Client] = field(init=False)
    flag: Flag = field(init=False)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.clients = [Client(self.seed * 1000 + number, has_offers=number == 0) for number in range(CLIENTS)]
        self.flag_file.write_bytes(b"\0")
        self.flag = Flag(self.flag_file)

    @property
    def flag_file(self) -> Path:
        """Where a server tells whether it is inside a transaction."""
        return self.folder / "flag"

    @property
    def files(self) -> Path:
        """Where it keeps files."""
        return self.folder / "files"

    @property
    def acknowledged(self) -> int:
        """How many changes were so far. [-]"""
        return sum(client.acknowledged for client in self.clients)

    @contextlib.contextmanager
    def load(self, port: int) -> Iterator[None]:
        """Let the clients ask, until this is left."""
        stop = threading.Event()
        threads = [threading.Thread(target=client.run, args=(port, stop)) for client in self.clients]
        for thread in threads:
            thread.start()
        try:
            yield
        finally:
            stop.set()
            for thread in threads:
                thread.join(_PATIENCE_S)
            assert not any(thread.is_alive() for thread in threads), "a client waits for a server that is dead"

    def wait_for(self, holds: Callable[[], bool]) -> None:
        """Wait until it is so."""
        until = time.monotonic() + _PATIENCE_S
        while not holds():
            assert time.monotonic() < until, f"nothing goes on: {[client.refused[-1:] for client in self.clients]}"
            time.sleep(0.001)

    def wait_for_the_moment(self) -> None:
        """Wait until the server works, and then for the moment of a death: any, or one inside a transaction."""
        enough = self.acknowledged + self.chance.randint(1, 25)
        self.wait_for(lambda: self.acknowledged >= enough)
        time.sleep(self.chance.random() * 0.05)
        if self.chance.random() < 0.5:
            until = time.monotonic() + 1
            while not self.flag.up() and time.monotonic() < until:
                pass

    def look(self, *, is_last: bool) -> None:
        """Look for what was acknowledged, count the round, and make ready for the next one."""
        self.tally.rounds += 1
        for client in self.clients:
            self.tally.refused += client.refused
            client.refused.clear()
        whole = is_last or self.tally.rounds % WHOLE_EVERY == 0
        with contextlib.closing(open_store(self.database, str(self.files))) as store:
            office = Office(store, keys=Keys(self.folder / "keys"))
            for client in self.clients:
                self.tally.lost += client.lost(office, whole=whole)
            if whole:
                self.tally.lost += [str(one) for one in verify(store)]
            else:
                with store.reading() as unit:
                    require_sound(unit.connection)
            for client in self.clients:
                client.between(office, ESTIMATOR)
        if is_last:
            self.tally.acknowledged = sum((client.answered for client in self.clients), Counter[str]())


def kill_the_service(rounds: int, database: str, folder: Path, seed: int) -> Tally:
    """Kill a server again and again, and look for what was lost after each death.

    Parameters
    ----------
    rounds : int
        How many. [-]
    database, folder, seed
        As for `Rounds`.
    """
    made = Rounds(database, folder, seed)
    with Nursery.opened() as nursery:
        for number in range(1, rounds + 1):
            made.flag.down()
            pid, port = nursery.server(database, made.files, made.flag_file)
            with made.load(port):
                made.wait_for_the_moment()
                os.kill(pid, signal.SIGKILL)
                gone(pid)
                made.tally.inside += made.flag.up()
            made.look(is_last=number == rounds)
    return made.tally


def kill_the_database(
    rounds: int, database: str, folder: Path, seed: int, kill: Callable[[], None], restart: Callable[[], None]
) -> Tally:
    """Kill the database under one server that stays, again and again, and look for what was lost after each death.

    Parameters
    ----------
    rounds : int
        How many. [-]
    database, folder, seed
        As for `Rounds`.
    kill, restart : callable
        End the database where it stands, and start it again.
    """
    made = Rounds(database, folder, seed)
    made.flag.down()
    with Nursery.opened() as nursery:
        pid, port = nursery.server(database, made.files, made.flag_file)
        for number in range(1, rounds + 1):
            with made.load(port):
                made.wait_for_the_moment()
                made.tally.inside += made.flag.up()
                kill()
                # Each client is told so, in words; and is served again without anybody's help.
                made.wait_for(lambda: all(client.refused for client in made.clients))
                restart()
                before = [client.acknowledged for client in made.clients]
                made.wait_for(lambda: _has_grown(made.clients, before))  # noqa: B023 – done with before the next round
            made.look(is_last=number == rounds)
        os.kill(pid, signal.SIGKILL)
    return made.tally


def _has_grown(clients: list[Client], before: list[int]) -> bool:
    return all(client.acknowledged > then for client, then in zip(clients, before, strict=True))


def gone(pid: int) -> None:
    """Wait until a process is."""
    while True:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.001)
