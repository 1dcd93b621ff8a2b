"""The plane of least asphalt against a search over planes, the whole linear programme, and what must not change it."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from shapely import LineString, Point, Polygon, box

from courtwright.ground.heights import heights
from courtwright.ground.regrade import fixed
from courtwright.ground.regrade.folds import least_folded, strips_of
from courtwright.ground.regrade.nodes import ground_of
from courtwright.ground.regrade.plane import Contradiction, Fixed, Ground, LeastPlane, least_plane
from courtwright.ground.regrade.read import Asked, pad_regrade
from courtwright.site.record import Answer, Court, Mark, Pad, Shots

from .pads import FOOT, INCH, MOTIONS, moved, pad, rows, shots

LOW, HIGH, LEAST = 0.0083, 0.01, 0.038
SLOPES = [(0.0, 0.0), (0.001, 0.0), (0.0, -0.009), (0.012, 0.004), (-0.006, 0.0065), (0.02, 0.02)]
SEEDS = st.integers(0, 10_000)
TENNIS = {"tennis": (78 * FOOT, 36 * FOOT)}


def rough(slope: tuple[float, float], seed: int = 0, count: int = 14) -> Ground:
    """Return uneven ground, 36 by 18 m, on average falling against ``slope``."""
    chance = np.random.default_rng(seed)
    x, y = (axis.ravel() for axis in np.meshgrid(np.linspace(0, 18, count), np.linspace(0, 36, 2 * count)))
    phase = chance.uniform(0, 6, 4)
    waves = 0.008 * np.sin(x / 3 + phase[0]) * np.cos(y / 4 + phase[1]) + 0.01 * np.sin((x + y) / 9 + phase[2])
    z = 100 + slope[0] * x + slope[1] * y + waves + chance.normal(0, 0.002, len(x))
    return Ground(x, y, z, chance.uniform(0.5, 1.5, len(x)))


def mean(ground: Ground, gradient: tuple[float, float], level: float) -> float:
    above = level + gradient[0] * ground.x + gradient[1] * ground.y - ground.z
    return float(ground.area @ above / ground.area.sum())


def lowest(ground: Ground, gradient: tuple[float, float], least: float = LEAST) -> float:
    return float((ground.z - gradient[0] * ground.x - gradient[1] * ground.y).max()) + least


def of(ground: Ground, held: Fixed | None = None, low: float = LOW, high: float = HIGH) -> LeastPlane:
    found = least_plane(ground, LEAST, low, high, held)
    assert isinstance(found, LeastPlane)
    return found


def searched(ground: Ground, low: float, high: float) -> float:
    """Return the least mean thickness of all planes of a fine grid of slopes and directions."""
    turns, slopes = np.radians(np.arange(0, 360, 0.5)), np.linspace(low, high, 9)
    ways = ((s * math.cos(t), s * math.sin(t)) for s, t in itertools.product(slopes, turns))
    return min(mean(ground, way, lowest(ground, way)) for way in ways)


def points(*held: tuple[float, float, float, float]) -> Fixed:
    return Fixed(*np.array(held, dtype=float).reshape(-1, 4).T)


# --- one plane ----------------------------------------------------------------------------------


@pytest.mark.parametrize("slope", SLOPES)
def test_no_plane_of_a_fine_grid_needs_less_and_the_best_of_it_hardly_more(slope: tuple[float, float]):
    """720 directions by 9 slopes: the grid may miss by half a step, 18 m · 0.01 · 0.0044, and never wins."""
    ground = rough(slope)
    found = of(ground)
    ours = mean(ground, found.plane.gradient, found.plane.level)
    theirs = searched(ground, LOW, HIGH)
    assert ours <= theirs + 1e-9
    assert theirs - ours < 1e-3
    assert LOW - 1e-9 <= math.hypot(*found.plane.gradient) <= HIGH + 1e-9
    assert ground.above(found.plane).min() == pytest.approx(LEAST, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(SEEDS, st.sampled_from(SLOPES), st.floats(0.0, 2 * math.pi), st.floats(0.0, 1.0))
def test_no_other_plane_that_is_allowed_needs_less(seed: int, slope: tuple[float, float], turn: float, share: float):
    """Any direction, any slope of the window."""
    ground = rough(slope, seed)
    found = of(ground)
    size = LOW + share * (HIGH - LOW)
    other = (size * math.cos(turn), size * math.sin(turn))
    assert mean(ground, found.plane.gradient, found.plane.level) <= mean(ground, other, lowest(ground, other)) + 1e-9


def oracle(ground: Ground, boxes: list[tuple[float | None, float | None]]) -> np.ndarray:
    """Return level and gradient of the whole linear programme, every place a row, the gradient in a box."""
    matrix = -np.column_stack([np.ones(len(ground.x)), ground.x, ground.y])
    goal = -(ground.area @ matrix) / ground.area.sum()
    return linprog(goal, matrix, -ground.z - LEAST, bounds=[(None, None), *boxes], method="highs").x


@pytest.mark.parametrize("seed", range(5))
def test_it_is_the_whole_linear_programme_where_no_slope_binds(seed: int):
    """Any slope allowed: the same plane as HiGHS finds from all rows."""
    ground = rough((0.004, -0.003), seed)
    found = of(ground, low=0.0, high=0.5)
    theirs = oracle(ground, [(-0.5, 0.5)] * 2)
    assert mean(ground, found.plane.gradient, found.plane.level) == pytest.approx(mean(ground, theirs[1:], theirs[0]))
    assert [found.plane.level, *found.plane.gradient] == pytest.approx(list(theirs), abs=1e-6)


@pytest.mark.parametrize("slope", SLOPES)
def test_very_many_places_are_asked_in_two_goes(slope: tuple[float, float]):
    """Of over 60,000: no plane of the window all around and beside it needs less."""
    ground = rough(slope, count=180)
    assert len(ground.x) > 60_000
    found = of(ground)
    steps = [mean(ground, way, lowest(ground, way)) for way in around(found.plane.gradient)]
    assert mean(ground, found.plane.gradient, found.plane.level) <= min(steps) + 1e-9
    assert ground.above(found.plane).min() == pytest.approx(LEAST, abs=1e-9)


def around(gradient: tuple[float, float]) -> list[tuple[float, float]]:
    """Return gradients of the window all around and beside one."""
    size, turn = math.hypot(*gradient), math.atan2(gradient[1], gradient[0])
    turns = [turn + step for step in (*np.radians(np.arange(0, 360, 10.0)), 1e-4, -1e-4, 0.01, -0.01)]
    return [(s * math.cos(t), s * math.sin(t)) for s in {size, LOW, HIGH} for t in turns]


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.floats(-5, 5))
def test_lifted_ground_lifts_the_plane(seed: int, lift: float):
    """The same gradient, the level by as much."""
    ground = rough((0.003, 0.009), seed)
    higher = of(replace(ground, z=ground.z + lift)).plane
    assert higher.gradient == pytest.approx(of(ground).plane.gradient, abs=1e-7)
    assert higher.level == pytest.approx(of(ground).plane.level + lift, abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.floats(-0.003, 0.003), st.floats(-0.003, 0.003))
def test_tilted_ground_tilts_the_plane_where_no_slope_binds(seed: int, b: float, c: float):
    """A plane added to all heights is added to the answer, and takes no more asphalt."""
    ground = rough((0.003, 0.009), seed)
    tilted = of(replace(ground, z=ground.z + b * ground.x + c * ground.y), low=0.0, high=0.5).plane
    level = of(ground, low=0.0, high=0.5).plane
    assert mean(ground, level.gradient, level.level) == pytest.approx(
        mean(ground, (tilted.gradient[0] - b, tilted.gradient[1] - c), tilted.level), abs=1e-8
    )


def test_a_true_plane_is_covered_evenly():
    """In the window it keeps its gradient, and the thickness is the least everywhere."""
    x, y = rows((18.0, 36.0), 1.0).T
    found = of(Ground(x, y, 30 - 0.009 * x + 0.001 * y, np.ones(len(x))))
    assert found.plane.gradient == pytest.approx((-0.009, 0.001), abs=1e-8)
    assert found.plane.level == pytest.approx(30 + LEAST, abs=1e-7)


def test_level_ground_falls_the_short_way():
    """By exact arithmetic: the least mean is half the width by the slope, with the fall along the shorter side."""
    x, y = rows((18.0, 36.0), 1.0).T
    ground = Ground(x, y, np.zeros(len(x)), np.ones(len(x)))
    found = of(ground)
    assert abs(found.plane.gradient[0]) == pytest.approx(LOW)
    assert mean(ground, found.plane.gradient, found.plane.level) == pytest.approx(LEAST + 9 * LOW)


# --- what is fixed ------------------------------------------------------------------------------


def test_a_threshold_is_met_and_the_rest_is_milled_no_deeper_than_needed():
    """A true plane, its own height at the gate: at the gate it is milled by the least thickness, but for the lip."""
    x, y = rows((18.0, 36.0), 1.0).T
    ground = Ground(x, y, 30 - 0.009 * x, np.ones(len(x)))
    gate = points((0.0, 10.0, 30.0 - 0.006, 30.0 + 0.006))
    found = of(ground, gate)
    assert found.milled == pytest.approx(LEAST - 0.006, abs=2e-5)
    assert float(found.plane.at(np.zeros(1), np.array([10.0]))[0]) <= 30.006 + 1e-5


@settings(max_examples=25, deadline=None)
@given(SEEDS, st.floats(0, 18), st.floats(0, 36), st.floats(0.0, 0.1), st.floats(0, 2 * math.pi))
def test_no_other_plane_meets_a_point_with_less_milling(seed: int, x: float, y: float, up: float, turn: float):
    """Every direction through the same point."""
    ground = rough((0.003, 0.009), seed)
    height = float(ground.z.mean()) + up
    found = of(ground, points((x, y, height, height)))
    assert float(found.plane.at(np.array([x]), np.array([y]))[0]) == pytest.approx(height, abs=1e-5)
    for size in (LOW, HIGH):
        other = (size * math.cos(turn), size * math.sin(turn))
        level = height - other[0] * x - other[1] * y
        assert found.milled <= max(0.0, lowest(ground, other) - level) + 1e-5
    assert (LEAST - ground.above(found.plane)).max() <= found.milled + 1e-5


def test_a_roof_that_leaves_room_changes_nothing_and_a_floor_lifts():
    """A wall of a metre; a threshold half a metre up."""
    ground = rough((0.003, 0.009))
    free = of(ground)
    assert of(ground, points((0, 0, -np.inf, 102.0))) == free
    lifted = of(ground, points((9, 18, float(free.plane.at(np.array([9.0]), np.array([18.0]))[0]) + 0.5, np.inf)))
    assert mean(ground, lifted.plane.gradient, lifted.plane.level) > mean(ground, free.plane.gradient, free.plane.level)


def test_points_that_no_plane_meets_are_told_with_their_miss():
    """One point at two heights is missed by half their difference; a metre of rise on ten by far more than a hair."""
    ground = rough((0.003, 0.009))
    twice = least_plane(ground, LEAST, LOW, HIGH, points((3, 3, 100.2, 100.2), (3, 3, 100.1, 100.1)))
    assert isinstance(twice, Contradiction)
    assert twice.miss == pytest.approx(0.05)
    steep = least_plane(ground, LEAST, LOW, HIGH, points((3, 3, 100, 100), (13, 3, 101, 101)))
    assert isinstance(steep, Contradiction)
    assert steep.miss == pytest.approx((1 - 10 * HIGH) / 2)


def test_gates_drains_and_walls_hold_the_surface_unless_they_can_rise():
    """A gate and a drain are met, one that works or may work; a blocked and a far one are not; a wall is not topped."""
    xyz = shots(lambda x, y: 10 - 0.009 * x, rows((20.0, 10.0), 1.0))
    gate, works = Mark("g", "gate", Point(0, 5)), Mark("d", "drain", Point(20, 5), {"works": True})
    blocked, far = Mark("b", "drain", Point(10, 5), {"works": False}), Mark("f", "gate", Point(-3, 5))
    wall = Mark("w", "wall", LineString([(0, 10), (20, 10)]), {"height": 0.02})
    unknown = Mark("u", "drain", Point(10, 0))
    there = pad(gate, works, blocked, far, wall, unknown, shots=xyz)
    found, _ = heights(there)
    assert found is not None
    held = fixed.held_by(there, found, (), 0.006)
    met = np.isfinite(held.fixed.low)
    assert sorted(held.fixed.x[met]) == [0, 10, 20]
    assert [n.id for n in held.notes] == ["regrade.gates-held"]
    assert (held.fixed.high - (10 - 0.009 * held.fixed.x))[~met] == pytest.approx(0.02, abs=1e-4)
    free = replace(there, answers=(Answer("edges_can_rise", True),), marks=(gate, works))
    assert len(fixed.held_by(free, found, (), 0.006).fixed.x) == 0


def test_a_height_of_another_datum_is_told():
    """A metre and more off the ground; within it nothing is said."""
    notes = [
        [note.id for note in pad_regrade(uneven(), Asked(points=(fixed.Point(5, 5, height),))).notes]
        for height in (30.05, 130.05)
    ]
    assert ["regrade.far-from-ground" in ids for ids in notes] == [False, True]


# --- a pad --------------------------------------------------------------------------------------


def uneven(size: tuple[float, float] = (20.0, 10.0)) -> Pad:
    def surface(x, y):
        return 30 - 0.004 * x + 0.006 * y + 0.006 * np.sin(x / 2) * np.cos(y / 3)

    return pad(shots=shots(surface, rows(size, 1.0)), size=size)


@pytest.mark.parametrize("motion", MOTIONS)
def test_the_same_pad_in_another_frame_takes_the_same_asphalt(motion: str):
    """Moved, turned, mirrored."""
    here, there = (pad_regrade(p, Asked()).surface for p in (uneven(), moved(uneven(), motion)))
    assert here is not None
    assert there is not None
    assert there.volume == pytest.approx(here.volume, rel=2e-3)
    assert there.parts[0].slope == pytest.approx(here.parts[0].slope, abs=1e-5)


def test_the_parts_of_an_area_add_up_to_it_whatever_its_shape():
    """Every node stands for its part; the edge for none."""
    there = replace(uneven(), outline=Polygon([(0, 0), (20, 0), (20, 4), (11.3, 10), (0, 10)]))
    found, _ = heights(there)
    assert found is not None
    ground = ground_of(found, there.outline)
    assert ground.area.sum() == pytest.approx(there.outline.area)
    assert (ground.area == 0).sum() > 100


def test_the_volume_of_a_wedge_is_exact():
    """Level ground under a plane of 1 %: least thickness by area, and half the rise: exact arithmetic."""
    level = pad(shots=Shots(np.column_stack([rows((20.0, 10.0), 1.0), np.full(231, 5.0)])))
    new = pad_regrade(level, Asked(slope_min=0.01)).surface
    assert new is not None
    assert new.volume == pytest.approx(200 * (LEAST + 0.01 * 10 / 2), rel=1e-6)
    assert new.thickness_min == pytest.approx(LEAST, abs=1e-8)
    assert new.thickness_max == pytest.approx(LEAST + 0.1, abs=1e-6)
    assert new.mass == pytest.approx(new.volume * 110 * 0.45359237 / 1000 / 0.9144**2 / INCH)


def test_stone_cooling_and_what_is_asked_set_the_least_thickness():
    """9.5 mm fine: 38 mm by cooling; 12.5 mm coarse: 50 mm; 20 mm asked is told to be thin."""
    assert [told(Asked()), told(Asked(stone=0.0125, grading="coarse"))] == pytest.approx([0.038, 0.05], abs=1e-8)
    thin = pad_regrade(uneven(), Asked(least=0.02))
    assert thin.surface is not None
    assert thin.surface.thickness_min == pytest.approx(0.02, abs=1e-8)
    assert "regrade.thin" in [note.id for note in thin.notes]


def told(asked: Asked) -> float:
    new = pad_regrade(uneven(), asked).surface
    assert new is not None
    return new.thickness_min


def test_stakes_stand_on_the_pad_and_say_what_lies_between():
    """Every 10 ft, at its corners too; fill is design less existing."""
    found = pad_regrade(uneven(), Asked())
    assert len(found.stakes) == 7 * 4
    assert len(found.corners) == 4
    for stake in (*found.stakes, *found.corners):
        assert box(-0.01, -0.01, 20.01, 10.01).contains(Point(stake.x, stake.y))
        assert stake.fill > LEAST - 1e-3
        assert stake.existing == pytest.approx(float(30 - 0.004 * stake.x + 0.006 * stake.y), abs=0.012)


def test_a_pad_without_heights_has_no_surface():
    """And says what would give it one."""
    found = pad_regrade(pad(), Asked())
    assert found.surface is None
    assert [note.id for note in found.notes] == ["regrade.no-heights"]


# --- folds between courts -----------------------------------------------------------------------


def battery(turned: float = 0.0) -> tuple[Court, ...]:
    return tuple(Court(str(i + 1), "tennis", ((30 + 48 * i) * FOOT, 60 * FOOT), turned) for i in range(3))


def test_folds_lie_midway_between_courts_and_never_on_one():
    """Three tennis courts side by side, 48 ft apart; end to end; one alone and two crossed have none."""
    strips = strips_of(battery(), TENNIS)
    assert strips is not None
    assert np.abs(strips.folds) == pytest.approx([54 * FOOT, 102 * FOOT])
    ends = (Court("a", "tennis", (0.0, 0.0)), Court("b", "tennis", (0.0, 40.0)))
    lengthwise = strips_of(ends, TENNIS)
    assert lengthwise is not None
    assert np.abs(lengthwise.folds) == pytest.approx([20.0])
    assert strips_of(ends[:1], TENNIS) is None
    assert strips_of((ends[0], replace(ends[1], turned=1.0)), TENNIS) is None


def ridge(x, y):
    """Return ground that falls both ways from between two courts, 0.9 %."""
    return 10 - 0.009 * np.abs(x - 54 * FOOT) + 0.0 * y


def test_ground_with_a_ridge_between_courts_keeps_it():
    """Two planes need no more than the least; one plane far more."""
    size = (108 * FOOT, 120 * FOOT)
    there = pad(shots=shots(ridge, rows(size, 3.0)), size=size, courts=battery()[:2])
    one, two, least = (pad_regrade(there, Asked(layout=layout)).surface for layout in ("one", "courts", "least"))
    assert one is not None
    assert two is not None
    assert least == two
    assert two.volume < 0.75 * one.volume
    assert [part.courts for part in two.parts] == [("1",), ("2",)]
    bearings = [math.degrees(part.bearing) for part in two.parts]
    assert bearings == pytest.approx([270, 90], abs=2)


@settings(max_examples=8, deadline=None)
@given(SEEDS)
def test_folded_planes_meet_the_window_and_need_no_more_than_one(seed: int):
    """Each in its window, over the least everywhere, meeting in their folds as a ridge."""
    ground = rough((0.003, 0.009), seed)
    courts = (Court("1", "t", (4.5, 18.0)), Court("2", "t", (13.5, 18.0)))
    strips = strips_of(courts, {"t": (20.0, 6.0)})
    assert strips is not None
    planes = least_folded(ground, strips, LEAST, LOW, HIGH, Fixed())
    assert planes is not None
    surface = np.min([plane.at(ground.x, ground.y) for plane in planes], axis=0)
    side = ground.x * strips.across[0] + ground.y * strips.across[1] < strips.folds[0]
    own = np.where(side, planes[0].at(ground.x, ground.y), planes[1].at(ground.x, ground.y))
    assert surface == pytest.approx(own, abs=1e-9)
    assert (surface - ground.z).min() == pytest.approx(LEAST, abs=1e-7)
    assert all(LOW - 1e-7 <= math.hypot(*plane.gradient) <= HIGH + 1e-7 for plane in planes)
    one = of(ground).plane
    folded = float(ground.area @ (surface - ground.z) / ground.area.sum())
    assert folded <= mean(ground, one.gradient, one.level) + 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_two_folded_planes_against_a_search(seed: int):
    """Slopes across by slope along, on a grid of planes: none needs less."""
    ground = rough((0.002, 0.001), seed, count=8)
    courts = (Court("1", "t", (4.5, 18.0)), Court("2", "t", (13.5, 18.0)))
    strips = strips_of(courts, {"t": (20.0, 6.0)})
    assert strips is not None
    planes = least_folded(ground, strips, LEAST, LOW, HIGH, Fixed())
    assert planes is not None
    terms, need = strips.terms(ground.x, ground.y), ground.z + LEAST
    steps, best = np.linspace(-HIGH, HIGH, 61), np.inf
    for along in steps:
        fits = steps[(np.hypot(steps, along) >= LOW) & (np.hypot(steps, along) <= HIGH)]
        for first, second in itertools.product(fits, fits):
            if second <= first:
                rest = terms[:, 1:] @ np.array([along, first, second])
                best = min(best, float(ground.area @ (rest - ground.z) / ground.area.sum() + (need - rest).max()))
    ours = np.min([plane.at(ground.x, ground.y) for plane in planes], axis=0) - ground.z
    assert float(ground.area @ ours / ground.area.sum()) <= best + 1e-6
