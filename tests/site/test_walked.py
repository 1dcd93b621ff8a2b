"""A walk's document makes a site folder and back; what breaks its shape is told with its UUID, and the rest is read."""

from __future__ import annotations

import hashlib
import itertools
import json
import uuid
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.site.complaints import NothingLeftError
from courtwright.site.folder import FolderFiles, read_files
from courtwright.site.record import SiteRecord
from courtwright.site.walk_files import WalkedFiles
from courtwright.site.walk_of import walk_of
from courtwright.site.walked import Projection, project, site_files
from courtwright.trade.words import render
from tests import demo_variants
from tests.site.sites import folder

DEMO = Path(__file__).resolve().parents[2] / "src" / "courtwright" / "site" / "demo_site"
SQUARE = [[0, 0], [120, 0], [120, 60], [0, 60]]
PAD, OTHER, MARK, SHOT = (str(uuid.UUID(int=n)) for n in (0xA, 0xB, 0xC, 0xD))


def _ids() -> Callable[[], str]:
    numbers = itertools.count(1)
    return lambda: str(uuid.UUID(int=next(numbers)))


def _nothing(sha256: str) -> bytes | None:
    return None


def _round(path: Path) -> tuple[SiteRecord, Projection]:
    """Return a folder as read, and as read from the document that is made of it."""
    files = FolderFiles(path)
    walk = walk_of(files, _ids())
    assert json.loads(json.dumps(walk.plain)) == walk.plain
    return read_files(files, "folder"), project(walk.plain, lambda sha256: (path / walk.blobs[sha256]).read_bytes())


def _without_ids(value: Any) -> Any:
    """Return a record as plain values that can be compared; marks without their ids, which the document gives."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    if is_dataclass(value) and not isinstance(value, type):
        names = [one.name for one in fields(value) if not (one.name == "id" and type(value).__name__ == "Mark")]
        return {name: _without_ids(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {key: _without_ids(inner) for key, inner in value.items()}
    return [_without_ids(inner) for inner in value] if isinstance(value, list | tuple) else value


def _briefly(projection: Projection) -> list[tuple[str, str, str]]:
    return [(one.file, one.at, one.code) for one in projection.complaints]


def walk(**roots: Any) -> dict[str, Any]:
    """Return a document with one pad."""
    return {"walk": {"shape": 1}, "pads": {PAD: {"id": "north", "outline": SQUARE}}, **roots}


def crack(**values: Any) -> dict[str, Any]:
    geometry = {"type": "LineString", "coordinates": [[10, 10], [30, 10]]}
    return {"mark": "crack", "pad": PAD, "geometry": geometry, **values}


# --- laws ---------------------------------------------------------------------------------------


def test_the_demo_site_is_the_same_by_way_of_a_document():
    """Every field of the record is the same, but for the ids of marks, which are UUIDs then."""
    read, projected = _round(DEMO)
    assert projected.record is not None
    assert _without_ids(projected.record) == _without_ids(read)
    assert projected.places == {}
    assert all(uuid.UUID(mark.id) for pad in projected.record.pads for mark in pad.marks)


@pytest.mark.parametrize("variant", [demo_variants.moved, demo_variants.turned, demo_variants.metric])
def test_other_sites_are_the_same_by_way_of_a_document(variant: Callable[[Path, Path], Path], tmp_path: Path):
    """In another frame and in metres as well."""
    read, projected = _round(variant(DEMO, tmp_path / "site"))
    assert _without_ids(projected.record) == _without_ids(read)


BROKEN = {
    "site.toml": """
[job]
name = "A"
units = "metric"
customer = "clbu"
[site]
walked_on = 2026-04-11
lat = "north"
[[pad]]
id = 7
outline = [["-1 m", 0], ["12' 6\\"", "0"], [40, 40.5], [0, 40]]
built = 1972
asphalt_thickness = "2-1/2 in"
shots = "s.csv"
[pad.place]
crs = "EPSG:25832"
origin = [500000.0, 4500000.5]
[[pad.court]]
sport = "tennis"
[[pad.tally]]
mark = "crack"
length = 140
court = "9"
[[pad]]
id = "b"
outline = [[0, 0], [1, 0]]
[answers]
coats = "unknown"
colour = "green"
""",
    "s.csv": "point,northing,easting,elevation\n1,1,1,100\n2,2,x,100\n3,9,9,100.1\n",
    "marks.geojson": json.dumps(
        {
            "type": "FeatureCollection",
            "units": "us",
            "features": [
                {
                    "type": "Feature",
                    "id": "c-7",
                    "properties": {"mark": "crack", "pad": "7", "width": 2},
                    "geometry": None,
                },
                {
                    "type": "Feature",
                    "properties": {"mark": "post", "pad": "7"},
                    "geometry": {"type": "Point", "coordinates": [9, 9]},
                },
                {
                    "type": "Feature",
                    "properties": {"mark": "post", "pad": "z"},
                    "geometry": {"type": "Point", "coordinates": [9, 9]},
                },
            ],
        }
    ),
    "photos/a.jpg": b"no photo",
}


def test_a_site_with_mistakes_has_the_same_mistakes_by_way_of_a_document(tmp_path: Path):
    """The same record and the same complaints at the same places, each with the UUID that it is about."""
    read, projected = _round(folder(tmp_path, BROKEN))
    assert _without_ids(projected.record) == _without_ids(read)
    assert len(projected.complaints) >= 9
    with_owner = {
        (one.file, one.at) for one in projected.complaints if not one.at.startswith(("job", "site", "answers"))
    }
    without_lines = {place for place in with_owner if not place[0].endswith(".csv")}
    assert without_lines <= set(projected.places)


@given(st.randoms(use_true_random=False))
def test_the_order_of_a_document_does_not_matter(chance: Any):
    """Maps have no order: items stand by their own, then by their UUID."""
    marks = {str(uuid.UUID(int=n)): crack(width=f"{n} mm", order=n % 3) for n in range(1, 7)}
    plain = walk(marks=marks, answers={"coats": "6", f"{PAD}/coats": "7"})
    turned = {
        root: dict(chance.sample(sorted(values.items()), len(values)))
        for root, values in chance.sample(sorted(plain.items()), len(plain))
    }
    one, other = (site_files(given, _nothing).written for given in (plain, turned))
    assert one == other
    ids = [feature["id"] for feature in json.loads(one["marks.geojson"])["features"]]
    assert ids == sorted(marks, key=lambda id: (marks[id]["order"], id))


# --- texts as typed -----------------------------------------------------------------------------


def test_texts_as_typed_are_read_with_their_units():
    """Numbers typed without a unit count in the walk's; every other has its own."""
    plain = walk(
        marks={
            MARK: crack(
                width="3/8 in",
                step=" 0.5 ",
                geometry={"type": "LineString", "coordinates": [["10", "3 m"], ["20' 6\"", 10.5]]},
            )
        },
        courts={OTHER: {"pad": PAD, "sport": "tennis", "id": "1", "centre": ["60", "30 ft"], "turned_deg": "90"}},
        tallies={SHOT: {"pad": PAD, "court": OTHER, "mark": "crack", "length": "140", "width": "1/2 in"}},
        answers={f"{PAD}/coats": "6", "machine_access_width": "11 ft"},
    )
    plain["pads"][PAD] |= {
        "built": "1972",
        "outline": [["0", "0"], ["120 ft", 0], [120, "60"], [0, 60]],
        "north_deg": "12",
    }
    plain["walk"] |= {"units": "us", "prevailing_wage": "yes", "lat": "41.2", "walked_on": "2026-04-11"}
    projected = project(plain, _nothing)
    assert projected.record is not None
    pad = projected.record.pads[0]
    assert pad.marks[0].properties["width"] == pytest.approx(0.375 * 0.0254)
    assert pad.marks[0].properties["step"] == pytest.approx(0.5 * 0.3048)
    assert [tuple(map(float, point)) for point in pad.marks[0].geometry.coords] == [
        pytest.approx((10 * 0.3048, 3.0)),
        pytest.approx((20.5 * 0.3048, 10.5 * 0.3048)),
    ]
    assert pad.outline.area == pytest.approx(120 * 60 * 0.3048**2)
    assert (pad.built, pad.courts[0].sport, pad.tallies[0].court) == (1972, "tennis", "1")
    assert (projected.record.job.prevailing_wage, projected.record.lat) == (True, 41.2)
    # half a foot is an unusual step, and it is asked about as it is for a number in a folder
    assert _briefly(projected) == [("marks.geojson", "feature 1, crack, step", "doubtful-length")]
    assert projected.places == {("marks.geojson", "feature 1, crack, step"): MARK}


def test_shots_that_were_typed_are_read():
    """One that cannot be read is told by its UUID; a point whose name looks like a remark is a point."""
    shots = {
        str(uuid.UUID(int=n)): {
            "pad": PAD,
            "point": f"#{n}",
            "x": str(10 * n),
            "y": "10",
            "elevation": f"{100 + n / 100}",
        }
        for n in range(1, 5)
    }
    shots[SHOT] = {"pad": PAD, "x": "far", "y": "1", "elevation": "3 m"}
    projected = project(walk(shots=shots), _nothing)
    assert projected.record is not None
    assert projected.record.pads[0].shots is not None
    assert projected.record.pads[0].shots.names == ("#1", "#2", "#3", "#4")
    assert projected.record.pads[0].shots.xyz[0] == pytest.approx([10 * 0.3048, 10 * 0.3048, 100.01 * 0.3048])
    assert _briefly(projected) == [("walk", f"shots {SHOT}, x", "walk-shot")]
    assert projected.places == {("walk", f"shots {SHOT}, x"): SHOT}


def test_what_is_withdrawn_is_not_there_and_can_be_brought_back():
    """A pad takes what lies on it with it; nothing is complained of."""
    plain = walk(marks={MARK: crack(withdrawn=True), SHOT: crack()}, answers={f"{OTHER}/coats": "6"})
    plain["pads"][OTHER] = {"id": "south", "outline": SQUARE, "withdrawn": "true"}
    plain["marks"][str(uuid.UUID(int=0xE))] = crack(pad=OTHER)
    projected = project(plain, _nothing)
    assert projected.record is not None
    assert ([pad.id for pad in projected.record.pads], _briefly(projected)) == (["north"], [])
    assert [mark.id for mark in projected.record.pads[0].marks] == [SHOT]
    plain["marks"][MARK]["withdrawn"] = False
    plain["pads"][OTHER]["withdrawn"] = False
    again = project(plain, _nothing).record
    assert again is not None
    assert [len(pad.marks) for pad in again.pads] == [2, 1]


def test_photos_and_files_come_by_their_hashes():
    """What has not come from the phone is told by its UUID; two photos of one name are both there."""
    csv = b"point,northing,easting,elevation\n1,1,1,100\n2,9,9,100.1\n"
    hashes = {hashlib.sha256(csv).hexdigest(): csv}
    photo = (DEMO / "photos" / "lower-1-hollow-strip.jpg").read_bytes()
    hashes[hashlib.sha256(photo).hexdigest()] = photo
    name, here = "IMG_1.jpg", hashlib.sha256(photo).hexdigest()
    plain = walk(
        files={OTHER: {"name": "s.csv", "sha256": hashlib.sha256(csv).hexdigest()}},
        photos={MARK: {"name": name, "sha256": here}, SHOT: {"name": name, "sha256": here}, PAD: {"sha256": "0" * 64}},
    )
    plain["pads"][PAD]["shots"] = "s.csv"
    projected = project(plain, hashes.get)
    assert projected.record is not None
    assert projected.record.pads[0].shots is not None
    assert [photo.name for photo in projected.record.photos] == [f"photos/{SHOT}-IMG_1.jpg", "photos/IMG_1.jpg"]
    assert _briefly(projected) == [(f"photos/{PAD}.jpg", "", "walk-not-come")]
    assert projected.places == {(f"photos/{PAD}.jpg", ""): PAD}


# --- what breaks the shape ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "at", "code"),
    [
        ({"extra": {}}, "extra", "unknown-key"),
        ({"marks": 7}, "marks", "walk-not-a-map"),
        ({"marks": {MARK: "crack"}}, f"marks {MARK}", "walk-not-a-map"),
        ({"marks": {MARK: crack(pad=OTHER)}}, f"marks {MARK}, pad", "walk-no-such-pad"),
        ({"marks": {MARK: crack(width={"not plain": "text"})}}, f"marks {MARK}, width", "walk-not-plain"),
        ({"marks": {MARK: crack(width=["1 in"])}}, f"marks {MARK}, width", "walk-not-plain"),
        ({"marks": {MARK: crack(note="x" * 20_001)}}, f"marks {MARK}, note", "walk-too-long"),
        ({"marks": {MARK: crack(note="\ud800")}}, f"marks {MARK}, note", "walk-not-plain"),
        ({"courts": {MARK: {"sport": "tennis"}}}, f"courts {MARK}, pad", "walk-no-such-pad"),
        ({"photos": {MARK: {"name": "../../x.jpg", "sha256": "0" * 64}}}, f"photos {MARK}, name", "walk-file-name"),
        ({"files": {MARK: {"name": "site.toml", "sha256": "0" * 64}}}, f"files {MARK}, name", "walk-file-name"),
        ({"files": {MARK: {"name": "s.csv", "sha256": "x"}}}, f"files {MARK}, sha256", "walk-no-hash"),
        ({"answers": {f"{OTHER}/coats": "6"}}, f"answers {OTHER}/coats", "walk-no-such-pad"),
        ({"shots": {SHOT: {"pad": PAD, "x": "1", "y": "?"}}}, f"shots {SHOT}, y", "walk-shot"),
        ({"walk": {"shape": 2}}, "walk, shape", "walk-other-shape"),
    ],
)
def test_what_breaks_the_shape_is_told_and_the_rest_is_read(change: dict[str, Any], at: str, code: str):
    """Each breach is told once, with its UUID where it has one, and the pad is there."""
    projected = project(walk(**change), _nothing)
    assert [one for one in _briefly(projected) if one[2].startswith("walk") or one[0] == "walk"] == [("walk", at, code)]
    assert projected.record is not None
    ids = [word for word in (MARK, SHOT, OTHER) if word in at]
    assert projected.places.get(("walk", at)) == (ids[0] if ids else None)
    for one in projected.complaints:
        texts = [render(says, lang) for says in (one.says, one.do) for lang in ("en", "es")]
        assert not any("⟨" in text for text in texts)


def test_values_that_are_no_numbers_are_told_where_they_are_read():
    """NaN, huge numbers and coordinates that are none are told by the readers of the folder."""
    geometry = {"type": "Point", "coordinates": [float("nan"), 1]}
    plain = walk(marks={MARK: crack(mark="post", geometry=geometry), SHOT: crack(width=10**400)})
    plain["pads"][PAD]["built"] = float("inf")
    projected = project(plain, _nothing)
    assert {(one.file, one.code) for one in projected.complaints} == {
        ("site.toml", "not-a-number"),
        ("marks.geojson", "bad-coordinates"),
        ("marks.geojson", "quantity"),
    }
    assert set(projected.places.values()) == {PAD, MARK, SHOT}


def test_two_pads_of_one_name_keep_their_own_marks():
    """The second is given another name, and both are read."""
    plain = walk(marks={MARK: crack(), SHOT: crack(pad=OTHER)})
    plain["pads"][OTHER] = {"id": "north", "outline": SQUARE}
    projected = project(plain, _nothing)
    assert projected.record is not None
    assert [(pad.id, [mark.id for mark in pad.marks]) for pad in projected.record.pads] == [
        ("north", [MARK]),
        ("north #2", [SHOT]),
    ]
    assert _briefly(projected) == [("walk", f"pads {OTHER}, id", "walk-pad-twice")]


def test_a_walk_without_a_usable_pad_has_no_record_and_says_why():
    """Not even an empty document is refused without a word."""
    plain = {"pads": {PAD: {"id": "north", "outline": "round"}}}
    projected = project(plain, _nothing)
    assert projected.record is None
    assert _briefly(projected) == [("walk", "", "nothing-left"), ("site.toml", "pad north, outline", "bad-corner")]
    assert projected.places == {("site.toml", "pad north, outline"): PAD}
    empty = project({}, _nothing)
    assert (empty.record, _briefly(empty)) == (None, [("walk", "", "nothing-left")])


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.just({"not plain": "bytes"}),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)
keys = st.sampled_from(
    (
        *("marks_units", "units", "point", "description", "withdrawn", "answers", "tally"),
        "id",
        "pad",
        "outline",
        "geometry",
        "mark",
        "width",
        "shots",
        "name",
        "sha256",
        "x",
        "y",
        "elevation",
        "order",
        "place",
        "court",
    )
)
ids = st.sampled_from((PAD, OTHER, MARK)) | st.text(max_size=4)
roots = st.sampled_from(("walk", "pads", "courts", "marks", "tallies", "shots", "photos", "files", "answers"))


@pytest.mark.soak
@given(st.dictionaries(roots, st.dictionaries(ids, anything | st.dictionaries(keys, anything | ids), max_size=3)))
def test_whatever_a_document_holds_is_read_or_told_in_words(plain: dict[str, Any]):
    """No document is a fault; its good pad is read beside it."""
    good = str(uuid.UUID(int=0x99))
    pads = {**plain.get("pads", {}), good: {"id": "good one", "outline": SQUARE, "order": -1}}
    projected = project({**plain, "pads": pads}, _nothing)
    assert projected.record is not None
    assert projected.record.pads[0].id == "good one"
    for one in projected.complaints:
        assert "⟨" not in render(one.says).replace("⟨", "", str(one.says.values).count("⟨"))


def test_the_folder_of_a_document_is_one_like_any_other(tmp_path: Path):
    """Written to disk, it reads the same."""
    made = site_files(walk(marks={MARK: crack(width="1 in")}), _nothing)
    assert isinstance(made, WalkedFiles)
    path = folder(tmp_path, made.written)
    read = read_files(FolderFiles(path), "folder")
    assert _without_ids(read) == _without_ids(project(walk(marks={MARK: crack(width="1 in")}), _nothing).record)
    assert replace(read, pads=()).complaints == ()


def test_a_folder_without_anything_is_a_document_without_anything(tmp_path: Path):
    """The way back does not need a site.toml, and does not invent one."""
    (tmp_path / "a.txt").write_text("a", encoding="utf-8")
    made = walk_of(FolderFiles(tmp_path), _ids())
    assert made.plain["pads"] == {}
    with pytest.raises(NothingLeftError):
        read_files(FolderFiles(tmp_path), "folder")
