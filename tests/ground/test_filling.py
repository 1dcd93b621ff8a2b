"""Depressions filled to where they spill, and the ponds that this makes."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from skimage.morphology import reconstruction

from courtwright.ground.filling import border_of, filled, open_edges
from courtwright.ground.ponds import outline_of, ponds
from courtwright.trade.load import tolerances

from ..places import DATA, shared_data
from .oracles import flooded

INCH, GALLON = 0.0254, 231 * 0.0254**3
#: Few levels, so that ties and plateaus are common; some cells without data.
LEVELS = st.sampled_from([*range(6), np.nan])
RASTERS = arrays(np.float64, array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=9), elements=LEVELS)


def _rough(shape: tuple[int, int], seed: int = 0) -> np.ndarray:
    return np.random.default_rng(seed).normal(size=shape).cumsum(0).cumsum(1) * 1e-3


def _by_reconstruction(height: np.ndarray) -> np.ndarray:
    """Fill with scikit-image: open edges, no data lower than anything."""
    ground = np.pad(np.where(np.isfinite(height), height, -1e9), 1, constant_values=-1e9)
    seed = np.where(ground > -1e9, ground.max(), -1e9)
    level = reconstruction(seed, ground, method="erosion", footprint=np.ones((3, 3)))[1:-1, 1:-1]
    return np.where(np.isfinite(height), level, np.nan)


def _grid(text: str) -> tuple[np.ndarray, float]:
    lines = text.split("\n")
    head = {line.split()[0].lower(): float(line.split()[1]) for line in lines[:6]}
    height = np.array(" ".join(lines[6:]).split(), dtype=float).reshape(int(head["nrows"]), int(head["ncols"]))
    height[height == head["nodata_value"]] = np.nan
    return height, head["cellsize"]


def _bowl(slope: float) -> tuple[np.ndarray, float]:
    """Return a paraboloid bowl, 3/8 in deep and 10 ft wide, cut into a plane; in inches, on a half-inch grid."""
    cell, depth, radius = 0.5, 3 / 8, 60.0
    x = np.arange(-70, 70 + cell, cell)
    away = x[None, :] ** 2 + x[:, None] ** 2
    return slope * x[None, :] - np.where(away < radius**2, depth * (1 - away / radius**2), 0.0), cell


# --- published -----------------------------------------------------------------------------------


@pytest.mark.reference("skimage-reconstruction")
@pytest.mark.parametrize("seed", range(4))
def test_levels_are_those_of_an_independent_library(seed):
    """Filling gives, bit for bit, what morphological reconstruction gives; no-data cells let water out."""
    height = _rough((60, 80), seed)
    height[20:24, 30:33] = np.nan
    assert np.array_equal(filled(height).level, _by_reconstruction(height), equal_nan=True)


@pytest.mark.reference("landlab-dem-10m")
def test_depressions_of_a_real_survey_are_those_that_three_programs_found():
    """A 10 m elevation model: 15 ponds, 17 cells, 1,900 m³, 2 m deep."""
    height, cell = _grid((DATA / "elevation" / "DEM_10m.asc").read_text(encoding="ascii"))
    found = ponds(height, filled(height))
    assert len(found.cells) == 15
    assert found.cells.sum() == 17
    assert found.depth[0] == 2.0
    assert found.depth_sum.sum() * cell**2 == 1900.0


@pytest.mark.reference("landlab-dem-10m")
@pytest.mark.parametrize("name", ["hugo_site.asc", "pre_runout_DEM.asc", "west_bijou_gully.asc"])
def test_depressions_of_more_real_surveys(name):
    """Real elevation models with no-data and, in one, no pits at all; run where the shared data are there."""
    there = shared_data() / "elevation"
    height, cell = _grid((there / "landlab" / name).read_text(encoding="ascii"))
    truth = json.loads((there / "truth_fill.json").read_text(encoding="utf-8"))[f"landlab/{name}"]
    truth = truth["fill_8_skimage_reconstruction"]
    found = ponds(height, filled(height))
    assert len(found.cells) == truth["ponds"]
    assert int(found.cells.sum()) == truth["ponded_cells"]
    # The truth was computed on 32-bit heights: half a unit in the last place of a 2 km height, a cell.
    assert found.depth_sum.sum() * cell**2 == pytest.approx(
        truth["total_volume"], abs=1e-4 * max(1, truth["ponded_cells"]) * cell**2
    )


@pytest.mark.reference("bowl-in-a-plane")
@pytest.mark.parametrize(
    ("slope", "depth", "volume", "gallons"),
    [
        (0.0, 0.37500, 2120.575, 9.1800),
        (0.005, 0.13500, 274.827, 1.1897),
        (1 / 120, 1 / 24, 26.180, 0.1133),
        (0.01, 0.01500, 3.393, 0.0147),
        (0.0125, 0.0, 0.0, 0.0),
    ],
)
def test_a_bowl_in_a_plane_holds_what_the_closed_form_says(slope, depth, volume, gallons):
    """Depth and volume of the pond in a 10 ft wide, 3/8 in deep bowl, as the plane steepens."""
    height, cell = _bowl(slope)
    found = ponds(height, filled(height))
    deepest = found.depth[0] if len(found.depth) else 0.0
    held = float(found.depth_sum.sum()) * cell**2
    assert deepest == pytest.approx(depth, abs=5e-6)
    # Two libraries came to 2120.573, 274.825, 26.180 and 3.393 on half-inch cells.
    assert held == pytest.approx(volume, abs=2.5e-3)
    assert held * INCH**3 / GALLON == pytest.approx(gallons, abs=5e-5)


@pytest.mark.reference("us-mint-coins")
@pytest.mark.parametrize(
    ("slope", "is_birdbath"), [(0.0, True), (0.005, True), (0.0068, True), (0.0069, False), (0.01, False)]
)
def test_the_same_hole_passes_or_fails_the_coin_by_its_slope(slope, is_birdbath):
    """The bowl's water covers a 5-cent coin, 1.95 mm, up to a slope of 0.68442 %."""
    height, _ = _bowl(slope)
    assert bool(ponds(height, filled(height)).depth[0] * INCH > tolerances().water_test) is is_birdbath
    assert tolerances().water_test == pytest.approx(0.00195)


# --- laws ----------------------------------------------------------------------------------------


@given(RASTERS)
def test_open_edges_agree_with_the_heap(height):
    """Levels are those of priority-flood on a heap, ties, plateaus and no data included."""
    assert np.array_equal(filled(height).level, flooded(height, open_edges(height)), equal_nan=True)


@given(RASTERS, st.integers(0, 2**32 - 1))
def test_dams_and_drains_agree_with_the_heap(height, seed):
    """So they are with any outlets: drains inside, dams of any height or none at the edge."""
    inside = np.isfinite(height)
    if not inside.any():
        return
    random = np.random.default_rng(seed)
    outlets = np.where(random.random(height.shape) < 0.3, height + random.integers(0, 3, height.shape), np.inf)
    outlets[~inside] = np.inf
    level = flooded(height, outlets)
    reached = np.isfinite(level)
    assert np.array_equal(filled(height, outlets).level[reached], level[reached])


@given(RASTERS)
def test_water_only_runs_down(height):
    """No level lies below the ground, filling twice changes nothing, and every way out leads down or level."""
    water = filled(height)
    inside = np.isfinite(height)
    assert (water.level[inside] >= height[inside]).all()
    assert np.array_equal(filled(water.level).level, water.level, equal_nan=True)
    onward = water.next_cell
    runs = onward >= 0
    assert (water.level.flat[onward[runs]] <= water.level[runs]).all()
    assert not (runs & ~inside).any()


@given(RASTERS, st.integers(0, 3))
def test_a_higher_dam_never_lowers_the_water(height, dam):
    """Raising what stands along the edge raises the water or leaves it."""
    low, high = (filled(height, open_edges(height) + more).level for more in (dam, dam + 1))
    assert (high >= low)[np.isfinite(height)].all()


@given(RASTERS)
def test_ponds_hold_all_the_water_once(height):
    """Every filled cell is in one pond; ponds are numbered deepest first; each spills at its own level."""
    water = filled(height)
    found = ponds(height, water)
    depth = np.nan_to_num(water.level - height)
    assert np.array_equal(found.number > 0, depth > 0)
    assert found.cells.sum() == (depth > 0).sum()
    assert found.depth_sum.sum() == pytest.approx(depth.sum())
    assert (np.diff(found.depth) <= 0).all()
    for ordinal, (deepest, spill) in enumerate(zip(found.deepest, found.spill, strict=True)):
        assert found.number.flat[deepest] == ordinal + 1
        assert depth.flat[deepest] == found.depth[ordinal]
        assert water.level.flat[spill] == water.level.flat[deepest]
        assert depth.flat[spill] == 0


@given(arrays(np.bool_, array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=8)))
def test_an_outline_goes_round_its_cells(cells):
    """A solid block's outline has the cells' area; cells touching at corners are still one outline."""
    if not cells.any():
        return
    outline = outline_of(cells, 0.0, 0.0, 0.5)
    assert outline.is_valid
    filled_in = np.ones_like(cells)
    assert outline_of(filled_in, 0.0, 0.0, 0.5).area == pytest.approx(filled_in.size * 0.25)
    corner = np.eye(3, dtype=bool)
    assert outline_of(corner, 0.0, 0.0, 0.5).area == pytest.approx(3 * 0.25, rel=0.02)


# --- refusals ------------------------------------------------------------------------------------


def test_a_raster_without_data_stays_without():
    """Nothing but NaN gives nothing but NaN, and no pond."""
    height = np.full((3, 4), np.nan)
    assert np.isnan(filled(height).level).all()
    assert len(ponds(height, filled(height)).cells) == 0


def test_a_tub_without_an_outlet_runs_over_at_the_lowest_of_its_border():
    """A pad dammed all round by dams of unknown height drains over its lowest edge, not never."""
    height = np.array([[5.0, 5.0, 5.0], [5.0, 1.0, 4.0], [5.0, 5.0, 5.0]])
    assert filled(height, np.full((3, 3), np.inf)).level[1, 1] == 4.0


def test_the_border_of_a_raster_is_what_touches_the_outside():
    """Cells at the rim and beside no data, corners included, are border."""
    height = np.ones((5, 5))
    assert border_of(height).sum() == 16
    height[2, 2] = np.nan
    assert border_of(height).sum() == 24
