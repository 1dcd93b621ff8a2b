"""A pad read whole."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from courtwright.ground import read_ground, read_pad
from courtwright.ground.read import flatness
from courtwright.ground.reading import HeightGrid
from courtwright.site.record import Court, Job, Mark, SiteRecord

from .pads import FOOT, INCH, MOTIONS, crack, moved, pad, rows, shots, spread, taps

STRIP = Mark("strip", "old-repair", LineString([(1, 5), (11, 5)]), {"repair": "membrane", "strip_width": 0.3})


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


def _groove(depth: float) -> HeightGrid:
    """Return a level grid of 30 by 40 nodes, 10 in apart, with a groove one node wide along its 26th column."""
    height = np.zeros((30, 40))
    height[:, 25] = -depth
    height[:, 38:] = np.nan
    return HeightGrid(100.0, 200.0, 10 * INCH, height, np.full(height.shape, 0.001), 9)


def test_the_gap_is_told_with_its_place_and_direction():
    """A groove along y gapes under a straightedge along x, which is a bearing of 90° from +y."""
    found = flatness(_groove(0.006))
    assert found.gap_max == pytest.approx(0.006)
    assert found.at[0] == pytest.approx(100 + 25 * 10 * INCH)
    assert 200 <= found.at[1] <= 200 + 29 * 10 * INCH
    assert math.degrees(found.bearing) == pytest.approx(90)
    grid = _groove(0.006)
    turned = flatness(replace(grid, height=grid.height.T.copy(), sd=grid.sd.T.copy()))
    assert turned.at[1] == pytest.approx(200 + 25 * 10 * INCH)
    assert math.degrees(turned.bearing) == pytest.approx(0)


def test_the_share_over_tolerance_is_of_the_nodes_with_heights():
    """A groove deeper than 1/8 in is one column of the 38 that have heights; one less deep is within."""
    assert flatness(_groove(1.5 * INCH / 8)).share_over_tolerance == pytest.approx(1 / 38)
    assert flatness(_groove(0.9 * INCH / 8)).share_over_tolerance == 0.0


def test_the_low_edge_is_the_one_that_the_pad_falls_to():
    """Sod above the east side of a pad that falls to the east stands at its low edge; of one that falls west, not."""
    sod = Mark("edge", "edge", LineString([(20, 0), (20, 10)]), {"stands": "above", "of": "sod"})
    for fall, stands in ((-0.01, "sod"), (0.01, None)):
        surface = shots(lambda x, y, s=fall: s * x, rows((20.0, 10.0), 2.0))
        assert read_pad(pad(sod, shots=surface)).low_edge == stands


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
    assert read_pad(_bare()) == found.pads[0]


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
