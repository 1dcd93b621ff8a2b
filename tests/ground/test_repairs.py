"""Old repairs: how much of each has failed."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box

from courtwright.ground import read_pad
from courtwright.ground.repairs import share_range
from courtwright.site.record import Court, Mark, Tally

from .pads import pad, taps

STRIP = Mark("strip", "old-repair", LineString([(1, 5), (11, 5)]), {"repair": "membrane", "strip_width": 0.3})


def _repairs(*marks, **more):
    return read_pad(pad(*marks, **more)).old_repairs


@given(st.integers(1, 60).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))))
def test_the_range_holds_the_share_and_narrows_with_taps(taps_and_hollow):
    """The range lies in 0 to 1 about the share, and four times the taps narrow it."""
    count, hollow = taps_and_hollow
    low, high = share_range(count, hollow)
    assert 0 <= low <= hollow / count <= high <= 1
    narrower = share_range(4 * count, 4 * hollow)
    assert narrower[1] - narrower[0] < high - low


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.8])
def test_the_range_holds_the_truth_nine_times_in_ten(share):
    """Over all outcomes of 30 taps, the 90 % range covers the true share about that often."""
    chance = [math.comb(30, k) * share**k * (1 - share) ** (30 - k) for k in range(31)]
    covered = sum(p for k, p in enumerate(chance) if share_range(30, k)[0] <= share <= share_range(30, k)[1])
    assert 0.85 < covered < 0.98


def test_taps_tell_the_hollow_share():
    """4 of 10 taps hollow: 0.4, whatever state somebody wrote; a tap 2 ft off the strip is of other ground."""
    astray = Mark("tap-x", "sounding", Point(5, 5.7), {"sounds": "hollow"})
    hollow = replace(STRIP, properties={**STRIP.properties, "state": "sound"})
    (found,) = _repairs(hollow, *taps(4, 6), astray)
    assert (found.failed_share, found.taps) == (0.4, 10)
    assert found.failed_share_range == pytest.approx(share_range(10, 4))
    assert (found.length, found.area, found.strip_width) == pytest.approx((10.0, 3.0, 0.3))
    assert found.outline.area == pytest.approx(3.0)


def test_a_tap_tells_of_the_nearest_repair():
    """Between two strips a tap counts for one."""
    other = replace(STRIP, id="other", geometry=LineString([(1, 5.5), (11, 5.5)]))
    found = _repairs(STRIP, other, *taps(3, 0))
    assert [(repair.id, repair.taps) for repair in found] == [("strip", 3), ("other", 0)]


@pytest.mark.parametrize(
    ("state", "share", "span"),
    [
        ("sound", 0.0, (0.0, 0.1)), ("hollow", 1.0, (0.8, 1.0)), ("rippled", 1.0, (0.8, 1.0)),
        ("split", 1.0, (0.8, 1.0)), ("lifted", 1.0, (0.8, 1.0)), (None, None, (0.0, 1.0)),
    ],
)  # fmt: skip
def test_without_taps_the_state_tells(state, share, span):
    """A state counts for the whole feature, with doubt; unknown is unknown."""
    (found,) = _repairs(replace(STRIP, properties={"state": state} if state else {}))
    assert (found.failed_share, found.failed_share_range, found.taps) == (share, span, 0)


def test_a_patch_has_the_length_of_its_longer_side():
    """A polygon, turned however, is as long as it is long and as wide as it is wide."""
    patch = Mark("patch", "old-repair", box(3, 3, 5, 4), {"repair": "patch"})
    (found,) = _repairs(patch)
    assert (found.length, found.strip_width, found.area) == pytest.approx((2.0, 1.0, 2.0))


def test_counted_repairs_follow_the_drawn_ones():
    """A tally of 30 m of membrane of which 10 are drawn adds 20."""
    tally = Tally("old-repair", "1", length=30.0, properties={"repair": "membrane", "state": "hollow"})
    found = _repairs(STRIP, tallies=(tally,), courts=(Court("1", "tennis", (10, 5)),))
    assert [repair.length for repair in found] == pytest.approx([10.0, 20.0])
    assert found[1].failed_share == 1.0
    assert found[1].outline.is_empty
