"""Surveyed coordinates in the frame of a pad."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.site.complaints import Complaints
from courtwright.site.frames import Frame, frame_of
from courtwright.site.record import Place

FOOT = 0.3048
#: Corners of a pad of 120 by 60 ft, as written.
CORNERS = ((0.0, 0.0), (120.0, 0.0), (120.0, 60.0))


def _surveyed(frame: Frame, xy: tuple[float, float], unit: float) -> tuple[float, float]:
    """Where a place of the pad [ft] lies in the survey, worked out the other way round."""
    x, y = xy[0] * FOOT, xy[1] * FOOT
    sin, cos = math.sin(frame.bearing), math.cos(frame.bearing)
    return (frame.easting + x * cos + y * sin) / unit, (frame.northing - x * sin + y * cos) / unit


def _told(place: Place, unit: float = 1.0) -> tuple[Frame | None, list[str]]:
    complaints = Complaints()
    return frame_of(place, unit, FOOT, "pad 1, place", "site.toml", complaints), [c.code for c in complaints.found()]


@given(
    st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.floats(-math.pi, math.pi), st.sampled_from([1.0, FOOT, 1200 / 3937])
)
def test_common_points_give_the_frame_back(easting, northing, bearing, unit):
    """Whatever the frame and the unit: corners come to lie where they are, and so does any other place."""
    frame = Frame(easting, northing, bearing)
    place = Place(common=tuple((*xy, *_surveyed(frame, xy, unit)) for xy in CORNERS))
    found, told = _told(place, unit)
    assert told == []
    survey = np.array([[*_surveyed(frame, (37.0, -12.0), unit), 5.0]]) * (unit, unit, 1.0)
    assert found.to_pad(survey) == pytest.approx(np.array([[37 * FOOT, -12 * FOOT, 5.0]]), abs=1e-6)


def test_an_origin_and_a_bearing_give_the_frame():
    """A pad whose y axis points north-east, its origin in feet of the survey."""
    found, _ = _told(Place(origin=(1000.0, 2000.0), bearing=math.pi / 4), FOOT)
    along = np.array([[1000 * FOOT + 1.0, 2000 * FOOT + 1.0]])
    assert found.to_pad(along) == pytest.approx(np.array([[0.0, math.sqrt(2)]]))


@pytest.mark.parametrize(
    ("place", "told"),
    [
        (Place(), "place-lacks"),
        (Place(origin=(0.0, 0.0)), "place-lacks"),
        (Place(common=((0, 0, 5, 5),)), "place-lacks"),
        (Place(common=((0, 0, 5, 5), (1, 0, 5.3048, 5))), "place-too-near"),
        (Place(common=((0, 0, 0, 0), (120, 0, 120, 0))), "place-scale"),
        (Place(common=((0, 0, 0, 0), (120, 0, 36.7, 0))), "place-off"),
    ],
)
def test_a_place_that_does_not_hold_is_told(place, told):
    """What lacks, points too near, units that differ, corners that miss each other."""
    found, codes = _told(place)
    assert codes == [told]
    assert (found is not None) == (told == "place-off")
