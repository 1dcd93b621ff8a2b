"""Heights between the shots."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pykrige.uk import UniversalKriging
from shapely import Polygon, box

from courtwright.ground.covariance import Covariance
from courtwright.ground.heights import Surface, heights, lattice, lattice_points, usable_shots
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import tolerances

from .oracles import kriged
from .pads import MOTIONS, moved, pad, rows, shots, spread

SIZE = (36.0, 18.0)
KNOWN = Covariance(sill=0.006**2, reach=4.0, nugget=0.001**2)


def _rolling(x, y):
    return 0.009 * x + 0.006 * np.sin(x / 2.2) * np.cos(y / 3)


def _surveyed(count: int, noise: float = 0.001, seed: int = 0):
    return pad(size=SIZE, shots=shots(_rolling, spread(count, SIZE, seed), noise, seed))


# --- published -----------------------------------------------------------------------------------


@pytest.mark.reference("pykrige-universal")
def test_heights_and_variances_are_those_of_an_independent_library():
    """On shared parameters pykrige's universal kriging with a plane gives the same heights and variances."""
    xyz = _surveyed(60).shots.xyz
    at = spread(200, SIZE, seed=9)

    def variogram(parameters, distance):
        scaled = math.sqrt(3) * distance / parameters[1]
        return parameters[2] + parameters[0] * (1 - (1 + scaled) * np.exp(-scaled))

    # A height's scale of millimetres is below pykrige's tolerances, so it is given millimetres.
    peer = UniversalKriging(
        xyz[:, 0], xyz[:, 1], xyz[:, 2] * 1000, variogram_model="custom", variogram_function=variogram,
        variogram_parameters=[36.0, 4.0, 1.0], drift_terms=["regional_linear"], exact_values=False,
    )  # fmt: skip
    height, variance = peer.execute("points", at[:, 0], at[:, 1])
    ours = Surface.through(xyz, KNOWN)
    assert ours.height(at) * 1000 == pytest.approx(np.asarray(height), abs=1e-6)
    # pykrige's variance is that of another shot, nugget included; ours that of the surface.
    assert ours.variance(at) * 1e6 + 1.0 == pytest.approx(np.asarray(variance), abs=1e-6)


def test_heights_and_variances_are_those_of_the_bordered_equations():
    """The solve by parts gives what the system of kriging equations gives at once."""
    xyz, at = _surveyed(80).shots.xyz, spread(100, SIZE, seed=3)
    height, variance = kriged(xyz, at, KNOWN.sill, KNOWN.reach, KNOWN.nugget)
    ours = Surface.through(xyz, KNOWN)
    assert ours.height(at) == pytest.approx(height, abs=1e-10)
    assert ours.variance(at) == pytest.approx(variance, abs=1e-12)
    assert ours.joint(at).diagonal() == pytest.approx(variance, abs=1e-12)


# --- laws ----------------------------------------------------------------------------------------


@given(
    a=st.floats(-50, 50), b=st.floats(-0.05, 0.05), c=st.floats(-0.05, 0.05),
    count=st.integers(3, 40), seed=st.integers(0, 99),
)  # fmt: skip
def test_a_plane_is_kept(a, b, c, count, seed):
    """Shots on a plane give that plane, at the shots and beyond them."""
    there = pad(size=(9.0, 6.0), shots=shots(lambda x, y: a + b * x + c * y, spread(count, (9.0, 6.0), seed)))
    found, _ = heights(there)
    assert found is not None
    x = found.grid.x0 + found.grid.cell * np.arange(found.grid.height.shape[1])
    y = found.grid.y0 + found.grid.cell * np.arange(found.grid.height.shape[0])
    assert found.grid.height == pytest.approx(a + b * x[None, :] + c * y[:, None], abs=1e-6)


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_surface(motion):
    """A survey moved, turned by 90° or mirrored has the same covariance, heights and uncertainties."""
    here, _ = heights(_surveyed(90))
    there, _ = heights(moved(_surveyed(90), motion))
    assert there.surface.covariance == here.surface.covariance
    assert np.sort(there.grid.height, axis=None) == pytest.approx(np.sort(here.grid.height, axis=None), abs=1e-9)
    assert np.sort(there.grid.sd, axis=None) == pytest.approx(np.sort(here.grid.sd, axis=None), abs=1e-8)


@pytest.mark.parametrize(
    ("count", "noise", "sd_within"), [(5, 0.001, 1e-4), (60, 0.001, 1e-4), (250, 0.001, 1e-4), (250, 0.0, 3e-4)]
)
def test_the_grid_is_within_a_tenth_of_a_millimetre_of_the_exact_surface(count, noise, sd_within):
    """Interpolating costs under 0.1 mm of height and of uncertainty; of shots without noise, 0.3 mm of the latter."""
    found, _ = heights(_surveyed(count, noise))
    rows_, cols = found.grid.height.shape
    nodes = lattice_points(
        found.grid.x0 + found.grid.cell * np.arange(cols), found.grid.y0 + found.grid.cell * np.arange(rows_)
    )
    some = np.random.default_rng(0).choice(len(nodes), 500, replace=False)
    assert found.surface.height(nodes[some]) == pytest.approx(found.grid.height.ravel()[some], abs=1e-4)
    assert np.sqrt(found.surface.variance(nodes[some])) == pytest.approx(found.grid.sd.ravel()[some], abs=sd_within)


@given(count=st.integers(8, 40), extra=st.integers(1, 10), seed=st.integers(0, 99))
def test_more_shots_never_raise_the_doubt(count, extra, seed):
    """With the covariance known, a further shot narrows the uncertainty or leaves it."""
    xyz = _surveyed(count + extra, seed=seed).shots.xyz
    at = spread(50, SIZE, seed=seed + 1)
    fewer, more = (Surface.through(xyz[:n], KNOWN).variance(at) for n in (count, count + extra))
    assert (more <= fewer + 1e-12).all()


@pytest.mark.parametrize("count", [40, 120, 250])
def test_the_uncertainty_is_honest(count):
    """Heights that were not shot lie off the surface by about its standard uncertainty, not by far more or less."""
    off = []
    for seed in range(6):
        found, _ = heights(_surveyed(count, seed=seed))
        at = spread(400, SIZE, seed=100 + seed)
        off.append((found.surface.height(at) - _rolling(*at.T)) / np.sqrt(found.surface.variance(at)))
    assert 0.5 < np.sqrt(np.mean(np.square(off))) < 1.6


def test_the_noise_of_the_shots_is_found():
    """A survey read to 3 mm is not taken for one read to 1 mm."""
    coarse, _ = heights(_surveyed(250, noise=0.003))
    fine, _ = heights(_surveyed(250, noise=0.0005))
    assert math.sqrt(coarse.surface.covariance.nugget) == pytest.approx(0.003, rel=0.25)
    assert math.sqrt(fine.surface.covariance.nugget) < 0.001


def test_what_many_shots_show_together_is_the_surface():
    """Ground that rises and falls by 20 mm from shot to shot is rough: no shot is taken to err by more than 4 mm."""
    rough, _ = heights(_surveyed(120, noise=0.02))
    # 4 times a usual shot, whose logarithm is rounded to 0.002.
    assert math.sqrt(rough.surface.covariance.nugget) <= 4 * tolerances().shot_sd * math.exp(0.002)


@pytest.mark.parametrize("seed", range(5))
def test_a_plain_survey_is_not_given_more_play(seed):
    """Shots that err by chance alone leave a true plane within half a millimetre."""
    there = pad(size=SIZE, shots=shots(lambda x, y: 0.009 * x, spread(120, SIZE, seed), 0.001, seed))
    found, _ = heights(there)
    at = spread(300, SIZE, seed=50 + seed)
    assert np.sqrt(np.mean((found.surface.height(at) - 0.009 * at[:, 0]) ** 2)) < 0.0005


def test_two_shots_that_contradict_each_other_do_not_loosen_the_surface():
    """No play lets a surface pass both of two shots a hand apart that differ by 20 mm, so it is not given."""
    xyz = _surveyed(120).shots.xyz
    wrong = xyz[60] + [0.05, 0.0, 0.02]
    plain, _ = heights(pad(size=SIZE, shots=Shots(xyz)))
    odd, _ = heights(pad(size=SIZE, shots=Shots(np.vstack([xyz, wrong]))))
    assert np.nanmedian(odd.grid.sd) < 3 * np.nanmedian(plain.grid.sd)


# --- shots that do not fit ------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
def test_what_the_others_say_of_a_shot_is_what_they_say_without_it(seed):
    """Error and deviation of each shot left out, in closed form and by leaving it out."""
    random = np.random.default_rng(seed)
    xyz = np.column_stack([random.random((25, 2)) * (12, 20), random.normal(0, 0.006, 25)])
    surface = Surface.through(xyz, Covariance(0.006**2, 3.0, 0.001**2))
    over, sd = surface.without_each()
    for i in range(len(xyz)):
        others = Surface.through(np.delete(xyz, i, axis=0), surface.covariance)
        at = xyz[i : i + 1, :2]
        assert over[i] == pytest.approx(xyz[i, 2] - others.height(at)[0], abs=1e-9)
        assert sd[i] == pytest.approx(math.sqrt(others.variance(at)[0] + surface.covariance.nugget), rel=1e-6)


def _levelled(seed: int, misread: float = 0.0) -> tuple[str, ...]:
    """Return what is noted of a court levelled every 2 m with 1 mm of noise, one rod misread."""
    random = np.random.default_rng(seed)
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(0.5, 18, 2.0), np.arange(0.5, 36, 2.0)))
    z = 0.01 * y + 0.004 * np.sin(x / 3) * np.cos(y / 4) + random.normal(0, 0.001, len(x))
    z[70] += misread
    names = tuple(f"p{i}" for i in range(len(x)))
    court = Pad("p", box(0, 0, 18.3, 36.6), shots=Shots(np.column_stack([x, y, z]), names, "court.csv"))
    _, notes = heights(court)
    return tuple(f"{note.id} {note.values['name']} {note.values['off'] * 1000:.0f}" for note in notes)


@pytest.mark.parametrize("misread", [-0.03, 0.03])
def test_a_misread_rod_is_named(misread):
    """30 mm off, one of 162: named alone, with which way and about how far."""
    (told,) = _levelled(1, misread)
    way, name, off = told.split()
    assert way == ("ground.shot-high" if misread > 0 else "ground.shot-low")
    assert name == "p70"
    assert abs(int(off) - 30) <= 4


def test_a_clean_survey_names_no_shot():
    """Ten surveys of 162 shots each: chance names one in a hundred surveys."""
    assert [told for seed in range(10) for told in _levelled(seed)] == []


def test_nodes_lie_symmetrically_in_the_bounding_box():
    """What is left over at one side of the grid is left over at the other."""
    nodes = lattice(3.0, 13.1, 0.254)
    assert nodes[0] - 3.0 == pytest.approx(13.1 - nodes[-1])
    assert np.diff(nodes) == pytest.approx(0.254)


def test_nodes_off_the_pad_have_no_height():
    """An L-shaped pad has heights on its nodes and none in the corner that is missing."""
    shape = Polygon([(0, 0), (36, 0), (36, 9), (18, 9), (18, 18), (0, 18)])
    found, _ = heights(replace(_surveyed(80), outline=shape))
    known = np.isfinite(found.grid.height)
    assert known.sum() * found.grid.cell**2 == pytest.approx(shape.area, rel=0.03)
    assert (np.isfinite(found.grid.sd) == known).all()


def test_a_survey_a_kilometre_wide_is_read():
    """A site of 638 points over a kilometre, metres of relief and its own outline gives a grid of bounded size."""
    size = (1000.0, 800.0)
    places = spread(638, size)
    there = pad(size=size, shots=shots(lambda x, y: 350 + 20 * np.sin(x / 150) + 0.02 * y, places, 0.02))
    found, _ = heights(there)
    assert found.grid.height.size <= 40_000
    at = places[:50]
    assert np.abs(found.surface.height(at) - there.shots.xyz[:50, 2]).max() < 0.3


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "places", [[], [(1, 1)], [(1, 1), (5, 5)], [(1, 1), (5, 5), (9, 9), (3, 3)]], ids=["none", "one", "two", "a line"]
)
def test_shots_that_tell_no_surface_give_none(places):
    """Fewer than three shots, or shots on one line, give no heights, and a note says why."""
    xyz = np.array([(*place, 0.1) for place in places], dtype=float).reshape(-1, 3)
    found, notes = heights(pad(shots=Shots(xyz)))
    assert found is None
    assert [note.id for note in notes] == ["ground.no-surface"]


def test_no_shots_give_no_note():
    """A pad that nobody shot has no heights, and there is nothing to say of its shots."""
    assert heights(pad()) == (None, ())


def test_two_shots_at_one_place_count_as_their_mean():
    """Shots at exactly one place are merged; the rest keep their order."""
    xyz = np.array([(5, 5, 1.0), (1, 1, 2.0), (5, 5, 3.0), (9, 2, 4.0)], dtype=float)
    kept, _ = usable_shots(pad(shots=Shots(xyz)))
    assert kept.tolist() == [[5, 5, 2.0], [1, 1, 2.0], [9, 2, 4.0]]


def test_shots_beside_the_pad_are_of_other_ground():
    """A shot on the lawn, two feet off the pad, is left out and the note counts it; one at the edge is kept."""
    xyz = np.array([(5, 5, 1.0), (1, 1, 1.0), (20.1, 2, 1.0), (20.6, 2, 0.7)])
    kept, notes = usable_shots(pad(shots=Shots(xyz, source="north.csv")))
    assert len(kept) == 3
    assert [(note.id, note.values["count"]) for note in notes] == [("ground.shots-off-pad", 1)]


def test_a_shot_without_a_number_is_left_out():
    """NaN never reaches the solve."""
    xyz = np.vstack([_surveyed(20).shots.xyz, [[3.0, 3.0, np.nan]]])
    found, _ = heights(pad(size=SIZE, shots=Shots(xyz)))
    assert found.grid.shots == 20
    assert np.isfinite(found.grid.height).all()


def test_rows_of_shots_do_not_fool_the_choice_of_those_that_estimate():
    """A survey in rows of exactly a stride's length is estimated from all over, not from one column."""
    there = pad(size=SIZE, shots=shots(_rolling, rows(SIZE, 0.9), 0.001))
    found, _ = heights(there)
    assert math.sqrt(found.surface.covariance.nugget) == pytest.approx(0.001, rel=0.4)
    # The waves have a standard deviation of 6 mm / 2; from one column they would have none.
    assert 0.0015 < math.sqrt(found.surface.covariance.sill) < 0.012
