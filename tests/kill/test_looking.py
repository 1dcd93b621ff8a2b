"""The looking itself: what is told of a client that remembers more than the store has."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from courtwright.desk.office import Office
from courtwright.store.keys import Keys
from courtwright.store.opened import open_store
from tests.kill.jobs import Jobs
from tests.kill.load import Client
from tests.kill.photos import Photos
from tests.kill.rounds import Nursery, Rounds
from tests.kill.walks import Walks

#: Enough that each client has done each thing. [-]
ENOUGH = 80


@pytest.fixture(scope="module")
def made(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Client, Office]]:
    """Let clients ask for a while, and give the one that does everything, with the store; it misses nothing."""
    folder = tmp_path_factory.mktemp("looking")
    shutil.copy(sqlite_template, folder / "courtwright.db")
    rounds = Rounds(f"sqlite:///{folder}/courtwright.db", folder, seed=1)
    with Nursery.opened() as nursery:
        pid, port = nursery.server(rounds.database, rounds.files, rounds.flag_file)
        with rounds.load(port):
            rounds.wait_for(lambda: rounds.acknowledged > ENOUGH)
        rounds.look(is_last=False)
        with rounds.load(port):
            rounds.wait_for(lambda: rounds.acknowledged > 2 * ENOUGH)
        os.kill(pid, signal.SIGKILL)
    with contextlib.closing(open_store(rounds.database, str(rounds.files))) as store:
        office = Office(store, keys=Keys(folder / "keys"))
        assert rounds.clients[0].lost(office, whole=True) == []
        yield rounds.clients[0], office


def _jobs(client: Client) -> None:
    habit = client.habits["jobs"]
    assert isinstance(habit, Jobs)
    job = next(iter(habit.jobs.values()))
    job.version, job.name, job.asked = job.version + 1, "never kept", None


def _updates(client: Client) -> None:
    habit = client.habits["walks"]
    assert isinstance(habit, Walks)
    walk = habit.walks[-1]
    walk.acknowledged = walk.sent = walk.sent + 1


def _bytes(client: Client) -> None:
    habit = client.habits["photos"]
    assert isinstance(habit, Photos)
    habit.uploads[0].content = habit.uploads[0].content[:-1] + b"?"


def _offers(client: Client) -> None:
    assert client.offers is not None
    next(one for one in client.offers.offers if one.id is not None and one.state != "accepted").state = "accepted"


FORGE = {"jobs": _jobs, "walks": _updates, "photos": _bytes, "offers": _offers}


@pytest.mark.parametrize("kind", FORGE)
def test_what_was_never_kept_is_missed(made: tuple[Client, Office], kind: str) -> None:
    """One thing that a client only believes to be acknowledged is told, of its kind."""
    client, office = made
    FORGE[kind](client)
    assert any(one.startswith(kind) for one in client.lost(office, whole=True))
