"""Going from corner to corner, against the whole linear programme by HiGHS."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from courtwright.ground.regrade import annulus
from courtwright.ground.regrade.annulus import Rows, least_between, together
from courtwright.ground.regrade.corner import first_corner, lowest_corner

HALF = 0.05
SEEDS = st.integers(0, 100_000)


def functions(seed: int, limits: int) -> Rows:
    """Return random functions of a gradient, some on a lattice of places so that many are equal, and some limits."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(1, 60))
    lean = chance.uniform(-30, 30, (count, 2))
    level = 100 + chance.normal(0, 0.02, count)
    if seed % 3 == 0:
        lean, level = np.round(lean / 10) * 10, np.round(level, 2)
    keep = Rows.to_keep(chance.normal(-0.05, 0.1, limits), chance.uniform(-30, 30, (limits, 2)))
    return together(Rows.to_lower(level, lean), keep)


def whole(rows: Rows) -> float | None:
    """Return the least value by HiGHS from all rows; None where nothing is allowed."""
    matrix = np.column_stack([np.where(rows.limits, 0.0, -1.0), rows.lean])
    bounds = [(None, None), (-HALF, HALF), (-HALF, HALF)]
    found = linprog([1.0, 0.0, 0.0], matrix, -rows.level, bounds=bounds, method="highs")
    return None if found.x is None else float(found.x[0])


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.integers(0, 4))
def test_the_lowest_corner_is_that_of_the_whole_programme(seed: int, limits: int):
    """The same value; and no corner where the programme has nothing."""
    rows = functions(seed, limits)
    normals, bounds = rows.half_spaces(HALF)
    found = lowest_corner(normals, bounds, first_corner(float(rows.level[0]), rows.lean[0], HALF), 1e-10)
    theirs = whole(rows)
    if theirs is None:
        assert found is None
        return
    assert found is not None
    assert found.place[0] == pytest.approx(theirs, abs=1e-6)
    assert (normals @ found.place >= bounds - 1e-9).all()


@settings(max_examples=50, deadline=None)
@given(SEEDS)
def test_a_corner_of_fewer_half_spaces_is_gone_on_from(seed: int):
    """The first half, then all from there: as from nothing."""
    rows = functions(seed, 0)
    normals, bounds = rows.half_spaces(HALF)
    start = first_corner(float(rows.level[0]), rows.lean[0], HALF)
    some = lowest_corner(normals[: 4 + len(rows.level) // 2], bounds[: 4 + len(rows.level) // 2], start, 1e-10)
    assert some is not None
    there, here = (lowest_corner(normals, bounds, corner, 1e-10) for corner in (some, start))
    assert there is not None
    assert here is not None
    assert there.place[0] == pytest.approx(here.place[0], abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("window", [(0.0, HALF), (0.0083, 0.01), (0.03, 0.03)])
def test_where_corners_lead_nowhere_the_solver_gives_the_same(
    monkeypatch: pytest.MonkeyPatch, seed: int, window: tuple[float, float]
):
    """With and without corners, with limits and where nothing is allowed."""
    rows = functions(seed, seed % 4)
    here = least_between(lambda _: rows, *window)
    monkeypatch.setattr(annulus, "lowest_corner", lambda *_: None)
    there = least_between(lambda _: rows, *window)
    assert (here is None) == (there is None)
    if here is not None and there is not None:
        assert here.value == pytest.approx(there.value, abs=1e-7)


@pytest.mark.parametrize("seed", range(12))
def test_the_least_on_a_circle_is_that_of_every_direction(seed: int):
    """Over 100,000 directions none is lower, and the best of them hardly higher: 60 m · 0.03 · 0.00003."""
    rows = functions(seed, 0)
    found = least_between(lambda _: rows, 0.03, 0.03)
    assert found is not None
    turns = np.linspace(0, 2 * np.pi, 100_001)
    values = (rows.level[:, None] + 0.03 * rows.lean @ np.array([np.cos(turns), np.sin(turns)])).max(axis=0)
    assert found.value <= values.min() + 1e-8
    assert values.min() - found.value < 60 * 0.03 * 7e-5
