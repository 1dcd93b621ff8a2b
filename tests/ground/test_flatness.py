"""The largest gap under a straightedge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from courtwright.ground import flatness
from courtwright.ground.flatness import COUNTS, DIRECTIONS, directions, largest_gaps, worst_place
from courtwright.trade.load import tolerances

from .oracles import straightedge_gap

FOOT, INCH = 0.3048, 0.0254
RASTERS = arrays(np.float64, array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=12), elements=st.floats(0, 0.02))


def _sinusoid(wavelength: float, cell: float) -> np.ndarray:
    x = np.arange(0, 2 * wavelength + cell / 2, cell)
    return np.tile(0.125 * INCH * np.cos(2 * math.pi * x / wavelength), (3, 1))


def _lines(height: np.ndarray, direction: tuple[int, int]) -> list[np.ndarray]:
    """Every run of nodes with heights along a direction."""
    found = []
    down, across = direction
    for row, col in np.ndindex(height.shape):
        r, c = row - down, col - across
        if 0 <= r < height.shape[0] and 0 <= c < height.shape[1] and not np.isnan(height[r, c]):
            continue
        run = []
        r, c = row, col
        while 0 <= r < height.shape[0] and 0 <= c < height.shape[1] and not np.isnan(height[r, c]):
            run.append(height[r, c])
            r, c = r + down, c + across
        found.append(np.array(run))
    return [run for run in found if len(run)]


def _brute(height: np.ndarray, cell: float, length: float, laid: tuple[tuple[int, int], ...] = DIRECTIONS) -> float:
    return max(
        (straightedge_gap(run, cell * math.hypot(*d), length) for d in laid for run in _lines(height, d)
         if math.floor(length / (cell * math.hypot(*d)) + 1e-9) >= 2),
        default=0.0,
    )  # fmt: skip


# --- published -----------------------------------------------------------------------------------


@pytest.mark.reference("straightedge-closed-forms")
@pytest.mark.parametrize(("wavelength", "gap"), [(10, 0.2500), (20, 0.1250), (40, 0.03661)])
@pytest.mark.parametrize("nodes", [12, 60])
def test_a_ripple_has_the_gap_of_the_closed_form(wavelength, gap, nodes):
    """An 1/8 in ripple under a 10 ft straightedge: A (1 − cos(π L / λ)), whatever the spacing of nodes."""
    cell = 10 * FOOT / nodes
    found = largest_gaps(_sinusoid(wavelength * FOOT, cell), cell, 10 * FOOT)
    assert found.greatest / INCH == pytest.approx(gap, abs=5e-5)
    assert found.direction == (0, 1)


@pytest.mark.reference("straightedge-closed-forms")
def test_the_sagitta_of_a_wide_dip():
    """A dip of radius 1200.005 ft is 1/8 in deep under a 10 ft chord."""
    cell = 10 * FOOT / 40
    x = (np.arange(41) - 20) * cell
    dip = 1200.005 * FOOT - np.sqrt((1200.005 * FOOT) ** 2 - x**2)
    assert largest_gaps(np.tile(dip, (2, 1)), cell, 10 * FOOT).greatest / INCH == pytest.approx(0.125, abs=1e-6)


def test_the_tolerance_is_an_eighth_of_an_inch_in_ten_feet():
    """The straightedge and its gap are those that the trade's data names."""
    assert tolerances().straightedge == pytest.approx(10 * FOOT)
    assert tolerances().straightedge_gap == pytest.approx(INCH / 8)


# --- laws ----------------------------------------------------------------------------------------


@given(
    RASTERS, st.sampled_from([1.0, 1.5, 2.0, 2.3, 3.0, 4.0]), st.sets(st.tuples(st.integers(0, 11), st.integers(0, 11)))
)
def test_the_gap_is_that_of_brute_force(height, length, holes):
    """Every window of every line with its own upper hull gives the same gap, holes in the raster included."""
    for row, col in holes:
        if row < height.shape[0] and col < height.shape[1]:
            height[row, col] = np.nan
    found = largest_gaps(height, 0.5, length)
    brute = _brute(height, 0.5, length)
    assert (found.greatest if found else 0.0) == pytest.approx(brute, abs=1e-12)


@pytest.mark.parametrize("count", COUNTS)
def test_directions_are_as_many_as_were_asked_for(count):
    """Each line of nodes once, and all that fewer have."""
    laid = directions(count)
    assert len(laid) == len({frozenset(((down, across), (-down, -across))) for down, across in laid}) == count
    assert all(math.gcd(*direction) == 1 for direction in laid)
    assert set(directions(16)) == set(DIRECTIONS)
    assert set(directions(COUNTS[max(0, COUNTS.index(count) - 1)])) <= set(laid)


@given(RASTERS, st.floats(0.5, 8), st.sampled_from(COUNTS))
def test_the_gap_is_that_of_brute_force_in_any_directions(height, length, count):
    """More directions find no less."""
    laid = directions(count)
    found = largest_gaps(height, 0.5, length, laid)
    assert (found.greatest if found else 0.0) == pytest.approx(_brute(height, 0.5, length, laid), abs=1e-12)
    most = largest_gaps(height, 0.5, length, directions(COUNTS[-1]))
    assert (most.greatest if most else 0.0) >= (found.greatest if found else 0.0)


@given(RASTERS, st.floats(-0.05, 0.05), st.floats(-0.05, 0.05))
def test_adding_a_plane_changes_no_gap(height, along, across):
    """A straightedge does not know how the pad falls."""
    plane = along * np.arange(height.shape[0])[:, None] + across * np.arange(height.shape[1])[None, :]
    here, there = largest_gaps(height, 0.5, 2.0), largest_gaps(height + plane, 0.5, 2.0)
    assert (here is None) == (there is None)
    if here:
        assert there.gap == pytest.approx(here.gap, abs=1e-12)


@given(RASTERS)
def test_turning_or_mirroring_changes_no_gap(height):
    """The sixteen directions are the same ones after a quarter turn and in a mirror."""
    here = largest_gaps(height, 0.5, 2.0)
    for other in (np.rot90(height), height[:, ::-1], height.T):
        there = largest_gaps(np.ascontiguousarray(other), 0.5, 2.0)
        assert (there.greatest if there else None) == pytest.approx(here.greatest if here else None)


def test_directions_are_the_same_after_a_quarter_turn_and_in_a_mirror():
    """Each direction's quarter turn and mirror image is one of the sixteen, up to its sign; none stands twice."""
    every = {frozenset(((down, across), (-down, -across))) for down, across in DIRECTIONS}
    assert len(every) == len(DIRECTIONS) == 16
    for down, across in DIRECTIONS:
        assert frozenset(((across, -down), (-across, down))) in every
        assert frozenset(((down, -across), (-down, across))) in every


@pytest.mark.parametrize("nodes", [(1, 5), (0, 4), (1, 4)])
def test_a_straightedge_that_fits_no_whole_number_of_nodes_may_rest_at_either_end(nodes):
    """2.3 m on a line of 2.5 m: 4.6 spacings, so that it can lie on nodes 1 and 5 as well as on 0 and 4."""
    height = np.zeros((1, 6))
    height[0, list(nodes)] = 0.01
    assert largest_gaps(height, 0.5, 2.3).greatest == pytest.approx(0.01)


@given(RASTERS)
def test_a_longer_straightedge_finds_no_smaller_gap(height):
    """On a wide raster every place for a short straightedge lies under a longer one as well."""
    wide = np.pad(height, 8, mode="edge")
    short, long = largest_gaps(wide, 0.5, 2.0), largest_gaps(wide, 0.5, 3.0)
    assert long.greatest >= short.greatest - 1e-12
    assert (short.gap >= 0).all()


# --- refusals ------------------------------------------------------------------------------------


def test_an_overhanging_straightedge_finds_no_gap():
    """A raster shorter than the straightedge has no place for it."""
    dip = np.zeros((1, 5))
    dip[0, 2] = -0.01
    assert largest_gaps(dip, 0.5, 2.5) is None
    assert largest_gaps(dip, 0.5, 2.0).greatest == pytest.approx(0.01)


def test_nodes_too_wide_apart_show_no_gap():
    """With less than two spacings to a straightedge nothing lies between its ends."""
    assert largest_gaps(np.zeros((20, 20)), 2.0, 3.0) is None


def test_a_gap_is_not_seen_across_a_missing_corner():
    """Two humps on either side of a notch in the pad carry no straightedge between them."""
    height = np.zeros((1, 13))
    height[0, [4, 8]] = 0.01
    height[0, 6] = np.nan
    assert largest_gaps(height, 0.5, 3.0) is None


# --- fine rasters --------------------------------------------------------------------------------


@pytest.fixture
def compiled(monkeypatch):
    """Let compiled loops take rasters of any size."""
    monkeypatch.setattr(flatness, "COMPILED_FROM", 0)


@given(RASTERS, st.floats(1.0, 12.0), st.integers(0, 6))
def test_compiled_loops_find_the_gap_that_every_chord_finds(height, length, holes):
    """Hull edges alone give the largest gap of all chords; runs that are cut by missing cells included."""
    height = height.copy()
    height.flat[np.random.default_rng(holes).integers(0, height.size, holes)] = np.nan
    before = flatness.COMPILED_FROM
    try:
        flatness.COMPILED_FROM = 0
        ours = worst_place(height, 1.0, length) if np.isfinite(height).any() else None
    finally:
        flatness.COMPILED_FROM = before
    theirs = largest_gaps(height, 1.0, length)
    assert (ours.gap if ours else 0.0) == pytest.approx(theirs.greatest if theirs else 0.0, abs=1e-12)
    if ours:
        assert np.isfinite(height[ours.at])


@pytest.mark.reference("straightedge-closed-forms")
@pytest.mark.parametrize(("wavelength", "gap"), [(10, 0.2500), (20, 0.1250), (40, 0.03661)])
def test_a_fine_ripple_has_the_gap_of_the_closed_form(compiled, wavelength, gap):
    """A (1 − cos(π L / λ)) on nodes a hundredth of the straightedge apart, on a plane of 1 %."""
    cell = 10 * FOOT / 100
    ripple = _sinusoid(wavelength * FOOT, cell)
    worst = worst_place(ripple + 0.01 * cell * np.arange(ripple.shape[1]), cell, 10 * FOOT)
    assert worst.gap == pytest.approx(gap * INCH, rel=2e-3)


def test_a_step_has_no_gap_but_what_leans_on_it(compiled):
    """It rests on the upper edge and on the far end below: a gap of the whole step, less a node's share."""
    step, nodes = 0.01, 40
    height = np.zeros((3, 161))
    height[:, 80:] = step
    worst = worst_place(height, 0.05, nodes * 0.05)
    # From the step's upper edge down over all other nodes: the gap is largest at the step's foot.
    assert worst.gap == pytest.approx(step * (nodes - 1) / nodes)
    assert worst.at[1] == 79


@pytest.mark.parametrize("is_hollow", [True, False])
def test_a_cone_has_the_gap_of_its_closed_form(compiled, is_hollow):
    """A hollow cone of slope s has s L / 2 under a straightedge across its middle; one that stands up has none."""
    slope, cell, half = 0.02, 0.02, 50
    y, x = np.mgrid[-100:101, -100:101] * cell
    cone = slope * np.hypot(x, y)
    worst = worst_place(cone if is_hollow else -cone, cell, 2 * half * cell)
    if is_hollow:
        assert worst.gap == pytest.approx(slope * half * cell)
        assert worst.at == (100, 100)
    else:
        assert worst is None or worst.gap < 1e-12


def test_a_fine_court_is_laid_over_as_brute_force_does(compiled):
    """A court of 10 cm cells with undulations: hull by hull, in every window, in sixteen directions."""
    random = np.random.default_rng(5)
    height = random.normal(0, 0.001, (60, 40)).cumsum(0).cumsum(1) * 0.05
    assert worst_place(height, 0.1, 10 * FOOT).gap == pytest.approx(_brute(height, 0.1, 10 * FOOT), abs=1e-9)
