"""Pictures that commands draw: which files, of what, and what is refused."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from shapely import Point, Polygon, box

from courtwright import units
from courtwright.offer import colours
from courtwright.site import read_site

from ..offer.drawn import SVG, Drawn
from .test_commands import DEMO, answer, run, site

__all__ = ["site"]
CELL = 0.05


@pytest.fixture(scope="module")
def drawn(tmp_path_factory) -> Path:
    """Return a folder with the pictures of the demo site."""
    folder = tmp_path_factory.mktemp("pictures")
    told = answer("ground", DEMO, "--pictures", folder)
    assert sorted(told["files"]) == sorted(path.name for path in folder.iterdir())
    return folder


@pytest.fixture
def dished(tmp_path):
    """Return a raster that falls to the north, with a dish of 20 mm in its east, rows told from the top."""
    y, x = (axis * CELL for axis in np.mgrid[0:120, 0:200])
    r2 = ((x - 7.0) ** 2 + (y - 3.5) ** 2) / 1.2**2
    height = np.where(r2 < 1, 20.0 - 0.004 * 3.5 - 0.02 * (1 - r2), 20.0 - 0.004 * y)[::-1]
    path = tmp_path / "dished.tif"
    grid = Affine(CELL, 0, 400_000.0, 0, -CELL, 5_000_000.0 + 120 * CELL)
    with rasterio.open(
        path, "w", driver="GTiff", width=200, height=120, count=1, dtype="float64", crs="EPSG:32618", transform=grid
    ) as file:
        file.write(height, 1)
    return path


def test_the_pads_whose_heights_are_known_have_contours_and_a_straightedge(drawn: Path):
    """SVG and PNG of each; low spots and gap are those that the command tells."""
    names = [
        f"{what}-{pad}.{form}"
        for what in ("contours", "straightedge")
        for pad in ("upper", "lower")
        for form in ("svg", "png")
    ]
    assert sorted(path.name for path in drawn.iterdir()) == sorted(names)
    for pad, of_pad in zip(read_site(DEMO).pads, answer("ground", DEMO)["pads"], strict=True):
        found = Drawn.of((drawn / f"contours-{pad.id}.svg").read_text(encoding="utf-8"), pad.outline)
        washes = list(found.plan(*found.paths(fill=colours.WATER)))
        assert len(washes) == len(of_pad["low_spots"])
        text = (drawn / f"straightedge-{pad.id}.svg").read_text(encoding="utf-8")
        assert f"gap {units.show(of_pad['flatness']['gap_max_mm'] / 1000, 'small')}<" in text
        assert (drawn / f"contours-{pad.id}.png").read_bytes().startswith(b"\x89PNG")


def test_the_same_call_writes_the_same_bytes_in_the_language_asked_for(drawn: Path, tmp_path: Path):
    """Twice, and in Spanish another."""
    run("ground", DEMO, "--pictures", tmp_path / "again")
    run("ground", DEMO, "--pictures", tmp_path / "es", "--lang", "es")
    for path in drawn.iterdir():
        assert (tmp_path / "again" / path.name).read_bytes() == path.read_bytes()
        assert (tmp_path / "es" / path.name).read_bytes() != path.read_bytes()


def test_cut_and_fill_stands_beside_the_stakes(tmp_path: Path):
    """Of both pads; what the command says of it is in words on it."""
    told = run("regrade", DEMO, "--out", tmp_path).stdout
    assert "Drawing: cut-fill-lower.svg." in told
    mass = re.search(r"Pad lower: asphalt (\d+ tons)", told)[1]
    assert mass in (tmp_path / "cut-fill-lower.svg").read_text(encoding="utf-8")
    assert (tmp_path / "cut-fill-upper.png").read_bytes().startswith(b"\x89PNG")


def test_without_heights_no_picture_is_written(site: Path, tmp_path: Path):
    """Neither a folder; the answer names no file."""
    assert answer("ground", site, "--pictures", tmp_path / "none")["files"] == []
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_low_spot_of_a_raster_is_drawn_at_its_place(dished: Path, tmp_path: Path, system: str):
    """The dish lies 7 m from the west and 3.5 m from the south, north up; there is one."""
    path = tmp_path / "water.svg"
    (spot, *_) = answer("water", dished, "--picture", path, "--picture-units", system, "--min-depth-mm", 5)["low_spots"]
    found = Drawn.of(path.read_text(encoding="utf-8"), box(0, 0, 200 * CELL, 120 * CELL))
    (wash,) = found.plan(*found.paths(fill=colours.WATER))
    assert Polygon(wash).contains(Point(7.0, 3.5))
    assert Polygon(wash).area == pytest.approx(spot["area_m2"], rel=0.05)
    assert "N" in found.words
    unit = "in" if system == "us" else "mm"
    assert any(re.fullmatch(rf"[\d./-]+ {unit} deep", text) for text in found.words)


def test_the_straightedge_of_a_raster_is_drawn_at_its_place(dished: Path, tmp_path: Path):
    """Its dot where the answer says, from the raster's corner."""
    told = answer(
        "flatness", dished, "--straightedge", "2 m", "--picture", tmp_path / "flat.svg", "--picture-units", "metric"
    )
    found = Drawn.of((tmp_path / "flat.svg").read_text(encoding="utf-8"), box(0, 0, 200 * CELL, 120 * CELL))
    at = np.array(told["at"]) - (400_000.0, 5_000_000.0)
    assert np.hypot(*(found.dots("0.5") - at).T).min() < 0.02
    assert f"gap {units.show(told['gap_max_mm'] / 1000, 'small', 'metric')}" in found.words
    assert "edge of the raster, as far as it holds heights" in " ".join(found.words)


def test_a_large_raster_is_thinned_for_its_drawing_and_says_so(tmp_path: Path):
    """A million cells: contours from means, low spots from all; a hole stays empty; under a megabyte."""
    y, x = np.mgrid[0:1000, 0:1000] * 0.02
    height = 10 - 0.01 * x + 0.02 * np.sin(x) * np.cos(y)
    height[100:300, 100:300] = np.nan
    np.save(tmp_path / "fine.npy", height)
    run(
        "water",
        tmp_path / "fine.npy",
        "--cell-m",
        0.02,
        "--picture",
        tmp_path / "fine.svg",
        "--picture-units",
        "metric",
    )
    text = (tmp_path / "fine.svg").read_text(encoding="utf-8")
    assert len(text) < 1_000_000
    found = Drawn.of(text, box(0, 0, 20, 20))
    assert any(re.search(r"means of \d by \d cells", line) for line in found.words)
    hole = box(2.2, 2.2, 5.8, 5.8)
    lines = [at for at in found.plan(*found.paths(stroke_width="0.2")) if len(at) > 5]
    assert lines
    assert not any(hole.contains(Point(place)) for line in lines for place in line)


@pytest.mark.parametrize("command", ["water", "flatness"])
def test_a_picture_is_svg_or_png_and_its_folder_is_there(command: str, dished: Path, tmp_path: Path):
    """The first is a wrong call; a picture that cannot be written is told with its folder."""
    assert "name it .svg or .png" in run(command, dished, "--picture", tmp_path / "a.gif", code=2).stderr
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "Traceback" not in run(command, dished, "--picture", tmp_path / "file" / "a.svg", code=2).stderr
    run(command, dished, "--picture", tmp_path / "a.PNG")
    assert (tmp_path / "a.PNG").read_bytes().startswith(b"\x89PNG")


def test_oblong_cells_are_not_drawn(tmp_path: Path):
    """No scale fits both ways; without a picture the water is told as before."""
    path = tmp_path / "oblong.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=9, height=9, count=1, dtype="float32", transform=Affine(1, 0, 0, 0, -2, 0)
    ) as file:
        file.write(np.random.default_rng(1).normal(size=(9, 9)).astype("float32"), 1)
    assert "oblong.tif" in run("water", path, "--picture", tmp_path / "a.svg", code=3).stderr
    assert not (tmp_path / "a.svg").exists()
    run("water", path)


def test_flat_ground_has_no_gap_to_draw(tmp_path: Path):
    """No file, and a word of it."""
    np.save(tmp_path / "flat.npy", np.zeros((40, 40)))
    told = run("flatness", tmp_path / "flat.npy", "--cell-m", 0.2, "--picture", tmp_path / "flat.png").stdout
    assert "There is no gap to draw, so flat.png was not written." in told
    assert not (tmp_path / "flat.png").exists()


def test_pictures_are_whole_xml(drawn: Path):
    """With a title and a description for who cannot see them."""
    for path in drawn.glob("*.svg"):
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        assert len(root.findtext(f"{SVG}title")) > 10
        assert len(root.findtext(f"{SVG}desc")) > 40
