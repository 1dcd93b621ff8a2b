"""A server killed under load loses nothing that it acknowledged, on either database."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.kill.rounds import kill_rounds

#: The least share of deaths that must fall inside a transaction for the rounds to mean something. [-]
INSIDE = 0.3


@pytest.mark.soak
def test_what_was_acknowledged_is_there_after_each_death(
    request: pytest.FixtureRequest, database: str, tmp_path: Path
) -> None:
    """Every job and change that was answered is kept, once, with its history; the database and the files are whole."""
    rounds = 500 if request.config.getoption("--hypothesis-profile") == "soak" else 20
    tally = kill_rounds(rounds, database, tmp_path, seed=rounds)
    assert tally.lost == []
    assert tally.rounds == rounds
    assert tally.acknowledged > rounds
    assert tally.inside >= INSIDE * rounds
    assert not tally.refused
