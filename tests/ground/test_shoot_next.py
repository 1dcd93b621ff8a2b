"""Where to shoot next: exact as kriging anew, the same in any frame, and better than other ways to choose."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from courtwright.ground import read_pad
from courtwright.ground.heights import Surface, heights
from courtwright.ground.shoot_next import entropy, entropy_left
from courtwright.site.record import Shots

from .pads import MOTIONS, moved, pad, rows, shots
from .shooting import Known, anywhere, coarse, doubt_left, least_known, proposed

#: A pad with a low spot in doubt, found among the seeds of `coarse`.
IN_DOUBT = 18


@pytest.fixture(scope="module")
def told():
    return read_pad(coarse(IN_DOUBT), 1, 3)


def test_a_low_spot_in_doubt_is_what_to_shoot(told):
    """The first place tells of the low spot whose likelihood lies between, and lies at it."""
    (spot,) = [spot for spot in told.low_spots if 0.05 < spot.likelihood < 0.95]
    first = told.shoot_next.places[0]
    assert (first.settles[0].low_spot, first.settles[0].likelihood) == (spot.id, spot.likelihood)
    assert np.hypot(*np.subtract(first.at, spot.deepest)) < 3.0


def test_each_shot_takes_doubt_and_the_next_goes_on_from_there(told):
    """What is left after one is what is there before the next, and it falls."""
    places = told.shoot_next.places
    assert len(places) == 3
    assert places[0].doubt_before == pytest.approx(told.shoot_next.doubt)
    for one, other in itertools.pairwise(places):
        assert other.doubt_before == pytest.approx(one.doubt_after)
        assert one.doubt_after < one.doubt_before


@pytest.mark.parametrize("seed", [IN_DOUBT, 9, 19])
def test_the_uncertainty_at_each_place_is_that_of_kriging_anew(seed):
    """With the places before it shot, each is as uncertain as a surface kriged from all of those says (brute force)."""
    there = coarse(seed)
    found, _ = heights(there)
    places = read_pad(there, 1, 4).shoot_next.places
    assert len(places) > 1
    for i, place in enumerate(places):
        more = np.array([[*p.at, 0.1] for p in places[:i]]).reshape(-1, 3)
        anew = Surface.through(np.vstack([there.shots.xyz, more]), found.surface.covariance)
        assert place.sd == pytest.approx(float(np.sqrt(anew.variance(np.array([place.at]))[0])), rel=1e-6)


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_places_there(told, motion):
    """Moved, turned or mirrored, a pad is shot at the same places, and for the same reasons."""
    matrix, shift, _ = MOTIONS[motion]
    other = read_pad(moved(coarse(IN_DOUBT), motion), 1, 3).shoot_next.places
    here = told.shoot_next.places
    assert [[s.likelihood for s in p.settles] for p in other] == [[s.likelihood for s in p.settles] for p in here]
    for one, two in zip(here, other, strict=True):
        assert np.array(one.at) @ matrix.T + shift == pytest.approx(np.array(two.at), abs=1e-4)


def test_a_well_shot_pad_that_drains_needs_no_shot():
    """A plane of 1 % shot every metre and a half: nothing is in doubt, nothing is proposed."""
    surface = shots(lambda x, y: 0.01 * x, rows((20.0, 10.0), 1.5), 0.0005)
    found = read_pad(pad(shots=surface), 1, 5).shoot_next
    assert (found.places, found.doubt, found.may_hide) == ((), 0.0, False)


def test_few_shots_that_show_no_low_spot_are_not_enough():
    """Corners and middle of a level pad: no low spot, yet some may hide; heights are lacking in between."""
    few = np.array([[0.5, 0.5], [19.5, 0.5], [0.5, 9.5], [19.5, 9.5], [10.0, 5.0]])
    there = pad(shots=Shots(np.column_stack([few, [0.0, 0.004, 0.004, 0.0, 0.003]])))
    found = read_pad(there, 1, 3)
    assert found.low_spots == ()
    assert found.shoot_next.may_hide
    assert len(found.shoot_next.places) == 3
    for place in found.shoot_next.places:
        assert np.hypot(*(few - place.at).T).min() > 1.0


def test_nobody_is_told_where_to_shoot_unless_asked():
    """No places without the question, and none without heights."""
    assert read_pad(coarse(IN_DOUBT)).shoot_next is None
    assert read_pad(replace(coarse(IN_DOUBT), shots=None), 1, 3).shoot_next is None
    two = replace(coarse(IN_DOUBT), shots=Shots(coarse(IN_DOUBT).shots.xyz[:2]))
    assert read_pad(two, 1, 3).shoot_next is None


def test_shots_where_proposed_take_more_doubt_than_as_many_elsewhere():
    """Over pads whose low spots are in doubt: three shots where proposed leave less than three random or least known.

    The readings are drawn from what the shots so far leave open, and every surface is kriged and drawn anew, so nothing
    of the reckoning that chose the places is used to judge them.
    """
    left = []
    for seed in range(20):
        known = Known.of(coarse(seed))
        if known.about:
            left.append(doubt_left(known, [proposed, anywhere, least_known], 3, 4, seed))
    now, ours, random, unknown = np.array(left).T
    assert len(now) >= 8
    assert ours.mean() < 0.97 * now.mean()
    for other in (random, unknown):
        gain = other - ours
        # More than chance makes of it: two standard errors of the mean, pad by pad.
        assert gain.mean() > 2 * gain.std(ddof=1) / np.sqrt(len(gain)), (now, ours, other)


@given(st.floats(0.02, 0.98), st.floats(0, 1), st.floats(0, 1))
def test_to_know_more_never_leaves_more_doubt_on_average(likelihood, one, other):
    """From all of the doubt, when nothing is told, down to none."""
    little, much = sorted([one, other])
    left = entropy_left(likelihood, np.array([0.0, little, much, 1.0]))
    assert left[0] == pytest.approx(float(entropy(np.array(likelihood))))
    assert left[3] == pytest.approx(0.0, abs=1e-3)
    assert left[2] <= left[1] + 1e-3


def test_the_doubt_left_is_the_mean_over_what_is_read():
    """Against a mean over a million drawn readings of a normal margin, half of whose variance is told."""
    random = np.random.default_rng(3)
    read = random.standard_normal(1_000_000)
    mean = entropy(norm.cdf((norm.ppf(0.7) + np.sqrt(0.5) * read) / np.sqrt(0.5))).mean()
    assert float(entropy_left(0.7, np.array(0.5))) == pytest.approx(mean, abs=2e-3)
