"""Rasters of heights as programs write them, and as nobody should."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from courtwright.errors import InputError, OutputError
from courtwright.site.complaints import Complaints
from courtwright.site.formats.raster import Raster, read_raster, write_levels

from ..places import DATA, shared_data

HEIGHT = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
NORTH_UP = Affine(0.5, 0, 100, 0, -0.5, 200)


def _tif(path: Path, values: np.ndarray = HEIGHT, **more: object) -> Path:
    bands = values[None] if values.ndim == 2 else values
    profile = {"transform": NORTH_UP, "dtype": bands.dtype, "crs": "EPSG:32618", **more}
    scales = profile.pop("scales", None)
    with rasterio.open(
        path, "w", driver="GTiff", count=len(bands), height=bands.shape[1], width=bands.shape[2], **profile
    ) as file:
        file.write(bands)
        if scales:
            file.scales, file.offsets = scales
    return path


def _codes(path: Path, cell: float | None = None) -> tuple[Raster, list[str]]:
    complaints = Complaints()
    raster = read_raster(path, cell, complaints)
    return raster, [found.code for found in complaints.found()]


def test_a_geotiff_keeps_its_place(tmp_path):
    """Row 0 is north; a value stands at the middle of its cell."""
    raster, told = _codes(_tif(tmp_path / "a.tif"))
    assert np.array_equal(raster.height, HEIGHT)
    assert raster.place(0, 0) == (100.25, 199.75)
    assert raster.place(1, 2) == (101.25, 199.25)
    assert (raster.cell_area, raster.is_square(), told) == (0.25, True, [])


def test_an_array_starts_at_its_first_row(tmp_path):
    """Row 0 is y = 0, and rows grow with y."""
    np.save(tmp_path / "a.npy", HEIGHT)
    raster, _ = _codes(tmp_path / "a.npy", 0.02)
    assert raster.place(1, 2) == pytest.approx((0.04, 0.02))


def test_cells_in_feet_are_metres_in_the_answer(tmp_path):
    """The plane's unit comes from the reference system; heights are metres, and that is said."""
    raster, told = _codes(_tif(tmp_path / "a.tif", crs="EPSG:2263"))
    assert raster.cell_area == pytest.approx(0.25 * (1200 / 3937) ** 2)
    assert told == ["raster-unit"]


def test_missing_heights_in_all_their_spellings(tmp_path):
    """What the file declares, what programs write undeclared, and what no place on earth has."""
    values = HEIGHT.copy()
    values[0, 0], values[0, 1], values[1, 2] = -9999, 77, 4e5
    raster, told = _codes(_tif(tmp_path / "a.tif", values, nodata=77))
    assert np.isnan(raster.height).tolist() == [[True, True, False], [False, False, True]]
    assert told == ["raster-nothing", "raster-no-height"]


def test_scaled_integers_are_heights(tmp_path):
    """16-bit millimetres with a scale and an offset."""
    raster, _ = _codes(_tif(tmp_path / "a.tif", (HEIGHT * 1000).astype(np.int16), scales=((0.001,), (10.0,))))
    assert raster.height == pytest.approx(HEIGHT + 10)


def test_levels_are_read_back_where_they_were(tmp_path):
    """What is written lies where the heights lay, turned or not, and in feet where they were in feet."""
    for name, more in {
        "feet": {"crs": "EPSG:2263"},
        "turned": {"transform": Affine(0.3, 0.4, 7, 0.4, -0.3, 9)},
        "plain": {},
    }.items():
        raster, _ = _codes(_tif(tmp_path / f"{name}.tif", **more))
        write_levels(raster, raster.height + 1, tmp_path / "out.tif")
        again, _ = _codes(tmp_path / "out.tif")
        assert again.height == pytest.approx(HEIGHT + 1)
        assert again.place(1, 2) == pytest.approx(raster.place(1, 2))
        assert again.crs == raster.crs
    assert sorted(path.name for path in tmp_path.iterdir() if "part" in path.name) == []


@pytest.mark.parametrize(
    ("name", "content", "cell", "told"),
    [
        ("text.tif", b"no raster at all", None, "site.no-raster"),
        ("cut.tif", b"II*\x00\x08\x00\x00\x00\x00", None, "site.raster-damaged"),
        ("cut.npy", b"\x93NUMPY\x01\x00", 1.0, "site.raster-damaged"),
        ("bare.npy", b"\x93NUMPY\x01\x00", None, "site.raster-no-cell"),
        ("grid.asc", b"ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3 x", None, "site.raster-damaged"),
    ],
)
def test_what_is_no_raster_is_refused_in_words(tmp_path, name, content, cell, told):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError) as found:
        read_raster(tmp_path / name, cell, Complaints())
    assert found.value.problem.id == told


def test_pictures_and_degrees_and_empty_ones_are_refused(tmp_path):
    """Three bands are a picture; degrees are no lengths; an object is no number; nothing is nothing."""
    cases = {
        "site.raster-bands": (_tif(tmp_path / "rgb.tif", np.zeros((3, 2, 2), np.uint8)), None),
        "site.raster-degrees": (_tif(tmp_path / "deg.tif", crs="EPSG:4326"), None),
        "site.raster-empty": (_tif(tmp_path / "none.tif", np.full((2, 2), np.nan)), None),
        "site.raster-shape": (_saved(tmp_path / "deep.npy", np.zeros((2, 2, 2))), 1.0),
        "site.raster-no-numbers": (_saved(tmp_path / "odd.npy", np.zeros((2, 2), complex)), 1.0),
    }
    for told, (path, cell) in cases.items():
        with pytest.raises(InputError) as found:
            read_raster(path, cell, Complaints())
        assert found.value.problem.id == told
    assert math.isclose(read_raster(tmp_path / "deg.tif", 2.0, Complaints()).cell_area, 4.0)


def _saved(path: Path, values: np.ndarray) -> Path:
    np.save(path, values)
    return path


def test_an_array_that_hides_a_program_is_not_run(tmp_path):
    """A pickled array is refused unopened."""
    np.save(tmp_path / "a.npy", np.array([[{}]], dtype=object), allow_pickle=True)
    with pytest.raises(InputError):
        read_raster(tmp_path / "a.npy", 1.0, Complaints())


def test_levels_that_cannot_be_written_leave_nothing(tmp_path):
    raster, _ = _codes(_tif(tmp_path / "a.tif"))
    with pytest.raises(OutputError):
        write_levels(raster, raster.height, tmp_path / "nowhere" / "out.tif")
    assert [path.name for path in tmp_path.iterdir()] == ["a.tif"]


def test_an_ascii_grid_is_read(tmp_path):
    raster, told = _codes(DATA / "elevation" / "DEM_10m.asc")
    assert (raster.height.shape, raster.cell_area, told) == ((53, 67), 100.0, [])


def test_hostile_rasters_are_read_or_refused():
    """Every raster of a collection of broken files gives heights or a refusal in words."""
    there = [*shared_data("hostile", "tiff_rasterio").iterdir(), *shared_data("hostile", "gofuzz").rglob("*.tif*")]
    assert len(there) > 10
    for path in there:
        raster, refusal = None, None
        try:
            raster = read_raster(path, None, Complaints())
        except InputError as error:
            refusal = error
        assert (raster is not None and np.isfinite(raster.height).any()) or refusal.fix is not None, path
