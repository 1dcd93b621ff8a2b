"""The plane of least asphalt, and planes that fold, against fine grids of planes over random pads."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from courtwright.ground.regrade.folds import Strips, least_folded
from courtwright.ground.regrade.plane import Contradiction, Fixed, Ground, LeastPlane, Plane, least_plane
from courtwright.ground.regrade.read import Asked, Surface, pad_regrade
from courtwright.site.record import Court, Pad

from .pads import MOTIONS, moved, pad, rows, shots

LEAST = 0.038
TURNS = np.radians(np.arange(0, 360, 0.25))
SEEDS = st.integers(0, 100_000)
#: Least and most slope; where they are equal the window is a circle and nothing of it is convex.
WINDOWS = [(0.0, 0.01), (0.0083, 0.01), (0.0083, 0.0083), (0.012, 0.02)]


@dataclass(frozen=True)
class Case:
    """Random places on a random rectangle, random heights to meet, and a window."""

    ground: Ground
    fixed: Fixed
    low: float
    high: float

    def ways(self) -> np.ndarray:
        """Return gradients all over the window, shape (n, 2)."""
        slopes = np.linspace(self.low, self.high, 9) if self.high > self.low else [self.low]
        return np.array([(s * math.cos(t), s * math.sin(t)) for s in slopes for t in TURNS])

    def bounds(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return, for each way: the level that covers the ground, the least and the most that meet what is fixed."""
        g, f, ways = self.ground, self.fixed, self.ways()
        need = (g.z[:, None] - np.outer(g.x, ways[:, 0]) - np.outer(g.y, ways[:, 1])).max(axis=0) + LEAST
        lean = np.outer(f.x, ways[:, 0]) + np.outer(f.y, ways[:, 1])
        floor = (f.low[:, None] - lean).max(axis=0, initial=-np.inf)
        return need, floor, (f.high[:, None] - lean).min(axis=0, initial=np.inf)


def case(seed: int, fixed: int) -> Case:
    chance = np.random.default_rng(seed)
    count, (wide, deep) = int(chance.integers(1, 40)), chance.uniform(0.5, 60, 2)
    x, y = chance.uniform(0, wide, count), chance.uniform(0, deep, count)
    fall = chance.normal(0, chance.choice([0, 0.003, 0.01, 0.05]), 2)
    z = 100 + fall[0] * x + fall[1] * y + chance.normal(0, chance.choice([0, 0.002, 0.02]), count)
    at_x, at_y = chance.uniform(0, wide, fixed), chance.uniform(0, deep, fixed)
    height = 100 + fall[0] * at_x + fall[1] * at_y + chance.normal(0, 0.02, fixed)
    lip, kind = chance.choice([0, 0.006, 0.05, 0.2], fixed), chance.integers(0, 4, fixed)
    held = Fixed(at_x, at_y, np.where(kind == 1, -np.inf, height - lip), np.where(kind == 2, np.inf, height + lip))
    return Case(Ground(x, y, z, chance.uniform(0.5, 1.5, count)), held, *WINDOWS[int(chance.integers(0, 4))])


def level_in_the_middle(ground: Ground, plane: Plane) -> float:
    return plane.level + float(np.array(plane.gradient) @ ground.middle)


@settings(max_examples=60, deadline=None)
@given(SEEDS, st.integers(0, 4))
def test_no_plane_of_a_grid_over_a_random_pad_meets_what_is_fixed_with_less(seed: int, fixed: int):
    """1,440 directions by 9 slopes: none needs less milling, and of those that need as little none lies lower."""
    there = case(seed, fixed)
    found = least_plane(there.ground, LEAST, there.low, there.high, there.fixed)
    assume(isinstance(found, LeastPlane))
    assert isinstance(found, LeastPlane)
    plane, held = found.plane, there.fixed
    assert there.low - 1e-7 <= math.hypot(*plane.gradient) <= there.high + 1e-7
    assert there.ground.above(plane).min() >= LEAST - found.milled - 1e-7
    assert (plane.at(held.x, held.y) >= held.low - 5e-6).all()
    assert (plane.at(held.x, held.y) <= held.high + 5e-6).all()
    need, floor, roof = there.bounds()
    milled = np.where(floor <= roof, np.maximum(need - roof, 0.0), np.inf)
    assert found.milled <= milled.min() + 5e-6
    level = np.maximum(need - found.milled, floor)
    level = np.where(level <= roof, level + there.ways() @ there.ground.middle, np.inf)
    assert level_in_the_middle(there.ground, plane) <= level.min() + 1e-5
    if not fixed:
        # Half a step of the grid, over the farthest place from the middle and back.
        step = math.hypot(there.high * math.radians(0.125), (there.high - there.low) / 16)
        size = 2 * math.hypot(*(np.ptp(axis) for axis in (there.ground.x, there.ground.y)))
        assert level.min() - level_in_the_middle(there.ground, plane) <= step * size + 1e-6


@settings(max_examples=40, deadline=None)
@given(SEEDS, st.integers(2, 5))
def test_a_contradiction_is_missed_by_what_the_best_of_a_grid_misses(seed: int, fixed: int):
    """No plane of the grid comes nearer to what is fixed, and the best of it comes nearly as near."""
    there = case(seed, fixed)
    found = least_plane(there.ground, LEAST, there.low, there.high, there.fixed)
    _, floor, roof = there.bounds()
    miss = float((floor - roof).min()) / 2
    if isinstance(found, LeastPlane):
        # Between its gradients the grid may miss what meets.
        return
    assert isinstance(found, Contradiction)
    step = math.hypot(there.high * math.radians(0.125), (there.high - there.low) / 16)
    size = math.hypot(np.ptp(there.fixed.x), np.ptp(there.fixed.y))
    assert -1e-9 <= miss - found.miss <= step * size + 1e-6


# --- folds --------------------------------------------------------------------------------------


def folding(seed: int, count: int) -> tuple[Ground, Strips]:
    """Return uneven ground over strips 18 m wide, in half of all cases with a ridge in the middle."""
    chance = np.random.default_rng(seed)
    places = int(chance.integers(5, 60))
    x, y = chance.uniform(0, 18 * count, places), chance.uniform(0, 36, places)
    fall = chance.normal(0, chance.choice([0, 0.003, 0.01]), 2)
    ridge = chance.choice([0.0, 0.009]) * np.abs(x - 9 * count)
    z = 100 + fall[0] * x + fall[1] * y - ridge + chance.normal(0, chance.choice([0, 0.002, 0.02]), places)
    strips = Strips(np.array([1.0, 0.0]), 18.0 * np.arange(1, count), tuple((str(strip),) for strip in range(count)))
    return Ground(x, y, z, chance.uniform(0.5, 1.5, places)), strips


def mean_of(ground: Ground, planes: tuple[Plane, ...]) -> float:
    """Return the mean height of the lowest of planes over a ground. [m]"""
    return float(ground.area @ np.min([plane.at(ground.x, ground.y) for plane in planes], axis=0) / ground.area.sum())


def searched(ground: Ground, strips: Strips, low: float, high: float) -> float:
    """Return the least mean height of a grid of folded planes: rises along the folds by rises across every strip."""
    terms, best = strips.terms(ground.x, ground.y)[:, 1:], np.inf
    for along in np.linspace(-high, high, 61):
        flat, steep = (math.sqrt(max(0.0, slope**2 - along**2)) for slope in (low, high))
        rises = np.linspace(flat, steep, 7)
        rises = np.unique(np.append(rises, -rises))
        ways = np.array([w for w in itertools.product(rises, repeat=len(strips.courts)) if sorted(w)[::-1] == list(w)])
        rest = terms @ np.column_stack([np.full(len(ways), along), ways]).T
        level = (ground.z[:, None] + LEAST - rest).max(axis=0)
        best = min(best, float((ground.area @ rest / ground.area.sum() + level).min()))
    return best


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.integers(2, 3), st.sampled_from(WINDOWS))
def test_no_folded_planes_of_a_grid_over_a_random_pad_need_less(seed: int, count: int, window: tuple[float, float]):
    """61 rises along the folds by up to 14 across each strip, ridges only: none wins by over a micrometre."""
    ground, strips = folding(seed, count)
    planes = least_folded(ground, strips, LEAST, *window, Fixed())
    assert planes is not None
    assert mean_of(ground, planes) <= searched(ground, strips, *window) + 2e-6
    sizes = [math.hypot(*plane.gradient) for plane in planes]
    assert window[0] - 1e-7 <= min(sizes) <= max(sizes) <= window[1] + 1e-7
    assert (np.min([plane.at(ground.x, ground.y) for plane in planes], axis=0) - ground.z).min() >= LEAST - 1e-7


@settings(max_examples=20, deadline=None)
@given(SEEDS, st.integers(2, 5), st.sampled_from(WINDOWS))
def test_folds_never_need_more_than_one_plane(seed: int, count: int, window: tuple[float, float]):
    """One plane is a folded one whose folds are nothing, in a window that is a circle too."""
    ground, strips = folding(seed, count)
    one, planes = least_plane(ground, LEAST, *window), least_folded(ground, strips, LEAST, *window, Fixed())
    assert isinstance(one, LeastPlane)
    assert planes is not None
    assert mean_of(ground, planes) <= mean_of(ground, (one.plane,)) + 2e-6


def surface(there: Pad, asked: Asked) -> Surface:
    found = pad_regrade(there, asked).surface
    assert found is not None
    return found


def two_courts(ridge: float) -> Pad:
    def height(x, y):
        return 30 - ridge * np.abs(x - 15) - 0.004 * x + 0.006 * y + 0.006 * np.sin(x / 2) * np.cos(y / 3)

    courts = (Court("1", "tennis", (7.0, 20.0)), Court("2", "tennis", (23.0, 20.0)))
    return pad(shots=shots(height, rows((30.0, 40.0), 2.0)), size=(30.0, 40.0), courts=courts)


@pytest.mark.parametrize("motion", MOTIONS)
@pytest.mark.parametrize("window", [(0.0083, 0.01), (0.012, 0.012)])
def test_folds_in_another_frame_take_the_same_asphalt(motion: str, window: tuple[float, float]):
    """Moved, turned, mirrored; in a narrow window too."""
    asked = Asked(layout="courts", slope_min=window[0], slope_max=window[1])
    here, there = (surface(p, asked) for p in (two_courts(0.004), moved(two_courts(0.004), motion)))
    assert there.volume == pytest.approx(here.volume, rel=1e-5)
    assert there.mass == pytest.approx(here.mass, rel=1e-5)


def test_folds_that_save_nothing_are_not_chosen():
    """Ground without a ridge in a narrow window: the least layout is one plane, of the same volume."""
    there = two_courts(0.0)
    folded, least = (
        surface(there, Asked(layout=layout, slope_min=0.012, slope_max=0.012)) for layout in ("courts", "least")
    )
    assert len(least.parts) == 1
    assert least.volume == pytest.approx(folded.volume, rel=1e-5)


def test_far_from_the_origin_folds_are_as_good():
    """Eastings and northings of a national grid cost no more than their digits."""
    ground, strips = folding(4, 3)
    far = replace(ground, x=ground.x + 5e5, y=ground.y + 4e6)
    shifted = replace(strips, folds=strips.folds + 5e5)
    here, there = (least_folded(*pair, LEAST, 0.0083, 0.01, Fixed()) for pair in ((ground, strips), (far, shifted)))
    assert here is not None
    assert there is not None
    assert mean_of(far, there) == pytest.approx(mean_of(ground, here), abs=3e-6)
