"""The surface of a scan, which takes all shots, beside the exact solve; and what interpolation costs."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from courtwright.ground import read_pad
from courtwright.ground.covariance import Covariance
from courtwright.ground.filling import filled
from courtwright.ground.heights import Surface, heights, lattice, lattice_points, usable_shots
from courtwright.ground.kriging.exact import ExactSurface
from courtwright.ground.kriging.nearest import thinned_places
from courtwright.ground.kriging.scan import ScanSurface
from courtwright.ground.kriging.torus import Torus
from courtwright.ground.reading import PadReading
from courtwright.site.record import Pad, Shots

from .pads import pad, shots, spread

SIZE = (36.0, 18.0)


def _rolling(x, y):
    return 0.009 * x + 0.006 * np.sin(x / 2.2) * np.cos(y / 3)


def _survey(count: int, seed: int = 0) -> np.ndarray:
    return shots(_rolling, spread(count, SIZE, seed), 0.001, seed).xyz


# --- laws ----------------------------------------------------------------------------------------


@settings(deadline=None, max_examples=8)
@given(
    sill=st.floats(0.002, 0.03), reach=st.floats(0.8, 12.0), nugget=st.floats(0.0003, 0.002),
    count=st.integers(300, 800), seed=st.integers(0, 99),
)  # fmt: skip
def test_the_surface_of_a_scan_is_the_exact_one(sill, reach, nugget, count, seed):
    """Heights within 0.1 mm; uncertainty never under the exact one, and at most 0.1 mm over it."""
    xyz, at = _survey(count, seed), spread(300, SIZE, seed + 1)
    known = Covariance(sill**2, reach, nugget**2)
    exact, scan = ExactSurface.of(xyz, known), ScanSurface.of(xyz, known)
    assert scan.height(at) == pytest.approx(exact.height(at), abs=1e-4)
    over = np.sqrt(scan.variance(at)) - np.sqrt(exact.variance(at))
    assert over.min() > -5e-6
    assert over.max() < 1e-4


def test_the_surface_of_a_scan_is_the_exact_one_at_three_thousand_shots():
    """Heights within 0.05 mm, uncertainty within 0.03 mm, at the largest number that is solved exactly."""
    xyz, at = _survey(3_000), spread(500, SIZE, 1)
    known = Covariance(0.006**2, 2.0, 0.0007**2)
    exact, scan = ExactSurface.of(xyz, known), ScanSurface.of(xyz, known)
    assert scan.height(at) == pytest.approx(exact.height(at), abs=5e-5)
    assert np.sqrt(scan.variance(at)) == pytest.approx(np.sqrt(exact.variance(at)), abs=3e-5)


def test_the_lattice_of_a_scan_has_the_covariance_that_it_stands_for():
    """Between any two places, up to three times the reach, within a hundredth of the sill."""
    known = Covariance(0.006**2, 2.0, 0.0007**2)
    at = spread(120, SIZE, 4)
    torus = Torus.around(spread(3000, SIZE), known)
    splines = torus.weights(at).toarray()
    ours = splines @ np.stack([torus.spread(row) for row in splines], axis=1)
    assert np.abs(ours - known.between(at, at)).max() < 0.01 * known.sill


def test_what_is_carried_to_a_grid_is_the_scan_s_surface():
    """On a lattice the heights are those at its nodes; the uncertainty, carried, is within 0.1 mm."""
    xyz, known = _survey(4_000), Covariance(0.006**2, 2.0, 0.0007**2)
    surface = Surface.through(xyz, known)
    assert isinstance(surface, ScanSurface)
    x, y = lattice(0, SIZE[0], 0.2), lattice(0, SIZE[1], 0.2)
    height, sd = surface.both_on(x, y)
    nodes = lattice_points(x, y)
    assert height.ravel() == pytest.approx(surface.height(nodes), abs=1e-9)
    some = np.random.default_rng(0).choice(len(nodes), 1000, replace=False)
    assert sd.ravel()[some] == pytest.approx(np.sqrt(surface.variance(nodes[some])), abs=1e-4)


def test_what_is_drawn_lies_off_by_the_exact_uncertainty():
    """300 surfaces drawn from a scan have the exact joint covariance, as nearly as so many tell."""
    xyz, known = _survey(900), Covariance(0.006**2, 3.0, 0.001**2)
    x, y = np.linspace(1, 35, 9), np.linspace(1, 17, 5)
    exact, scan = ExactSurface.of(xyz, known), ScanSurface.of(xyz, known)
    drawn = scan.drawn_on(x, y, np.eye(2), np.random.default_rng(1), 300).reshape(300, -1)
    nodes = lattice_points(x, y)
    # The largest of 45 standard errors of a mean and of a deviation from 300: over 4.2 once in a thousand surveys.
    sd = np.sqrt(exact.variance(nodes))
    assert np.abs((drawn.mean(axis=0) - exact.height(nodes)) / sd).max() < 4.2 / math.sqrt(300)
    assert np.abs(drawn.std(axis=0) / sd - 1).max() < 4.2 / math.sqrt(600)


@pytest.mark.parametrize(("turn", "frame"), [
    ([[0, 1], [-1, 0]], [[1, 0], [0, 1]]), ([[-1, 0], [0, 1]], [[0.8, -0.6], [0.6, 0.8]]),
    ([[0, 1], [1, 0]], [[0.6, -0.8], [0.8, 0.6]]),
])  # fmt: skip
def test_a_scan_turned_or_mirrored_draws_the_same_surfaces(turn, frame):
    """The draws go with the survey, whichever way it lies."""
    turn, frame = np.array(turn, dtype=float), np.array(frame, dtype=float)
    xyz, known = _survey(600), Covariance(0.006**2, 3.0, 0.001**2)
    xyz[:, :2] -= xyz[:, :2].mean(axis=0)
    turned = np.column_stack([xyz[:, :2] @ turn.T, xyz[:, 2]])
    x, y = np.linspace(-8, 8, 7), np.linspace(-6, 6, 5)
    here = ScanSurface.of(xyz, known).drawn_on(x, y, frame, np.random.default_rng(0), 2)
    there = ScanSurface.of(turned, known)
    places = lattice_points(x, y) @ turn.T
    across, up = np.unique(places[:, 0].round(9)), np.unique(places[:, 1].round(9))
    drawn = there.drawn_on(across, up, turn @ frame, np.random.default_rng(0), 2)
    col, row = np.searchsorted(across, places[:, 0] - 1e-6), np.searchsorted(up, places[:, 1] - 1e-6)
    assert drawn[:, row, col].reshape(2, len(y), len(x)) == pytest.approx(here, abs=1e-4)


def test_joint_doubts_of_a_scan_are_a_bound():
    """Of any mean of places, what part of the shots leave is at least what all leave."""
    xyz, at = _survey(2_900), spread(40, SIZE, 2)
    known = Covariance(0.006**2, 3.0, 0.001**2)
    more = ScanSurface.of(xyz, known).joint(at) - ExactSurface.of(xyz, known).joint(at)
    assert np.linalg.eigvalsh(more).min() > -1e-12


@pytest.mark.parametrize(("count", "reach"), [(300, 2.0), (300, 0.7), (1_000, 2.0), (3_000, 2.0)])
def test_a_grid_is_within_a_twentieth_of_a_millimetre(count, reach):
    """Heights and uncertainties on 120,000 nodes of a court, shots with 0.7 mm of noise, also of a short reach."""
    surface = Surface.through(_survey(count), Covariance(0.006**2, reach, 0.0007**2))
    x, y = np.linspace(0, SIZE[0], 490), np.linspace(0, SIZE[1], 245)
    height, sd = surface.both_on(x, y)
    some = np.random.default_rng(0).choice(height.size, 2000, replace=False)
    at = lattice_points(x, y)[some]
    assert height.ravel()[some] == pytest.approx(surface.height(at), abs=5e-5)
    assert sd.ravel()[some] == pytest.approx(np.sqrt(surface.variance(at)), abs=5e-5)


# --- a scan of four courts ------------------------------------------------------------------------

FOUR_COURTS = (72.0, 36.0)
DIPS = ((7.3, 10.2, 0.8), (12.1, 26.4, 1.0), (25.7, 7.9, 0.8), (29.3, 28.8, 0.8), (43.2, 11.5, 1.0), (62.6, 25.1, 0.8))
DEEP = 0.005


def _courts(x, y, dips=DIPS):
    """Four courts of a gentle fall, with dips 5 mm deep. [m]"""
    height = 0.0015 * x + 0.001 * y + 0.003 * np.sin(x / 9)
    for left, low, wide in dips:
        away = np.minimum(np.hypot(x - left, y - low) / (wide / 2), 1.0)
        height = height - DEEP * np.cos(np.pi * away / 2) ** 2
    return height


@functools.cache
def _scanned() -> PadReading:
    """Return the reading of a scan in 40,000 blocks, each with 0.3 mm of noise and its middle off by some cm."""
    random = np.random.default_rng(3)
    x, y = np.meshgrid(np.arange(0.13, FOUR_COURTS[0], 0.255), np.arange(0.13, FOUR_COURTS[1], 0.255))
    places = np.column_stack([x.ravel(), y.ravel()]) + random.uniform(-0.04, 0.04, (x.size, 2))
    xyz = np.column_stack([places, _courts(*places.T) + random.normal(0, 0.0003, len(places))])
    return read_pad(Pad("p", box(0, 0, *FOUR_COURTS), shots=Shots(xyz, (), "scan.las")))


@pytest.mark.parametrize("dip", DIPS)
def test_narrow_dips_of_a_scan_are_low_spots(dip):
    """Each of the dips is found, with 45 to 115 % of the depth of water that the true surface holds there.

    On a fall of g, a dip of width w holds about 5 mm less g · w / 2: 4 to 4.5 mm. A block stands each quarter of a
    metre, so that few stand near the bottom of the narrowest.
    """
    left, low, wide = dip
    (spot,) = [spot for spot in _scanned().low_spots if spot.outline.distance(Point(left, low)) < wide / 2]
    x, y = np.meshgrid(*(np.arange(at - wide, at + wide, 0.01) for at in (left, low)))
    truth = _courts(x, y)
    held = float((filled(truth).level - truth).max())
    assert 0.45 * held < spot.depth_max < 1.15 * held
    assert spot.likelihood is not None
    assert spot.likelihood > (0.5 if wide == 1.0 else 0.1)


def test_only_the_dips_of_a_scan_are_low_spots_and_every_block_counts():
    """The six dips and nothing else is found, from every one of the blocks."""
    reading = _scanned()
    assert len(reading.low_spots) == len(DIPS)
    assert reading.heights is not None
    assert reading.heights.shots == 282 * 141
    assert reading.notes == ()


@pytest.mark.parametrize(("left", "low"), [(7.3, 10.2), (12.1, 5.4), (29.3, 8.8)])
def test_dips_of_two_feet_show_where_blocks_are_half_a_foot(left, low):
    """On one court, 29,000 blocks stand closely enough for dips 0.6 m wide: the bottom is met within 1.5 mm of 5."""
    surface = _one_court()
    x, y = (at + np.arange(-0.1, 0.11, 0.02) for at in (left, low))
    truth = _courts(*np.meshgrid(x, y), dips=NARROW)
    assert surface.height_on(x, y).min() == pytest.approx(truth.min(), abs=0.0015)


NARROW = ((7.3, 10.2, 0.6), (12.1, 5.4, 0.6), (29.3, 8.8, 0.6))


@functools.cache
def _one_court() -> Surface:
    random = np.random.default_rng(4)
    x, y = np.meshgrid(np.arange(0.06, SIZE[0], 0.15), np.arange(0.06, SIZE[1], 0.15))
    places = np.column_stack([x.ravel(), y.ravel()]) + random.uniform(-0.02, 0.02, (x.size, 2))
    height = _courts(*places.T, dips=NARROW) + random.normal(0, 0.0003, len(places))
    return Surface.near(np.column_stack([places, height]))


# --- shots of no ground ---------------------------------------------------------------------------


def test_stray_shots_of_a_scan_are_left_out_and_counted():
    """One shot in 50 stands a metre high: all of them are left out, and no other."""
    there = pad(size=SIZE, shots=shots(_rolling, spread(20_000, SIZE), 0.001))
    there.shots.xyz[::50, 2] += 1.0
    kept, notes = usable_shots(there)
    assert [(note.id, note.values["count"]) for note in notes] == [("ground.shots-stray", 400)]
    assert np.abs(kept[:, 2] - _rolling(*kept[:, :2].T)).max() < 0.01
    assert len(kept) == 19_600


def test_a_scan_beyond_what_can_be_solved_is_thinned_and_says_so():
    """Of 70,000 shots at most 60,000 are kept, spread over all."""
    there = pad(size=SIZE, shots=shots(_rolling, spread(70_000, SIZE), 0.001))
    kept, notes = usable_shots(there)
    assert 20_000 < len(kept) <= 60_000
    assert [note.id for note in notes] == ["ground.shots-thinned"]


def test_a_plane_of_many_shots_is_kept():
    """5,000 shots on a plane give that plane."""
    places = spread(5_000, SIZE)
    found, _ = heights(pad(size=SIZE, shots=shots(lambda x, y: 30 + 0.01 * x - 0.02 * y, places)))
    assert found is not None
    at = spread(100, SIZE, 3)
    assert found.surface.height(at) == pytest.approx(30 + 0.01 * at[:, 0] - 0.02 * at[:, 1], abs=1e-5)


def test_thinned_places_stand_evenly():
    """Each square of the pad keeps one."""
    places = spread(5_000, SIZE)
    kept = thinned_places(places, 500)
    assert 350 < len(kept) <= 500
    assert len(np.unique(kept)) == len(kept)
