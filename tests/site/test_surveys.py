"""Scans, rasters and LandXML as the heights of a pad."""

from __future__ import annotations

import io
import json
import math
from pathlib import Path

import laspy
import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from courtwright.site import read_site
from courtwright.site.complaints import Complaints
from courtwright.site.formats.landxml import points_of, read_landxml
from courtwright.site.formats.las import open_scan
from courtwright.site.record import SiteRecord

from ..places import shared_data

FOOT, SURVEY_FOOT = 0.3048, 1200 / 3937


def _site(tmp_path: Path, name: str, place: str = "") -> SiteRecord:
    """Read a metric pad of 12 by 24 m whose shots are in a file."""
    (tmp_path / "site.toml").write_text(
        f"""
[job]
units = "metric"
[[pad]]
id = "a"
outline = [[0,0],[12,0],[12,24],[0,24]]
shots = "{name}"
{place}
""",
        encoding="utf-8",
    )
    return read_site(tmp_path)


def _codes(record: SiteRecord) -> list[str]:
    return [complaint.code for complaint in record.complaints]


def _height(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return a plane of 1 % with a low spot of 12 mm, 1.5 m in radius. [m]"""
    away = np.hypot(x - 6, y - 10) / 1.5
    return 50 + 0.01 * y - 0.012 * np.maximum(0, 1 - away**2)


def _las(path: Path, xyz: np.ndarray, classes: np.ndarray | int = 1, crs: str | None = None) -> None:
    header = laspy.LasHeader(version="1.4", point_format=6)
    header.scales, header.offsets = np.full(3, 1e-4), np.floor(xyz.min(axis=0))
    if crs:
        from pyproj import CRS

        header.add_crs(CRS.from_user_input(crs))
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = xyz.T
    cloud.classification = np.broadcast_to(classes, len(xyz)).astype(np.uint8)
    cloud.write(path)


def _scan(points: int) -> np.ndarray:
    random = np.random.default_rng(0)
    x, y = random.uniform(-1, 13, points), random.uniform(-1, 25, points)
    return np.column_stack([x, y, _height(x, y) + random.normal(0, 0.002, points)])


# --- scans ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["las", "laz"])
def test_a_scan_tells_the_surface_under_people_nets_and_twigs(tmp_path, suffix):
    """A tenth of the points stand on the court, some lie below it; the heights are within a millimetre all the same."""
    xyz = _scan(500_000)
    random = np.random.default_rng(1)
    net = (np.abs(xyz[:, 1] - 12) < 0.05) & (random.random(len(xyz)) < 0.5)
    person = np.hypot(xyz[:, 0] - 3, xyz[:, 1] - 5) < 0.15
    stray = random.random(len(xyz)) < 0.02
    xyz[net, 2] += random.uniform(0.1, 1.0, net.sum())
    xyz[person, 2] += random.uniform(0.1, 1.8, person.sum())
    xyz[stray, 2] -= random.uniform(0.2, 3.0, stray.sum())
    _las(tmp_path / f"scan.{suffix}", xyz)
    record = _site(tmp_path, f"scan.{suffix}")
    shots = record.pads[0].shots.xyz
    off = shots[:, 2] - _height(*shots[:, :2].T)
    # Fourteen points of 2 mm to a block; a block of 0.1 m spans a few millimetres of the low spot's side.
    assert len(shots) > 20_000
    assert np.abs(np.median(off)) < 2e-4
    assert np.percentile(np.abs(off), 99) < 4e-3
    assert {"scan-unit", "scan-read"} <= set(_codes(record))
    assert not [c for c in record.complaints if c.weight == "error"]


def test_points_classed_as_ground_are_taken_alone(tmp_path):
    """Where somebody told the ground from the rest, low cars do not count."""
    xyz = _scan(60_000)
    car = (xyz[:, 0] > 2) & (xyz[:, 0] < 4) & (xyz[:, 1] > 2) & (xyz[:, 1] < 6)
    xyz[car, 2] += 0.5
    _las(tmp_path / "scan.las", xyz, np.where(car, 1, 2))
    shots = _site(tmp_path, "scan.las").pads[0].shots.xyz
    assert np.abs(shots[:, 2] - _height(*shots[:, :2].T)).max() < 0.01
    on_car = (shots[:, 0] > 2.1) & (shots[:, 0] < 3.9) & (shots[:, 1] > 2.1) & (shots[:, 1] < 5.9)
    assert not on_car.any()


def test_a_scan_in_a_coordinate_system_needs_a_place(tmp_path):
    """State-plane feet, turned by 30 degrees: refused without a place, and read in the pad's frame with one."""
    xyz = _scan(60_000)
    turn = math.radians(30)
    sin, cos = math.sin(turn), math.cos(turn)

    def surveyed(x: np.ndarray | float, y: np.ndarray | float) -> tuple:
        return (300_000 + x * cos + y * sin) / SURVEY_FOOT, (60_000 - x * sin + y * cos) / SURVEY_FOOT

    _las(tmp_path / "scan.las", np.column_stack([*surveyed(*xyz[:, :2].T), xyz[:, 2] / SURVEY_FOOT]), crs="EPSG:2263")
    bare = _site(tmp_path, "scan.las")
    assert _codes(bare) == ["crs-without-place"]
    assert bare.pads[0].shots is None
    common = [[x, y, *surveyed(x, y)] for x, y in ((0.0, 0.0), (12.0, 24.0))]
    placed = _site(tmp_path, "scan.las", f"[pad.place]\ncommon = {json.dumps(common)}")
    shots = placed.pads[0].shots.xyz
    assert np.abs(shots[:, 2] - _height(*shots[:, :2].T)).max() < 0.01
    assert shots[:, 0].max() == pytest.approx(12.3, abs=0.3)


def test_a_scan_of_somewhere_else_is_told(tmp_path):
    _las(tmp_path / "scan.las", _scan(2000) + np.array([500, 0, 0]))
    record = _site(tmp_path, "scan.las")
    assert "scan-off-pad" in _codes(record)
    assert record.pads[0].shots is None


@pytest.mark.reference("open-scans")
def test_open_scans_are_read_to_their_truth():
    """Counts, extents and classes of seven open point clouds; heights in US survey feet on a plane in metres."""
    there = shared_data("elevation")
    for name, truth in json.loads((there / "truth_las.json").read_text(encoding="utf-8")).items():
        complaints = Complaints()
        with (there / name).open("rb") as handle:
            scan = open_scan(handle, name, "us", complaints)
            parts = list(scan.parts())
        ground = np.concatenate([is_ground for _, is_ground in parts])
        counted = {kind: number for kind, number in truth["classes"].items() if int(kind) not in (7, 18)}
        assert scan.points == truth["points"]
        assert (len(ground), ground.sum()) == (sum(counted.values()), truth["classes"].get("2", 0))
        if len(counted) == len(truth["classes"]):
            least = np.concatenate([xyz for xyz, _ in parts]).min(axis=0)
            assert least / (scan.unit, scan.unit, scan.height_unit) == pytest.approx(truth["bbox_min"])


@pytest.mark.reference("open-scans")
def test_planes_of_open_scans_have_their_true_slope():
    """22.9 % as stored becomes 7.0 % with heights in feet on metres; a court-sized site falls 0.868 %."""
    there = shared_data("elevation")
    truth = json.loads((there / "truth_plane.json").read_text(encoding="utf-8"))
    for name, key in {
        "pdal/autzen-bmx-2010.las": "vertical_ftUS_converted_to_m",
        "laspy/file_with_both_wkt_and_geotiff_vlrs.las": "as_stored",
    }.items():
        with (there / name).open("rb") as handle:
            parts = list(open_scan(handle, name, "us", Complaints()).parts())
        ground = np.concatenate([xyz[is_ground] for xyz, is_ground in parts])
        off = ground - ground.mean(axis=0)
        slope = np.linalg.lstsq(np.column_stack([off[:, :2], np.ones(len(off))]), off[:, 2], rcond=None)[0][:2]
        assert len(ground) == truth[name][key]["n"]
        assert np.hypot(*slope) * 100 == pytest.approx(truth[name][key]["slope_percent"], rel=1e-4)


def test_lying_and_broken_scans_are_refused_or_read():
    """Headers that claim four thousand million records, empty keys, noise: an answer in words, at once."""
    told = {}
    for path in sorted(shared_data("hostile", "las_pdal").iterdir()):
        complaints = Complaints()
        with path.open("rb") as handle:
            scan = open_scan(handle, path.name, "us", complaints)
            told[path.name] = sum(len(xyz) for xyz, _ in scan.parts()) if scan else complaints.found()[0].code
    assert told["garbage_nVariableLength.las"] == "scan-damaged"
    assert told["noise-dirty.las"] == 1065


@pytest.mark.parametrize("cut", [0, 4, 100, 226, 300, 400])
def test_a_scan_cut_short_is_refused(tmp_path, cut):
    _las(tmp_path / "whole.las", _scan(100))
    complaints = Complaints()
    assert open_scan(io.BytesIO((tmp_path / "whole.las").read_bytes()[:cut]), "cut.las", "us", complaints) is None
    assert [c.code for c in complaints.found()] == ["scan-damaged"]


# --- rasters --------------------------------------------------------------------------------------


def test_a_raster_gives_heights_where_it_lies_on_the_pad(tmp_path):
    """A GeoTIFF without a coordinate system lies in the pad's own frame."""
    col, row = np.meshgrid(np.arange(60), np.arange(110))
    x, y = (col + 0.5) * 0.25 - 1, 26 - (row + 0.5) * 0.25
    with rasterio.open(
        tmp_path / "dem.tif", "w", driver="GTiff", count=1, height=110, width=60, dtype="float64",
        transform=Affine(0.25, 0, -1, 0, -0.25, 26),
    ) as file:  # fmt: skip
        file.write(_height(x, y), 1)
    record = _site(tmp_path, "dem.tif")
    shots = record.pads[0].shots.xyz
    assert len(shots) == 50 * 98
    assert shots[:, 2] == pytest.approx(_height(*shots[:, :2].T))
    assert not [c for c in record.complaints if c.weight == "error"]


def test_a_picture_instead_of_heights_is_told(tmp_path):
    with rasterio.open(
        tmp_path / "dem.tif", "w", driver="GTiff", count=3, height=4, width=4, dtype="uint8",
        transform=Affine(1, 0, 0, 0, -1, 4),
    ) as file:  # fmt: skip
        file.write(np.ones((3, 4, 4), np.uint8))
    record = _site(tmp_path, "dem.tif")
    assert [(c.file, c.code, c.weight) for c in record.complaints] == [("dem.tif", "raster-bands", "error")]


# --- LandXML --------------------------------------------------------------------------------------

POINTS = """<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
 <Units><{system} linearUnit="{unit}"/></Units>
 <CgPoints>{points}</CgPoints>
 {more}
</LandXML>"""


def _points(unit: float = 1.0) -> str:
    return "".join(
        f'<CgPoint name="{x}-{y}">{y / unit} {x / unit} {_height(np.array(x), np.array(y)) / unit}</CgPoint>'
        for x in range(0, 13, 3)
        for y in range(0, 25, 4)
    )


@pytest.mark.parametrize(
    ("system", "unit", "metres"),
    [("Metric", "meter", 1.0), ("Imperial", "foot", FOOT), ("Imperial", "USSurveyFoot", SURVEY_FOOT)],
)
def test_survey_points_are_read_northing_first(tmp_path, system, unit, metres):
    (tmp_path / "p.xml").write_text(
        POINTS.format(system=system, unit=unit, points=_points(metres), more=""), encoding="utf-8"
    )
    record = _site(tmp_path, "p.xml")
    shots = record.pads[0].shots
    assert len(shots.xyz) == 35
    assert shots.xyz[:, 2] == pytest.approx(_height(*shots.xyz[:, :2].T))
    assert shots.names[0] == "0-0"
    assert record.complaints == ()


def test_points_of_no_visible_face_are_no_ground(tmp_path):
    """A surface's outer face, marked invisible, and the point that it alone uses."""
    corners = {1: (0, 0), 2: (0, 12), 3: (24, 12), 4: (24, 0), 5: (12, 200)}
    rows = "".join(f'<P id="{i}">{n} {e} {5 + i}</P>' for i, (n, e) in corners.items())
    faces = '<F>1 2 3</F><F>1 3 4</F><F i="1">3 5 4</F>'
    surface = f'<Definition surfType="TIN"><Pnts>{rows}</Pnts><Faces>{faces}</Faces></Definition>'
    more = f'<Surfaces><Surface name="EG">{surface}</Surface></Surfaces>'
    (tmp_path / "s.xml").write_text(
        POINTS.format(system="Metric", unit="meter", points="", more=more), encoding="utf-8"
    )
    record = _site(tmp_path, "s.xml")
    assert record.pads[0].shots.names == ("1", "2", "3", "4")
    assert _codes(record) == ["landxml-surface-taken"]


@pytest.mark.reference("open-landxml")
def test_open_landxml_is_read_to_its_truth():
    """Units, points, visible faces and extents of five exchange files; 286 of 639 points have elevation 0."""
    there = shared_data("survey")
    truths = json.loads((there / "truth_survey.json").read_text(encoding="utf-8"))
    for name, truth in truths.items():
        if not name.startswith("landxml"):
            continue
        complaints = Complaints()
        with (there / name).open("rb") as handle:
            found = read_landxml(handle, name, complaints)
        linear = truth["units"][0]["linearUnit"]
        assert found.unit == pytest.approx({"foot": FOOT, "USSurveyFoot": SURVEY_FOOT}[linear])
        assert len(found.points) == truth["cgpoints"]
        assert sum(place[3] == 0 for place in found.points) == truth.get("cg_zero_elev", 0)
        assert len(found.surfaces) == len(truth["surfaces"])
        for surface, told in zip(found.surfaces, truth["surfaces"], strict=True):
            assert (len(surface.points), len(surface.faces), surface.invisible) == (
                told["points"], told["faces_visible"], told["faces_invisible"],
            )  # fmt: skip
            heights = [place[2] for place in surface.points.values()]
            assert [min(heights), max(heights)] == pytest.approx(told["elev"])


def test_zero_means_none_where_all_others_are_high(tmp_path):
    """A point that was set out and never levelled: elevation 0 among heights of 50 m is left out, and told."""
    points = _points() + '<CgPoint name="never">6 6 0.000</CgPoint>'
    (tmp_path / "p.xml").write_text(
        POINTS.format(system="Metric", unit="meter", points=points, more=""), encoding="utf-8"
    )
    record = _site(tmp_path, "p.xml")
    assert _codes(record) == ["elevation-zero"]
    assert len(record.pads[0].shots.xyz) == 35


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("<LandXML><Units>", "landxml-damaged"),
        (
            '<!DOCTYPE x [<!ENTITY a "b">]><LandXML><CgPoint>&a;</CgPoint></LandXML>',
            "landxml-damaged",
        ),
        ("<LandXML></LandXML>", "landxml-unit"),
        (
            "<LandXML><CgPoint>1 2</CgPoint><CgPoint>one two 3</CgPoint></LandXML>",
            "landxml-points-unread",
        ),
    ],
)
def test_wrong_landxml_is_told(tmp_path, content, told):
    (tmp_path / "p.xml").write_text(content, encoding="utf-8")
    assert told in _codes(_site(tmp_path, "p.xml"))


def test_hostile_xml_is_refused_at_once():
    """Bombs, entities that read other files, and a fuzzer's finds."""
    files = [*shared_data("hostile", "xml_defusedxml").iterdir(), *shared_data("hostile", "gofuzz").rglob("*.xml")]
    assert len(files) > 10
    for path in files:
        complaints = Complaints()
        with path.open("rb") as handle:
            found = read_landxml(handle, path.name, complaints)
        assert found is None or points_of(found, path.name, "us", complaints) is None
        assert complaints.found()
