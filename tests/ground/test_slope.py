"""The plane of each court."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from courtwright.ground.heights import heights
from courtwright.ground.slope import court_area, court_planes, fitted_plane
from courtwright.site.record import Court
from courtwright.trade.load import tolerances

from .pads import FOOT, MOTIONS, moved, pad, rows, shots, spread

SIZE = (60 * FOOT, 120 * FOOT)
COURT = Court("1", "tennis", (30 * FOOT, 60 * FOOT))
SIZES = {"tennis": (78 * FOOT, 36 * FOOT)}


def _plane_of(surface, noise=0.0, court=COURT, seed=0, spacing=3.0):
    there = pad(size=SIZE, shots=shots(surface, rows(SIZE, spacing), noise, seed))
    return court_planes(heights(there)[0], (court,), SIZES)[0]


# --- published -----------------------------------------------------------------------------------


@pytest.mark.reference("asba-slope")
def test_the_slope_window_is_the_guidelines():
    """One true plane falls by 0.83 % to 1 %."""
    assert tolerances().slope_min == pytest.approx(0.0083)
    assert tolerances().slope_max == pytest.approx(0.01)


# --- laws ----------------------------------------------------------------------------------------


@given(fall=st.floats(0.001, 0.03), bearing=st.floats(0, 6.28))
def test_a_plane_has_its_slope_and_points_downhill(fall, bearing):
    """The bearing is clockwise from +y, downhill; a plane has no crown and nothing off it."""
    found = _plane_of(lambda x, y: 3 - fall * (x * math.sin(bearing) + y * math.cos(bearing)), spacing=9.0)
    assert found.slope == pytest.approx(fall, rel=1e-6)
    assert math.cos(found.bearing - bearing) == pytest.approx(1, abs=1e-9)
    assert found.off_plane_max < 1e-6
    assert found.crown == pytest.approx(0, abs=1e-5)
    assert found.along_play == pytest.approx(math.cos(bearing) ** 2, abs=1e-5)


@pytest.mark.parametrize("turned", [0.0, 0.5, math.pi / 2])
def test_the_share_along_play_goes_with_the_courts_long_axis(turned):
    """A fall along the long axis is all along play, one across it none, however the court is turned."""
    axis = np.array([math.sin(turned), math.cos(turned)])
    there = pad(
        size=(40.0, 40.0), shots=shots(lambda x, y: -0.01 * (x * axis[0] + y * axis[1]), rows((40.0, 40.0), 4.0))
    )
    court = Court("1", "tennis", (20.0, 20.0), turned)
    assert court_planes(heights(there)[0], (court,), SIZES)[0].along_play == pytest.approx(1, abs=1e-6)
    across = replace(court, turned=turned + math.pi / 2)
    assert court_planes(heights(there)[0], (across,), SIZES)[0].along_play == pytest.approx(0, abs=1e-6)


def test_a_crown_and_a_valley_at_the_net_are_seen():
    """Two halves that fall away from the net, or to it, point opposite ways."""
    for sign in (-1, 1):
        found = _plane_of(lambda x, y, s=sign: s * 0.008 * np.abs(y - 60 * FOOT))
        assert found.crown == pytest.approx(math.pi, abs=0.05)
        assert found.off_plane_max > 0.03


def test_how_far_the_surface_lies_off_its_plane_has_a_closed_form_for_a_valley():
    """Two halves of 0.8 % over a length L lie evenly from -sL/4 to sL/4 about their plane: rms sL/4 over root 3."""
    length = SIZES["tennis"][0]
    found = _plane_of(lambda x, y: 0.008 * np.abs(y - 60 * FOOT))
    assert found.off_plane_rms == pytest.approx(0.008 * length / 4 / math.sqrt(3), rel=0.03)
    assert _plane_of(lambda x, y: 0.008 * y).off_plane_rms < 1e-6


def test_a_valley_along_the_court_is_seen_too():
    """So are two halves on either side of the centre line."""
    assert _plane_of(lambda x, y: 0.008 * np.abs(x - 30 * FOOT)).crown == pytest.approx(math.pi, abs=0.05)


def test_a_plane_goes_by_what_is_well_known():
    """Half of a grid known to 1 mm falls by 1 % eastwards; the other, known to 100 mm, by 3 % northwards: 1 % it is."""
    here, _ = heights(pad(size=SIZE, shots=shots(lambda x, y: 0.01 * x, rows(SIZE, 3.0))))
    rows_, cols = here.grid.height.shape
    x, y = np.meshgrid(here.grid.cell * np.arange(cols), here.grid.cell * np.arange(rows_))
    is_known = np.arange(rows_)[:, None] < rows_ // 2
    grid = replace(
        here.grid,
        height=np.where(is_known, -0.01 * x, -0.03 * y),
        sd=np.where(np.broadcast_to(is_known, x.shape), 0.001, 0.1),
    )
    found = fitted_plane(replace(here, grid=grid), box(0, 0, *SIZE))
    # The poor half weighs 1 in 10,000; equal weights would make it 1.9 %, turned by 60°.
    assert found.slope == pytest.approx(0.01, rel=0.01)
    assert math.degrees(found.bearing) == pytest.approx(90, abs=1)


def test_noise_on_a_level_court_is_no_crown():
    """Halves without a fall to speak of have no direction, and differ in none."""
    assert _plane_of(lambda x, y: 0 * x, noise=0.001).crown == 0.0


def test_the_slopes_uncertainty_is_honest():
    """Over many surveys of one plane the slope scatters by about its standard uncertainty."""
    found = [_plane_of(lambda x, y: 0.009 * x, noise=0.001, seed=seed, spacing=6.0) for seed in range(30)]
    off = [(plane.slope - 0.009) / plane.slope_sd for plane in found]
    assert 0.3 < np.sqrt(np.mean(np.square(off))) < 1.5


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_slopes(motion):
    """A pad moved, turned or mirrored keeps slope, its doubt, departures and crown; the bearing turns with it."""
    there = pad(
        size=SIZE, courts=(COURT,),
        shots=shots(lambda x, y: 0.009 * x + 0.004 * np.sin(x + y / 3), spread(150, SIZE), 0.001),
    )  # fmt: skip
    here = court_planes(heights(there)[0], there.courts, SIZES)[0]
    other = moved(there, motion)
    found = court_planes(heights(other)[0], other.courts, SIZES)[0]
    for name in ("slope", "slope_sd", "off_plane_max", "along_play", "crown"):
        assert getattr(found, name) == pytest.approx(getattr(here, name), rel=1e-6, abs=1e-9)
    matrix = MOTIONS[motion][0]
    fall = matrix @ [math.sin(here.bearing), math.cos(here.bearing)]
    assert [math.sin(found.bearing), math.cos(found.bearing)] == pytest.approx(list(fall), abs=1e-6)


def test_a_courts_area_is_turned_clockwise():
    """Turned by 30°, the far end of the long axis lies to the right of +y."""
    area = court_area(Court("1", "tennis", (0.0, 0.0), math.radians(30)), (20.0, 10.0))
    far = max(area.exterior.coords, key=lambda place: place[0] * 0.5 + place[1] * 0.866)
    assert far[0] > 0
    assert area.area == pytest.approx(200)


# --- refusals ------------------------------------------------------------------------------------


def test_a_court_off_the_pad_or_of_no_known_sport_has_no_plane():
    """Nothing is said of a court where nothing is known."""
    there, _ = heights(pad(size=SIZE, shots=shots(lambda x, y: 0.01 * x, rows(SIZE, 3.0))))
    assert court_planes(there, (Court("2", "tennis", (500.0, 0.0)), Court("3", "curling", COURT.centre)), SIZES) == ()
