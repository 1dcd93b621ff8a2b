"""The commands ``water`` and ``flatness``: answers, files, refusals."""

from __future__ import annotations

import json

import numpy as np
import pytest
import rasterio
from scipy import ndimage
from skimage.morphology import reconstruction

from ..places import DATA
from .test_commands import answer, run

INCH = 0.0254


@pytest.fixture
def rough(tmp_path):
    """Return a rough raster of 2 cm cells, as an array of numpy. [m]"""
    height = np.random.default_rng(2).normal(size=(60, 80)).cumsum(0).cumsum(1) * 1e-3
    np.save(tmp_path / "rough.npy", height)
    return tmp_path / "rough.npy", height


def _filled(height: np.ndarray) -> np.ndarray:
    seed = height.copy()
    seed[1:-1, 1:-1] = height.max()
    return reconstruction(seed, height, method="erosion", footprint=np.ones((3, 3)))


def test_water_fills_a_raster_and_lists_its_low_spots(rough, tmp_path):
    """Levels, cells, volume and spots are those of an independent library; the file holds one 32-bit band."""
    path, height = rough
    out = tmp_path / "filled.tif"
    told = answer("water", path, "--cell-m", 0.02, "--out", out, "--min-depth-mm", 5)
    level = _filled(height)
    label, count = ndimage.label(level > height, np.ones((3, 3)))
    depth = ndimage.maximum(level - height, label, range(1, count + 1))
    assert told["cells"] == int((level > height).sum())
    assert told["volume_l"] == pytest.approx((level - height).sum() * 0.02**2 * 1000, abs=1e-3)
    assert told["low_spots_total"] == len(told["low_spots"]) == int((depth >= 0.005).sum())
    deepest = told["low_spots"][0]
    assert deepest["depth_max_mm"] == pytest.approx(depth.max() * 1000, abs=0.006)
    row, col = np.argwhere(level - height == depth.max())[0]
    assert deepest["deepest"] == pytest.approx([col * 0.02, row * 0.02])
    with rasterio.open(out) as file:
        assert (file.count, file.dtypes[0]) == (1, "float32")
        assert file.read(1) == pytest.approx(level, abs=1e-6)
        assert file.xy(0, 0) == pytest.approx((0.0, 0.0))


def test_water_lists_no_more_than_asked_for_and_counts_all(rough):
    path, _ = rough
    every = answer("water", path, "--cell-m", 1)
    few = answer("water", path, "--cell-m", 1, "--limit", 2)
    assert few["low_spots"] == every["low_spots"][:2]
    assert {key: few[key] for key in ("low_spots_total", "volume_l", "cells")} == {
        key: every[key] for key in ("low_spots_total", "volume_l", "cells")
    }
    depths = [spot["depth_max_mm"] for spot in every["low_spots"]]
    assert depths == sorted(depths, reverse=True)


@pytest.mark.reference("landlab-dem-10m")
def test_water_on_a_real_survey():
    """15 ponds, 17 cells, 1,900 m³, 2 m deep."""
    told = answer("water", DATA / "elevation" / "DEM_10m.asc")
    assert (told["low_spots_total"], told["cells"], told["volume_l"]) == (15, 17, 1.9e6)
    assert told["low_spots"][0]["depth_max_mm"] == 2000


@pytest.mark.reference("bowl-in-a-plane")
@pytest.mark.parametrize(("slope", "depth_in", "volume_in3"), [(0.005, 0.135, 274.827), (1 / 120, 1 / 24, 26.180)])
def test_water_in_a_bowl_in_a_tilted_plane(tmp_path, slope, depth_in, volume_in3):
    """A 10 ft bowl of 3/8 in holds d (1 − sR/(2d))² of water, and V = π h² R² / (2d)."""
    cell, depth, radius = 0.5, 3 / 8, 60.0
    x = np.arange(-70, 70 + cell, cell)
    away = x[None, :] ** 2 + x[:, None] ** 2
    height = slope * x[None, :] - np.where(away < radius**2, depth * (1 - away / radius**2), 0.0)
    np.save(tmp_path / "bowl.npy", height * INCH)
    told = answer("water", tmp_path / "bowl.npy", "--cell-m", cell * INCH)
    assert told["low_spots"][0]["depth_max_mm"] == pytest.approx(depth_in * 25.4, abs=0.006)
    assert told["volume_l"] == pytest.approx(volume_in3 * INCH**3 * 1000, rel=1e-3)


def test_flatness_tells_the_place_of_the_worst_gap(tmp_path):
    """A groove of 9 mm along y, under a straightedge across it."""
    height = np.zeros((40, 60))
    height[:, 30] = -0.009
    np.save(tmp_path / "groove.npy", height)
    told = answer("flatness", tmp_path / "groove.npy", "--cell-m", 0.1, "--straightedge", "2 m")
    assert (told["straightedge_m"], told["gap_max_mm"]) == (2.0, 9.0)
    assert told["at"][0] == pytest.approx(3.0)
    assert told["bearing_deg"] != 0.0


def test_flatness_has_no_room_on_a_small_raster(tmp_path):
    np.save(tmp_path / "small.npy", np.zeros((5, 5)))
    told = answer("flatness", tmp_path / "small.npy", "--cell-m", 0.1)
    assert (told["gap_max_mm"], told["at"], told["bearing_deg"]) == (0.0, None, None)


@pytest.mark.parametrize("command", ["water", "flatness"])
def test_what_is_no_raster_is_refused(tmp_path, command):
    """Exit 3 and a sentence for a wrong file; exit 2 where the call is wrong; the file that was there stays."""
    (tmp_path / "text.tif").write_text("no raster", encoding="utf-8")
    (tmp_path / "out.tif").write_bytes(b"mine")
    more = ["--out", tmp_path / "out.tif"] if command == "water" else []
    told = run(command, tmp_path / "text.tif", *more, "--json", code=3)
    assert "no height raster" in told.stderr
    assert json.loads(told.stdout)["complaints"][0]["weight"] == "error"
    assert (tmp_path / "out.tif").read_bytes() == b"mine"
    run(command, tmp_path / "nowhere.tif", code=2)
    run(command, tmp_path / "text.tif", "--cell-m", "nan", code=2)


def test_a_wrong_length_of_straightedge_is_a_wrong_call(tmp_path):
    np.save(tmp_path / "a.npy", np.zeros((5, 5)))
    for given in ("long", "-3 m", "0 ft"):
        run("flatness", tmp_path / "a.npy", "--cell-m", 1, "--straightedge", given, code=2)
