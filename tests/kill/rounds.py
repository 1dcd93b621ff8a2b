"""One round: a server under load, killed; then everything that it acknowledged is looked for."""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import select

from courtwright.store import tables
from courtwright.store.opened import Store, open_store
from tests.kill.load import Client, Job
from tests.kill.nursery import Flag

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = 4


@dataclass(slots=True)
class Nursery:
    """Where servers come from."""

    process: subprocess.Popen[str]

    @classmethod
    def opened(cls) -> Nursery:
        """Return one that has everything imported."""
        call = [sys.executable, "-m", "tests.kill.nursery"]
        process = subprocess.Popen(call, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        return cls(process)

    def server(self, database: str, files: Path, flag: Path) -> tuple[int, int]:
        """Return the pid and the port of a new server."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps([database, str(files), str(flag)]) + "\n")
        self.process.stdin.flush()
        pid, port = self.process.stdout.readline().split()
        return int(pid), int(port)

    def close(self) -> None:
        """End it."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(10)
        assert self.process.stdout is not None
        self.process.stdout.close()


@dataclass(slots=True)
class Tally:
    """What rounds came to."""

    rounds: int = 0
    inside: int = 0
    acknowledged: int = 0
    lost: list[str] = field(default_factory=list[str])
    refused: Counter[int] = field(default_factory=Counter[int])


def kill_rounds(rounds: int, database: str, folder: Path, seed: int) -> Tally:
    """Kill a server again and again on one database, and look for what was lost after each.

    Parameters
    ----------
    rounds : int
        How many. [-]
    database : str
        Address of a database with our tables.
    folder : Path
        For its files.
    seed : int
        Of moments and of what is asked.
    """
    chance, tally = random.Random(seed), Tally()
    clients = [Client(seed * 1000 + number) for number in range(CLIENTS)]
    file = folder / "flag"
    file.write_bytes(b"\0")
    flag = Flag(file)
    nursery = Nursery.opened()
    try:
        for _ in range(rounds):
            _round(nursery, database, folder, flag, file, clients, chance, tally)
    finally:
        nursery.close()
    return tally


def _round(
    nursery: Nursery,
    database: str,
    folder: Path,
    flag: Flag,
    file: Path,
    clients: list[Client],
    chance: random.Random,
    tally: Tally,
) -> None:
    flag.down()
    before = sum(client.answered for client in clients)
    pid, port = nursery.server(database, folder / "files", file)
    stop = threading.Event()
    threads = [threading.Thread(target=client.run, args=(port, stop)) for client in clients]
    for thread in threads:
        thread.start()
    _wait(clients, before, flag, chance)
    os.kill(pid, signal.SIGKILL)
    _gone(pid)
    tally.inside += flag.up()
    stop.set()
    for thread in threads:
        thread.join(30)
        assert not thread.is_alive(), "a client waits for a server that is dead"
    tally.rounds += 1
    tally.acknowledged += sum(client.answered for client in clients) - before
    for client in clients:
        tally.refused.update(status for status, _ in client.refused)
        client.refused.clear()
    tally.lost += lost(database, folder / "files", clients)


def _wait(clients: list[Client], before: int, flag: Flag, chance: random.Random) -> None:
    """Wait until the server works, then for the moment of its death: any, or one inside a transaction."""
    until = time.monotonic() + 20
    while sum(client.answered for client in clients) == before and time.monotonic() < until:
        time.sleep(0.001)
    time.sleep(chance.random() * 0.15)
    if chance.random() < 0.5:
        until = time.monotonic() + 1
        while not flag.up() and time.monotonic() < until:
            pass


def _gone(pid: int) -> None:
    while True:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.001)


def lost(database: str, files: Path, clients: list[Client]) -> list[str]:
    """Return what was acknowledged and is not there, or is there in part; and damage of database or files.

    Parameters
    ----------
    database : str
        Address of the database.
    files : Path
        Folder of the files.
    clients : list of Client
        Who know what they were told.
    """
    store = open_store(database, str(files))
    try:
        return [*_damage(store), *(one for client in clients for one in _lost(store, client))]
    finally:
        store.close()


def _lost(store: Store, client: Client) -> list[str]:
    found: list[str] = []
    with store.reading() as unit:
        rows = {job.id: job for job in unit.jobs.all()}
        written = Counter(unit.connection.execute(select(tables.change.c.id)).scalars())
        names = Counter(job.name for job in rows.values())
    for job in client.jobs.values():
        row = rows.get(job.id)
        if row is None:
            found.append(f"job {job.id} is gone")
        elif not _is_known(job, row.version, row.name):
            found.append(f"job {job.id} is {row.version} {row.name!r}, was {job}")
        elif written[job.id] != row.version:
            found.append(f"job {job.id} has {written[job.id]} changes written down and version {row.version}")
    found += [f"{name} was opened twice" for name in client.unanswered.values() if names[name] > 1]
    return found


def _is_known(job: Job, version: int, name: str) -> bool:
    """Tell whether a row is what was acknowledged, or the one change that was asked for and not answered."""
    return (version, name) == (job.version, job.name) or (version, name) == (job.version + 1, job.asked)


def _damage(store: Store) -> list[str]:
    found: list[str] = []
    if store.engine.dialect.name == "sqlite":
        with sqlite3.connect(str(store.engine.url.database)) as connection:
            for pragma, good in (("integrity_check", [("ok",)]), ("foreign_key_check", [])):
                said: list[Any] = connection.execute(f"PRAGMA {pragma}").fetchall()
                if said != good:
                    found.append(f"{pragma}: {said}")
        connection.close()
    with store.reading() as unit:
        for sha256 in unit.connection.execute(select(tables.blob.c.sha256)).scalars():
            unit.blobs.get(sha256)
    return found
