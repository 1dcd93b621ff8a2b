"""A straightedge where its gap is largest: it rests on the surface, and its gap is the one that was found."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.ground.flatness import DIRECTIONS, largest_gaps
from courtwright.ground.laid import direction_of, laid_straightedge


def test_over_a_pit_it_rests_on_both_rims():
    """Two rims 2 m apart with 12 mm of air between, shown to 1 m beyond by a straightedge of 3 m."""
    profile = np.zeros((1, 17))
    profile[0, [6, 10]] = 0.012
    laid = laid_straightedge(profile, 0.5, 3.0, (0, 8), (0, 1))
    assert laid is not None
    assert laid.rests == pytest.approx((0.5, 2.5))  # 2 m in the middle of 3 m
    assert (laid.gap, laid.rise, laid.level) == pytest.approx((0.012, 0.0, 0.012))
    assert laid.node_at(0.0) == pytest.approx((0.0, 5.0))
    assert laid.below == pytest.approx(0.012 - profile[0, laid.cols])


@given(st.integers(0, 10_000), st.sampled_from([1.0, 1.3, 2.0, 2.7]))
def test_its_gap_is_the_largest_and_no_node_stands_above_it(seed: int, length: float):
    """On a rough raster with holes: as largest_gaps says, which tries every chord; it lies wholly on the raster."""
    random = np.random.default_rng(seed)
    height = random.normal(size=(14, 15)) * 0.01
    height[random.random(height.shape) < 0.02] = np.nan
    found = largest_gaps(height, 0.25, length)
    if found is None or found.greatest == 0:
        return
    laid = laid_straightedge(height, 0.25, length, found.at, found.direction)
    assert laid is not None
    assert laid.gap == pytest.approx(found.greatest, abs=1e-12)
    at = found.at == np.column_stack([laid.rows, laid.cols])
    assert laid.below[at.all(axis=1)] == pytest.approx(found.greatest, abs=1e-12)
    under = (laid.along > -1e-9) & (laid.along < length + 1e-9)
    assert laid.below[under].min() > -1e-12
    assert 0 <= laid.rests[0] + 1e-9 < laid.rests[1] <= length + 1e-9
    for rest in laid.rests:
        assert np.interp(rest, laid.along, laid.below) == pytest.approx(0.0, abs=1e-12)
    assert laid.along[0] <= 1e-9
    assert laid.along[-1] >= length - 1e-9


@pytest.mark.parametrize("direction", DIRECTIONS)
def test_a_bearing_tells_its_direction(direction: tuple[int, int]):
    """As Flatness gives it, from +y clockwise, a straightedge has no front."""
    down, across = direction
    assert direction_of(math.atan2(across, down) % math.pi) == direction


def test_without_room_there_is_none():
    """Shorter data than the straightedge, or nodes too wide apart to show a gap."""
    assert laid_straightedge(np.zeros((1, 5)), 0.5, 3.0, (0, 2), (0, 1)) is None
    assert laid_straightedge(np.zeros((1, 9)), 2.0, 3.0, (0, 2), (0, 1)) is None
