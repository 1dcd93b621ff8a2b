"""Marks are kept where they lie on their pad; each that cannot be used is told with its place."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from courtwright.says import say
from courtwright.site import read_site
from courtwright.site.placing import OVERSHOOT, Placer
from courtwright.trade.load import mark_kinds
from courtwright.trade.words import render
from tests.site.sites import PAD, brief, collection, feature, read

LINE = [[10, 10], [20, 10]]
SQUARE = [[[10, 10], [20, 10], [20, 20], [10, 20], [10, 10]]]
FOOT = 0.3048

# --- laws ---------------------------------------------------------------------------------------


def test_the_kinds_are_those_of_the_contract():
    """Every kind of mark, with its geometry."""
    drawn = {name: set(kind.geometry) for name, kind in mark_kinds().items()}
    line, point, polygon = {"line"}, {"point"}, {"polygon"}
    assert drawn == {
        "crack": line,
        "heave": point | polygon,
        "low-spot": polygon,
        "old-repair": line | polygon,
        "worn": polygon,
        "edge": line,
        "sand": polygon | point,
        "trees": line | point,
        "post": point,
        "drain": point | line,
        "probe": point,
        "joint": line,
        "gate": point | line,
        "fence": point | line,
        "wall": point | line,
        "utility": line | point,
        "sounding": point,
    }


@pytest.mark.parametrize(
    ("mark", "kind", "coordinates", "given_values", "si"),
    [
        (
            "crack",
            "LineString",
            LINE,
            {"width": "3/8 in", "filled": "Sealant"},
            {"width": 0.009525, "filled": "sealant"},
        ),
        ("crack", "LineString", LINE, {"width": "unknown", "step": None}, {}),
        ("heave", "Point", [10, 10], {"height": "2 in", "radius": 10}, {"height": 0.0508, "radius": 3.048}),
        ("low-spot", "Polygon", SQUARE, {"depth": "1/2 in", "lasts": "2 days"}, {"depth": 0.0127, "lasts": 48}),
        (
            *("old-repair", "LineString", LINE),
            {"repair": "membrane", "state": "hollow", "age_years": 8, "strip_width": "3 ft"},
            {"repair": "membrane", "state": "hollow", "age_years": 8, "strip_width": 0.9144},
        ),
        (
            "post",
            "Point",
            [10, 10],
            {"post": "net", "lean_deg": 4, "lifted": True},
            {"post": "net", "lean_deg": 4, "lifted": True},
        ),
        ("drain", "Point", [10, 10], {"works": "no"}, {"works": False}),
        ("sounding", "Point", [10, 10], {"sounds": "solid", "note": "near the net"}, {"sounds": "solid"}),
        ("trees", "Point", [200, 10], {"count": 4}, {"count": 4}),
    ],
)
def test_properties_are_read_in_si(
    mark: str, kind: str, coordinates: Any, given_values: dict[str, Any], si: dict[str, Any], tmp_path: Path
):
    """Lengths in metres, times in hours, words and claims as the contract names them; unknown is left out."""
    marks = collection(feature(kind, coordinates, mark=mark, **given_values))
    record = read(tmp_path, {"site.toml": PAD, "marks.geojson": marks})
    assert record.complaints == ()
    assert dict(record.pads[0].marks[0].properties) == pytest.approx(si)


@given(turn=st.floats(0, 2 * math.pi), x=st.floats(-1e5, 1e5), y=st.floats(-1e5, 1e5), end=st.floats(-30, 60))
def test_where_a_mark_lies_does_not_depend_on_the_frame(turn: float, x: float, y: float, end: float):
    """A pad and its mark, moved and turned together, are placed alike."""

    def moved(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        c, s = math.cos(turn), math.sin(turn)
        return [(x + c * a - s * b, y + s * a + c * b) for a, b in points]

    corners, line = [(0.0, 0.0), (36.0, 0.0), (36.0, 18.0), (0.0, 18.0)], [(10.0, 5.0), (end, 21.0)]
    here = Placer(Polygon(corners)).placed(LineString(line), "on")
    there = Placer(Polygon(moved(corners))).placed(LineString(moved(line)), "on")
    assert there.share == pytest.approx(here.share, abs=1e-6)
    if abs(here.share - 0.5) > 1e-5:
        assert there.how == here.how


@given(length=st.floats(1, 100))
def test_a_mark_partly_on_the_pad_is_kept_as_far_as_it_lies_on_it(length: float):
    """A line from the middle of a 36 m pad out of its end keeps its 18 m there, if they are half of it or more."""
    found = Placer(Polygon([(0, 0), (36, 0), (36, 18), (0, 18)])).placed(LineString([(18, 9), (18 + length, 9)]), "on")
    kept = sum(part.length for part in found.parts)
    if length <= 18 + OVERSHOOT:
        assert (found.how, kept) == ("whole", pytest.approx(length))
    elif length <= 2 * 18:
        assert (found.how, kept) == ("clipped", pytest.approx(18))
    elif length > 2 * (18 + OVERSHOOT):
        assert (found.how, kept) == ("off", 0)


def test_a_multiple_geometry_is_as_many_marks(tmp_path: Path):
    """Programs that map write many lines as one feature."""
    marks = collection(feature("MultiLineString", [LINE, [[30, 30], [40, 30]]], mark="crack", width="1/4 in"))
    found = read(tmp_path, {"site.toml": PAD, "marks.geojson": marks}).pads[0].marks
    assert [(mark.id, mark.number("width")) for mark in found] == [("crack-1", 0.00635), ("crack-1.2", 0.00635)]


# --- refusals -----------------------------------------------------------------------------------

CASES = {
    "no known kind": (feature("LineString", LINE, mark="crak"), "", "unknown-mark", "error"),
    "no kind": (feature("LineString", LINE), "", "no-mark", "error"),
    "no known pad": (feature("LineString", LINE, mark="crack", pad="m"), "", "unknown-pad", "error"),
    "one point": (feature("LineString", [[10, 10]], mark="crack"), "", "one-point", "error"),
    "one point twice": (feature("LineString", [[10, 10], [10, 10]], mark="crack"), "", "one-point", "error"),
    "no points": (feature("LineString", [], mark="crack"), "", "few-points", "error"),
    "two corners": (feature("Polygon", [[[1, 1], [2, 2], [1, 1]]], mark="worn"), "", "few-points", "error"),
    "crosses itself": (
        feature("Polygon", [[[1, 1], [5, 5], [5, 1], [1, 5], [1, 1]]], mark="worn"),
        *("", "polygon-crosses", "error"),
    ),
    "not a number": (feature("LineString", [[1, 1], [math.nan, 2]], mark="crack"), "", "bad-coordinates", "error"),
    "infinite": (feature("LineString", [[1, 1], [math.inf, 2]], mark="crack"), "", "bad-coordinates", "error"),
    "words for numbers": (feature("Point", ["a", "b"], mark="post"), "", "bad-coordinates", "error"),
    "nothing for points": (feature("LineString", None, mark="crack"), "", "bad-coordinates", "error"),
    "no geometry": ({**feature("Point", [], mark="post"), "geometry": None}, "", "no-geometry", "error"),
    "odd geometry": (feature("GeometryCollection", [], mark="crack"), "", "odd-geometry", "error"),
    "wrong geometry": (feature("Point", [10, 10], mark="crack"), "", "wrong-geometry", "error"),
    "no feature": (17, "", "not-a-feature", "error"),
    "crack off the pad": (feature("LineString", [[200, 1], [210, 1]], mark="crack"), "", "mark-off-pad", "error"),
    "repair off the pad": (feature("LineString", [[200, 1], [210, 1]], mark="old-repair"), "", "mark-off-pad", "error"),
    "worn off the pad": (
        feature("Polygon", [[[200, 1], [210, 1], [210, 9], [200, 9]]], mark="worn"),
        *("", "mark-off-pad", "error"),
    ),
    "sounding off the pad": (feature("Point", [200, 1], mark="sounding", sounds="solid"), "", "mark-off-pad", "error"),
    "edge in the middle": (feature("LineString", [[10, 30], [90, 30]], mark="edge"), "", "mark-off-outline", "error"),
    "partly off": (feature("LineString", [[100, 10], [130, 10]], mark="crack"), "", "mark-clipped", "note"),
    "far trees": (feature("Point", [900, 10], mark="trees"), "", "mark-far", "note"),
    "width nobody can read": (
        feature("LineString", LINE, mark="crack", width="wide"),
        ", crack, width",
        "quantity",
        "error",
    ),
    "negative width": (feature("LineString", LINE, mark="crack", width=-1), ", crack, width", "quantity", "error"),
    "width in no unit": (
        feature("LineString", LINE, mark="crack", width=0.5),
        ", crack, width",
        "doubtful-length",
        "note",
    ),
    "impossible width": (
        feature("LineString", LINE, mark="crack", width=12),
        ", crack, width",
        "impossible-length",
        "error",
    ),
    "unknown word": (
        feature("LineString", LINE, mark="crack", filled="tar"),
        ", crack, filled",
        "unknown-word",
        "error",
    ),
    "misspelt property": (feature("LineString", LINE, mark="crack", widht=1), ", crack, widht", "unknown-key", "error"),
    "property of a program": (feature("LineString", LINE, mark="crack", fid=1), ", crack, fid", "unknown-key", "note"),
    "not a claim": (feature("Point", [1, 1], mark="drain", works=7), ", drain, works", "not-a-claim", "error"),
}


@pytest.mark.parametrize("case", CASES)
def test_a_mark_that_cannot_be_used_is_told_with_its_place(case: str, tmp_path: Path):
    """One complaint, at the feature's ordinal; the good feature before it is kept."""
    wrong, at, code, weight = CASES[case]
    good = feature("LineString", LINE, mark="crack", width="1/4 in")
    record = read(tmp_path, {"site.toml": PAD, "marks.geojson": collection(good, wrong)})
    assert brief(record.complaints) == [("marks.geojson", f"feature 2{at}", code, weight)]
    assert record.pads[0].marks[0].number("width") == 0.00635


@pytest.mark.parametrize("mark", ["trees", "post", "drain", "gate", "fence", "wall", "utility", "sand", "probe"])
def test_what_stands_beside_a_pad_may_lie_outside(mark: str, tmp_path: Path):
    """Trees, posts, drains and their like are not complained of."""
    record = read(tmp_path, {"site.toml": PAD, "marks.geojson": collection(feature("Point", [125, 10], mark=mark))})
    assert record.complaints == ()
    assert [found.kind for found in record.pads[0].marks] == [mark]


def test_a_one_point_crack_is_told_as_a_person_would():
    """The place, what is wrong, and what to do."""
    assert render(say("site.one-point", mark="crack")) == "crack has one point; it needs two"


def test_a_mark_of_no_pad_is_the_only_pads_or_nobodys(tmp_path: Path):
    """With one pad it is that pad's, with a note; with two it is an error."""
    loose = {**feature("LineString", LINE), "properties": {"mark": "crack"}}
    one = read(tmp_path / "1", {"site.toml": PAD, "marks.geojson": collection(loose)})
    two = read(tmp_path / "2", {"site.toml": PAD + PAD.replace('"n"', '"m"'), "marks.geojson": collection(loose)})
    assert ([c.code for c in one.complaints], len(one.pads[0].marks)) == (["only-pad"], 1)
    assert ([c.code for c in two.complaints], len(two.pads[0].marks)) == (["no-pad"], 0)


WHOLE = collection(*[feature("LineString", LINE, mark="crack", width="1/4 in")] * 3)


@pytest.mark.parametrize(
    ("text", "code", "kept"),
    [
        ("", "empty-file", 0),
        (b"\x00\x01\xff" * 99, "not-json", 0),
        (WHOLE[:-60], "broken-json", 2),
        (WHOLE[:40], "broken-json", 0),
        ("[" * 99_999, "broken-json", 0),
        ('{"type": "FeatureCollection"}', "no-features", 0),
        (WHOLE[WHOLE.index("[") : -1], "no-collection", 3),
        ("17", "no-features", 0),
        (WHOLE.replace("FeatureCollection", "Features"), "odd-type", 3),
        (
            WHOLE.replace('"type": "FeatureCollection"', '"type": "FeatureCollection", "crs": {"x": 1}'),
            "crs-not-used",
            3,
        ),
        (WHOLE[:-1] + ', "units": "feet"}', "unknown-word", 3),
        (WHOLE.replace('"width": "1/4 in"', '"width": 1, "width": "1/4 in"', 1), "key-twice", 3),
    ],
)
def test_a_wrong_file_is_told_and_its_good_features_kept(text: str | bytes, code: str, kept: int, tmp_path: Path):
    """Cut off, nested too deep, without its wrapper: what can be read is used."""
    record = read(tmp_path, {"site.toml": PAD, "marks.geojson": text})
    assert [c.code for c in record.complaints] == [code]
    assert len(record.pads[0].marks) == kept


def test_a_mark_on_a_pad_that_cannot_be_used_is_told(tmp_path: Path):
    """The outline is told in site.toml, the lost mark in its own file."""
    bad = PAD + '[[pad]]\nid = "m"\noutline = [[0,0],[9,9],[9,0],[0,9]]\n'
    marks = collection(feature("LineString", LINE, mark="crack", pad="m"))
    record = read(tmp_path, {"site.toml": bad, "marks.geojson": marks})
    assert [c.code for c in record.complaints] == ["outline-crosses", "pad-not-usable"]


def test_a_file_of_garbage_features_is_told_within_bounds(tmp_path):
    """Of 200,000 empty features 150,000 are told one by one, and one complaint says that the rest are not read."""
    (tmp_path / "site.toml").write_text('[[pad]]\nid = "a"\noutline = [[0,0],[60,0],[60,120],[0,120]]\n', "utf-8")
    features = ",".join(["{}"] * 200_000)
    (tmp_path / "marks.geojson").write_text(f'{{"type":"FeatureCollection","features":[{features}]}}', "utf-8")
    told = [c for c in read_site(tmp_path).complaints if c.file == "marks.geojson"]
    assert len(told) == 150_001
    (beyond,) = (c for c in told if c.code == "too-many-features")
    assert (beyond.at, beyond.weight, beyond.says.values["found"]) == ("feature 150001", "error", 200_000)
