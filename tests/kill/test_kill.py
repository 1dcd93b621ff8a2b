"""A server, or its database, killed under load loses nothing that it acknowledged."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from courtwright.store.engine import engine_for
from courtwright.store.migrate import upgrade
from tests.kill.rounds import Tally, kill_the_database, kill_the_service
from tests.postgres import postgres_server

#: The least share of deaths that must fall inside a transaction for the rounds to mean something. [-]
INSIDE = 0.3
KINDS = {"jobs", "walks", "photos", "offers"}


@pytest.fixture
def is_soak(request: pytest.FixtureRequest) -> bool:
    return request.config.getoption("--hypothesis-profile") == "soak"


def require_nothing_lost(tally: Tally, rounds: int) -> None:
    assert tally.lost == []
    assert tally.rounds == rounds
    assert tally.inside >= INSIDE * rounds
    assert all(tally.acknowledged[kind] > rounds / 2 for kind in KINDS), tally.acknowledged


def told(tally: Tally) -> None:
    """Print the figures, which are written down after a soak."""
    kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(tally.acknowledged.items()))
    text = f"{tally.rounds} deaths, {tally.inside} inside a transaction; {kinds}; {len(tally.refused)} refused"
    sys.stdout.write(f"\n{text}\n")


@pytest.mark.soak
def test_what_was_acknowledged_is_there_after_each_death(is_soak: bool, database: str, tmp_path: Path) -> None:
    """Jobs, updates of walks, parts of photos, offers and seals: kept, once, with history; database and files whole."""
    rounds = 500 if is_soak else 20
    tally = kill_the_service(rounds, database, tmp_path, seed=rounds)
    require_nothing_lost(tally, rounds)
    assert tally.refused == []
    told(tally)


@pytest.mark.soak
def test_a_database_that_is_killed_is_found_again(is_soak: bool, tmp_path: Path) -> None:
    """PostgreSQL dies under a server that stays: everybody is told, and served as before once it is back."""
    rounds = 100 if is_soak else 4
    with postgres_server() as server:
        engine = engine_for(server.url())
        upgrade(engine)
        engine.dispose()
        tally = kill_the_database(rounds, server.url(), tmp_path, rounds, server.kill, server.restart)
    require_nothing_lost(tally, rounds)
    for status, body in tally.refused:
        assert status == 503, body
        # A HEAD is answered without words.
        assert not body or json.loads(body)["detail"]
    told(tally)
