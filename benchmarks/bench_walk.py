"""How long a day's walk takes at the office: 2,000 marks of five properties each, 300 photos, 12,000 updates."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from benchmarks.day import a_day
from tests.store.walk.phones import rows_of

from courtwright.site.walked import project
from courtwright.store.walk.document import EMPTY, merged, plain, try_update, try_updates
from courtwright.store.walk.history import history

PHOTO = Path("src/courtwright/site/demo_site/photos/lower-1-hollow-strip.jpg").read_bytes()
#: What each may take. [s]
TRIED, ONE_FIELD, PROJECTED, TOLD = 2.0, 0.1, 1.0, 2.0


@pytest.fixture(scope="module")
def updates() -> list[bytes]:
    """Return a day's walk as a phone sends it: each value typed is an update."""
    return a_day().made


def test_a_day_of_updates_is_tried(within: Any, updates: list[bytes]):
    """All that a phone kept back until evening, in one go."""
    within("a day's walk, 12,000 updates tried", lambda: try_updates(EMPTY, updates), TRIED)


def test_one_field_on_a_full_walk_is_tried(within: Any, updates: list[bytes]):
    """What a phone with signal sends while the person types."""
    state = merged(updates[:-1])
    within("one update tried on a day's walk", lambda: try_update(state, updates[-1]), ONE_FIELD)


def test_a_full_walk_is_projected(within: Any, updates: list[bytes]):
    """From the state to a record with its complaints."""
    state = merged(updates)
    within("a day's walk projected", lambda: project(plain(state), lambda sha256: PHOTO), PROJECTED)


def test_the_history_of_a_full_walk_is_told(within: Any, updates: list[bytes]):
    """Everything that was typed, by whom and what became of it."""
    rows = rows_of(updates)
    within("history of a day's walk", lambda: history(rows), TOLD)
