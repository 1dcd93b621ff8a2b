"""Heights from drawings, layers and feature collections."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely

from courtwright.site.complaints import Complaints
from courtwright.site.formats.points_dxf import read_dxf

from ..places import shared_data
from .test_surveys import _codes, _height, _site

FOOT = 0.3048
X, Y = (axis.ravel() for axis in np.meshgrid(np.arange(0.5, 12, 3.0), np.arange(0.5, 24, 3.0)))
Z = _height(X, Y)
XYZ = np.column_stack([X, Y, Z])


def _matches(shots: np.ndarray) -> None:
    assert len(shots) == len(XYZ)
    assert shots[:, 2] == pytest.approx(_height(*shots[:, :2].T), abs=1e-6)


def _drawing(path: Path, kind: str, unit: int, metres: float, release: str = "R2018", fmt: str = "asc") -> None:
    drawing = ezdxf.new(release)
    drawing.header["$INSUNITS"] = unit
    space, at = drawing.modelspace(), XYZ / metres
    if kind == "POINT":
        for place in at:
            space.add_point(place)
    elif kind == "POLYLINE":
        for row in at.reshape(-1, 4, 3):
            space.add_polyline3d(row)
    elif kind == "3DFACE":
        for row in at.reshape(-1, 4, 3):
            space.add_3dface(row)
    else:
        for a, b in zip(at[::2], at[1::2], strict=True):
            space.add_line(a, b)
    # What lies flat beside them tells no height where points do.
    space.add_text("court 1", dxfattribs={"insert": (3, 3, 0)})
    drawing.saveas(path, fmt=fmt)


@pytest.mark.parametrize("kind", ["POINT", "POLYLINE", "3DFACE", "LINE"])
@pytest.mark.parametrize(("unit", "metres"), [(6, 1.0), (2, FOOT), (4, 0.001)])
def test_a_drawing_gives_its_points(tmp_path, kind, unit, metres):
    """Points, polylines, faces and lines, in the drawing's own unit."""
    _drawing(tmp_path / "d.dxf", kind, unit, metres)
    record = _site(tmp_path, "d.dxf")
    _matches(record.pads[0].shots.xyz)
    assert _codes(record) == ["dxf-taken"]


@pytest.mark.parametrize(("release", "fmt"), [("R12", "asc"), ("R2000", "bin"), ("R2010", "asc")])
def test_drawings_of_any_release_are_read(tmp_path, release, fmt):
    """R12 names no unit: the job's counts, and that is said."""
    _drawing(tmp_path / "d.dxf", "POINT", 6, 1.0, release, fmt)
    record = _site(tmp_path, "d.dxf")
    _matches(record.pads[0].shots.xyz)
    assert ("dxf-unit" in _codes(record)) == (release == "R12")


@pytest.mark.reference("open-drawings")
def test_open_drawings_are_read_or_refused():
    """Twelve drawings of all releases, text and binary: units and what they hold are those of the truth file."""
    there = shared_data("survey")
    for name, truth in json.loads((there / "truth_survey.json").read_text(encoding="utf-8")).items():
        if not name.startswith("dxf"):
            continue
        complaints = Complaints()
        found = read_dxf(there / name, name, "metric", complaints)
        codes = {complaint.code for complaint in complaints.found()}
        if found is None:
            assert codes & {"dxf-no-heights"}, name
        else:
            assert ("dxf-unit" in codes) == (truth["insunits"] not in (1, 2, 4, 5, 6, 21)), name
            assert set(truth["modelspace"]) & {"POINT", "INSERT", "LINE", "POLYLINE", "LWPOLYLINE", "3DFACE", "MESH"}


def test_broken_drawings_are_mended_or_refused():
    for path in shared_data("hostile", "dxf_broken").glob("*.dxf"):
        complaints = Complaints()
        read_dxf(path, path.name, "us", complaints)
        assert complaints.found(), path


def test_a_flat_drawing_has_no_heights(tmp_path):
    drawing = ezdxf.new()
    drawing.modelspace().add_line((0, 0), (12, 24))
    drawing.saveas(tmp_path / "d.dxf")
    record = _site(tmp_path, "d.dxf")
    assert _codes(record) == ["dxf-no-heights"]


def _layer(path: Path, shapes: list, driver: str, crs: str, **fields: np.ndarray) -> None:
    pyogrio.raw.write(
        path, shapely.to_wkb(np.array(shapes, dtype=object), flavor="iso"), list(fields.values()), list(fields),
        geometry_type="Point Z" if shapes[0].has_z else "Point", crs=crs, driver=driver,
    )  # fmt: skip


PLACE = "[pad.place]\ncrs = 'EPSG:2263'\norigin = [984250, 196850]\nbearing_deg = 0"


@pytest.mark.parametrize(("name", "driver"), [("p.gpkg", "GPKG"), ("p.shp", "ESRI Shapefile")])
def test_a_layer_gives_its_points(tmp_path, name, driver):
    """State-plane feet, placed by an origin; heights as third coordinates."""
    unit = 1200 / 3937
    shapes = [shapely.Point(x / unit + 984250, y / unit + 196850, z / unit) for x, y, z in XYZ]
    _layer(
        tmp_path / name, shapes, driver, "EPSG:2263", point=np.array([f"p{i}" for i in range(len(XYZ))], dtype=object)
    )
    assert _codes(_site(tmp_path, name))[-1] == "crs-without-place"
    record = _site(tmp_path, name, PLACE)
    shots = record.pads[0].shots
    assert shots.xyz[:, 2] == pytest.approx(_height(*shots.xyz[:, :2].T), abs=1e-4)
    assert shots.names[0] == "p0"


def test_a_layer_may_hold_heights_in_a_field(tmp_path):
    """Points without a third coordinate, in the pad's own metres."""
    own = 'LOCAL_CS["pad frame",UNIT["metre",1],AXIS["x",EAST],AXIS["y",NORTH]]'
    _layer(tmp_path / "p.gpkg", [shapely.Point(x, y) for x, y, _ in XYZ], "GPKG", own, Elev=Z)
    _matches(_site(tmp_path, "p.gpkg").pads[0].shots.xyz)


def test_layers_in_degrees_or_without_heights_are_refused():
    """Three tiny open GeoPackages: longitudes and latitudes, and none that are heights of a pad."""
    from courtwright.site.formats.points_layers import read_layers

    for path in shared_data("survey", "gpkg_pyogrio").iterdir():
        complaints = Complaints()
        assert read_layers(path, path.name, complaints) is None
        assert [c.code for c in complaints.found()] in (["scan-degrees"], ["layers-no-heights"])


def _features(**more: object) -> dict:
    shapes = [{"type": "Point", "coordinates": [x, y, z]} for x, y, z in XYZ.tolist()]
    told = [{"type": "Feature", "properties": {"point": f"p{i}"}, "geometry": shape} for i, shape in enumerate(shapes)]
    return {"type": "FeatureCollection", "features": told, **more}


def test_features_with_a_third_coordinate_are_heights(tmp_path):
    """In the pad's frame and the file's units, as marks are."""
    (tmp_path / "p.geojson").write_text(json.dumps(_features(units="metric")), encoding="utf-8")
    record = _site(tmp_path, "p.geojson")
    _matches(record.pads[0].shots.xyz)
    assert record.pads[0].shots.names[3] == "p3"


def test_json_fg_tells_its_coordinate_system(tmp_path):
    """A system by its URI needs a place; places stand in ``place``, and ``geometry`` may be null."""
    content = _features(coordRefSys="http://www.opengis.net/def/crs/EPSG/0/2263")
    unit = 1200 / 3937
    for feature, (x, y, z) in zip(content["features"], XYZ.tolist(), strict=True):
        feature["place"] = {"type": "Point", "coordinates": [x / unit + 984250, y / unit + 196850, z / unit]}
        feature["geometry"] = None
    (tmp_path / "p.json").write_text(json.dumps(content), encoding="utf-8")
    assert _codes(_site(tmp_path, "p.json")) == ["crs-without-place"]
    shots = _site(tmp_path, "p.json", PLACE).pads[0].shots.xyz
    assert shots[:, 2] == pytest.approx(_height(*shots[:, :2].T), abs=1e-6)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("{}", "json-no-features"),
        ('{"features": [{"geometry": {"coordinates": [1, 2]}}]}', "json-no-height"),
        ('{"features": [7, null, {"geometry": {"coordinates": [1, 2, "x"]}}]}', "json-no-height"),
        ('{"coordRefSys": "EPSG:0", "features": []}', "json-crs-unknown"),
        ('{"coordRefSys": "[EPSG:4326]", "features": []}', "scan-degrees"),
        (json.dumps(_features(units="metric"))[:-40], "json-points-cut"),
    ],
)
def test_wrong_feature_collections_are_told(tmp_path, content, told):
    (tmp_path / "p.json").write_text(content, encoding="utf-8")
    assert told in _codes(_site(tmp_path, "p.json"))
