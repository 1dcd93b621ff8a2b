"""Old repairs, heaves, and a pad read whole."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from courtwright.ground import read_ground, read_pad
from courtwright.ground.repairs import share_range
from courtwright.site.record import Court, Job, Mark, SiteRecord, Tally

from .pads import FOOT, INCH, MOTIONS, crack, moved, pad, shots, spread, taps

STRIP = Mark("strip", "old-repair", LineString([(1, 5), (11, 5)]), {"repair": "membrane", "strip_width": 0.3})


def _repairs(*marks, **more):
    return read_pad(pad(*marks, **more)).old_repairs


# --- old repairs ---------------------------------------------------------------------------------


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


# --- heaves --------------------------------------------------------------------------------------


def _heave(*trees: Mark, **properties: object):
    (found,) = read_pad(pad(Mark("heave", "heave", Point(5, 5), properties), *trees)).heaves
    return found


def _trees(away: float) -> Mark:
    return Mark("trees", "trees", LineString([(0, 5 + away), (20, 5 + away)]), {})


def test_a_heave_within_30_ft_of_trees_is_near_them():
    """Trees may stand off the pad; beyond 30 ft they are not what lifts it."""
    near, far, none = _heave(_trees(29 * FOOT)), _heave(_trees(31 * FOOT)), _heave()
    assert (near.near_trees, far.near_trees, none.near_trees) == (True, False, False)
    assert near.tree_distance == pytest.approx(29 * FOOT)
    assert none.tree_distance is None


def test_a_heave_nobody_measured_has_no_height():
    """Its area is that of its radius, 0 when nobody gave one; its height stays unknown."""
    assert (_heave().height, _heave().area) == (None, 0.0)
    assert _heave(radius=2.0, height=INCH).area == pytest.approx(4 * math.pi)


# --- a pad read whole ----------------------------------------------------------------------------


def _bare():
    return pad(crack(1, (0, 4), (20, 4), width=0.01), STRIP, *taps(4, 6))


def _surveyed():
    surface = shots(lambda x, y: 0.009 * x + 0.004 * np.sin(x / 2) * np.cos(y / 2), spread(120, (20.0, 10.0)), 0.001)
    return replace(_bare(), shots=surface, courts=(Court("1", "pickleball", (10, 5), 0.3),))


def test_without_heights_all_else_is_read():
    """No shots: no heights, flatness, slopes or low spots; cracks, pieces and old repairs all the same."""
    found = read_pad(_bare())
    assert (found.heights, found.flatness, found.courts, found.low_spots) == (None, None, (), ())
    assert (found.cracks.length, len(found.pieces), len(found.old_repairs)) == (20.0, 2, 1)


def test_with_heights_everything_is_read():
    """Shots add heights, flatness and the slopes of courts of known sports."""
    found = read_pad(_surveyed())
    assert found.heights.shots == 120
    assert found.courts[0].slope == pytest.approx(0.009, rel=0.15)
    assert 0.0005 < found.flatness.gap_max < 0.02
    assert found.flatness.straightedge == pytest.approx(10 * FOOT)


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_reading(motion):
    """Moved, turned or mirrored, a pad keeps its gap, share over tolerance, slope and median uncertainty."""
    here, other = read_pad(_surveyed()), read_pad(moved(_surveyed(), motion))
    assert other.flatness.gap_max == pytest.approx(here.flatness.gap_max, rel=1e-6)
    assert other.flatness.share_over_tolerance == pytest.approx(here.flatness.share_over_tolerance, rel=1e-6)
    assert other.courts[0].slope == pytest.approx(here.courts[0].slope, rel=1e-6)
    assert np.nanmedian(other.heights.sd) == pytest.approx(np.nanmedian(here.heights.sd), rel=1e-6)
    assert other.area == pytest.approx(here.area)


@pytest.mark.parametrize(
    "shape",
    [
        Point(5, 5),
        LineString([(1, 1), (1, 1)]),
        LineString(),
        Polygon(),
        box(2, 2, 4, 4),
        LineString([(-5, 5), (25, 5)]),
    ],
    ids=lambda shape: shape.wkt[:14],
)
def test_no_shape_of_any_mark_stops_the_reading(shape):
    """Whatever was drawn for whatever kind, the rest of the pad is read."""
    kinds = ("crack", "heave", "low-spot", "old-repair", "edge", "trees", "drain", "sounding", "sand")
    properties = {"stands": "above", "of": "sod", "works": True, "sounds": "hollow", "width": 0.01}
    marks = tuple(Mark(kind, kind, shape, properties) for kind in kinds)
    found = read_pad(replace(_surveyed(), marks=marks))
    assert found.heights is not None
    assert found.pieces[0].is_body


def test_a_site_is_read_pad_by_pad():
    """The readings follow the record's order, and one pad is read as a site of one."""
    site = SiteRecord(Job(), (_bare(), replace(_surveyed(), id="other")))
    found = read_ground(site)
    assert [reading.id for reading in found.pads] == ["pad", "other"]
    assert read_ground(_bare()).pads[0] == found.pads[0]


def test_the_same_record_gives_the_same_reading():
    """Nothing but the record and the seed decides."""
    here, again = read_pad(_surveyed()), read_pad(_surveyed())
    assert np.array_equal(here.heights.height, again.heights.height, equal_nan=True)
    assert (here.flatness, here.courts, here.low_spots) == (again.flatness, again.courts, again.low_spots)


def test_every_number_of_a_reading_is_a_plain_one():
    """Answers are written as JSON, so flatness, courts and low spots hold Python's own numbers."""
    found = read_pad(_surveyed())
    for part in (found.flatness, *found.courts, *found.heaves):
        values = [getattr(part, name) for name in part.__slots__]
        assert json.dumps(values)
