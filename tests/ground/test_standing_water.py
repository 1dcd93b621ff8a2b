"""Large rasters are filled by compiled loops: to the bit as the small ones are, by other means."""

from __future__ import annotations

import numpy as np
import pyflwdir
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from scipy import ndimage

from courtwright.ground import ponds as by
from courtwright.ground.filling import _with_an_outlet_each, filled
from courtwright.ground.kernels.water import pooled
from courtwright.ground.ponds import ponds, standing_water

from ..places import DATA
from .oracles import flooded

SHAPES = array_shapes(min_dims=2, max_dims=2, min_side=3, max_side=12)
#: Few levels, so that ties and plateaus are common; some cells without data.
STEPPED = arrays(np.float64, SHAPES, elements=st.sampled_from([*range(6), np.nan]))
#: All different, so that nothing is left to choose.
ROUGH = st.tuples(SHAPES, st.integers(0, 2**32 - 1)).map(lambda of: np.random.default_rng(of[1]).standard_normal(of[0]))


def _undulating(side: int) -> np.ndarray:
    """Return a court-like surface: a 1 % plane, undulations of some metres, 0.3 mm of grain, 2 cm cells. [m]"""
    random = np.random.default_rng(3)
    waves = ndimage.zoom(random.standard_normal((24, 24)), side / 24, order=3)[:side, :side] * 0.006
    return waves + 0.01 * 0.02 * np.arange(side) + random.normal(0, 0.0003, (side, side))


@given(STEPPED)
def test_compiled_loops_fill_to_the_same_bit(height):
    """Levels, ponds, depths and sums are those of the other way, ties and missing cells included."""
    water, found = filled(height), pooled(height)
    assert np.array_equal(water.level, found.level, equal_nan=True)
    others = ponds(height, water)
    order = np.lexsort((found.deepest[1:], -found.depth_max[1:])) + 1
    assert np.array_equal(found.cells[order], others.cells)
    assert np.array_equal(found.deepest[order], others.deepest)
    assert np.allclose(found.depth_sum[order], others.depth_sum)


@given(STEPPED, st.integers(0, 2**32 - 1))
def test_compiled_loops_know_dams_and_drains(height, seed):
    """Where water leaves at given levels only, they are those of a priority queue."""
    random = np.random.default_rng(seed)
    inside = np.isfinite(height)
    drains = np.where(
        inside & (random.random(height.shape) < 0.2), height + random.integers(0, 3, height.shape), np.inf
    )
    drains = _with_an_outlet_each(height, inside, drains)
    assert np.array_equal(pooled(height, drains).level, flooded(height, drains), equal_nan=True)


@given(ROUGH)
def test_every_pond_spills_into_what_lies_lower(height):
    """Each spills at a dry cell of its own level beside it; the pond below has a lower level; none is its own."""
    found = pooled(height)
    level = found.level.ravel()
    others = ponds(height, filled(height))
    order = np.lexsort((found.deepest[1:], -found.depth_max[1:])) + 1
    assert np.array_equal(found.spill[order], others.spill)
    for pond in range(1, len(found.cells)):
        assert level[found.spill[pond]] == level[found.deepest[pond]]
        below = found.down[pond]
        assert below != pond
        if below:
            assert level[found.deepest[below]] < level[found.deepest[pond]]
    assert set(np.unique(found.pond)) >= set(range(1, len(found.cells)))


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
def test_a_large_raster_is_filled_as_a_small_one(monkeypatch, dtype):
    """The same answer on both sides of the size from which compiled loops pay."""
    height = _undulating(240).astype(dtype)
    height[100:110, 30:60] = np.nan
    answers = []
    for pays in (1, height.size + 1):
        monkeypatch.setattr(by, "COMPILED_FROM", pays)
        monkeypatch.setattr(by, "LOADED_FROM", pays)
        answers.append(standing_water(height))
    (compiled, ours), (plain, theirs) = answers
    assert np.array_equal(compiled, plain, equal_nan=True)
    assert np.array_equal(ours.number, theirs.number)
    assert np.array_equal(ours.spill, theirs.spill)
    # Depths of 32-bit heights are taken in 64 bits by both.
    assert ours.depth == pytest.approx(theirs.depth, abs=1e-12)
    assert ours.depth_sum == pytest.approx(theirs.depth_sum)


@pytest.mark.reference("pyflwdir-fill")
@pytest.mark.parametrize("seed", range(3))
def test_levels_are_those_of_a_second_library(seed):
    """Levels on random fields agree with pyflwdir within 0.01 mm, whose own levels have 32 bits."""
    height = np.random.default_rng(seed).normal(size=(150, 170)).cumsum(0) * 1e-3
    theirs, _ = pyflwdir.dem.fill_depressions(height, outlets="edge")
    assert np.abs(pooled(height).level - theirs).max() < 1e-5
    assert np.abs(filled(height).level - theirs).max() < 1e-5


@pytest.mark.reference("landlab-dem-10m")
def test_a_real_survey_holds_what_three_programs_found():
    """15 ponds, 17 cells, 1,900 m³, by the compiled loops too."""
    height = np.loadtxt(DATA / "elevation" / "DEM_10m.asc", skiprows=6)
    found = pooled(height)
    assert (len(found.cells) - 1, found.cells[1:].sum(), found.depth_sum[1:].sum() * 100) == (15, 17, 1900.0)
