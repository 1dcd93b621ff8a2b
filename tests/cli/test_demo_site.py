"""The shipped demo site is what its script makes, and shows what the demo is to show."""

from __future__ import annotations

import csv
import importlib.util
import io
import json
import math
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import LineString, Point, Polygon, shape
from shapely.ops import polygonize, unary_union
from skimage.morphology import reconstruction

from courtwright.ground import read_ground
from courtwright.site import read_site
from courtwright.verdict import PadVerdict, judge_pad

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ROOT / "src" / "courtwright" / "site" / "demo_site"
#: 1.95 mm, the thickness of the coin of the water test (REFERENCE 2.3). [in]
COIN = 1.95 / 25.4


def _load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def script() -> ModuleType:
    sys.path.insert(0, str(ROOT / "scripts"))
    return _load(ROOT / "scripts" / "make_demo.py")


@pytest.fixture(scope="module")
def variants() -> ModuleType:
    return _load(ROOT / "tests" / "demo_variants.py")


@pytest.fixture(scope="module")
def fresh(script: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made") / "site"
    assert script.main([str(folder)]) == 0
    return folder


def _features(folder: Path, pad: str, *marks: str) -> list[dict]:
    found = json.loads((folder / "marks.geojson").read_text(encoding="utf-8"))["features"]
    return [
        item
        for item in found
        if item["properties"]["pad"] == pad and (not marks or item["properties"]["mark"] in marks)
    ]


def _pad(folder: Path, pad: str) -> dict:
    site = tomllib.loads((folder / "site.toml").read_text(encoding="utf-8"))
    return next(item for item in site["pad"] if item["id"] == pad)


def _shots(folder: Path, pad: str) -> np.ndarray:
    rows = csv.DictReader((folder / _pad(folder, pad)["shots"]).read_text(encoding="utf-8").splitlines())
    return np.array([[float(row[name]) for name in ("easting", "northing", "elevation")] for row in rows])


def _faces(folder: Path, pad: str) -> tuple[float, list[float]]:
    """Return the pad's area and its faces' areas, smallest first, cracks carried on by 2 in at both ends. [sf]"""
    outline = Polygon(_pad(folder, pad)["outline"])
    lines: list[LineString] = []
    for item in _features(folder, pad, "crack"):
        points = [np.array(p) for p in item["geometry"]["coordinates"]]
        ends = [
            a + (a - b) / np.hypot(*(a - b)) * 2 / 12 for a, b in ((points[0], points[1]), (points[-1], points[-2]))
        ]
        lines.append(LineString([ends[0], *points, ends[1]]))
    faces = polygonize(unary_union([*lines, outline.exterior]))
    return outline.area, sorted(face.area for face in faces if face.area > 1.0)


def _ponds(surface: object, size: tuple[float, float], is_dammed: object) -> list[tuple[float, float, float]]:
    """Return depth [in] and place [ft] of what a surface holds, filled by another library."""
    x, y = np.meshgrid(*(np.linspace(0.0, side, round(side * 2) + 1) for side in size))
    height = surface(x, y)
    border = (x == 0) | (x == size[0]) | (y == 0) | (y == size[1])
    seed = np.where(border & ~is_dammed(x, y), height, height.max())
    depth = (reconstruction(seed, height, method="erosion", footprint=np.ones((3, 3))) - height) * 12.0
    found: list[tuple[float, float, float]] = []
    while depth.max() > COIN:
        at = np.unravel_index(np.argmax(depth), depth.shape)
        found.append((float(depth[at]), float(x[at]), float(y[at])))
        depth[np.hypot(x - x[at], y - y[at]) < 14.0] = 0.0
    return found


# The shipped files.


def test_shipped_files_are_what_the_script_makes(fresh: Path) -> None:
    """Text is the same to the byte; photos have the same size, EXIF and, nearly, pixels."""
    names = {path.relative_to(fresh).as_posix() for path in fresh.rglob("*") if path.is_file()}
    assert names == {path.relative_to(SHIPPED).as_posix() for path in SHIPPED.rglob("*") if path.is_file()}
    for name in names:
        made, shipped = (fresh / name).read_bytes(), (SHIPPED / name).read_bytes()
        if not name.endswith(".jpg"):
            assert made == shipped, name
            continue
        one, two = Image.open(io.BytesIO(made)), Image.open(io.BytesIO(shipped))
        assert one.size == two.size
        assert one.getexif() == two.getexif()
        assert np.abs(np.asarray(one, dtype=float) - np.asarray(two, dtype=float)).mean() < 2.0, name


def test_check_names_each_file_that_differs(
    script: ModuleType, fresh: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--check passes on what was just made, and tells a changed, a missing and a strange file."""
    assert script.main([str(fresh), "--check"]) == 0
    folder = tmp_path / "site"
    script.write(folder)
    (folder / "upper.csv").write_text("point,northing,easting,elevation,description\n", encoding="utf-8")
    (folder / "site.toml").unlink()
    (folder / "notes.txt").write_text("x", encoding="utf-8")
    photo = next((folder / "photos").glob("upper-1*"))
    with Image.open(photo) as picture:
        picture.point(lambda level: min(level + 9, 255)).save(photo, exif=picture.getexif())
    assert script.main([str(folder), "--check"]) == 1
    told = capsys.readouterr().err
    for line in ("site.toml is missing", "notes.txt is not made by this script", "upper.csv differs"):
        assert line in told
    assert f"photos/{photo.name} differs" in told
    assert "lower.csv" not in told


def test_photos_are_small_dated_and_one_is_held_upright() -> None:
    """A camera's EXIF, no place on earth, one portrait stored on its side; small enough to ship."""
    photos = sorted((SHIPPED / "photos").glob("*.jpg"))
    assert 6 <= len(photos) <= 8
    assert sum(photo.stat().st_size for photo in photos) < 800_000
    turned = 0
    for photo in photos:
        assert photo.stat().st_size <= 120_000
        with Image.open(photo) as picture:
            exif = picture.getexif()
            assert exif.get_ifd(0x8769)[0x9003].startswith("2026:04:16 ")
            assert not exif.get_ifd(0x8825)
            turned += exif[0x0112] == 6
    assert turned == 1


# What the pads show.


@pytest.mark.parametrize("pad", ["upper", "lower"])
def test_marks_lie_on_their_pad(pad: str) -> None:
    """Only trees stand off the pad."""
    outline = Polygon(_pad(SHIPPED, pad)["outline"])
    for item in _features(SHIPPED, pad):
        on_pad = shape(item["geometry"]).within(outline) or outline.covers(shape(item["geometry"]))
        assert on_pad == (item["properties"]["mark"] != "trees"), item


@pytest.mark.parametrize("pad", ["upper", "lower"])
def test_shots_lie_on_the_surface_within_the_scatter(script: ModuleType, pad: str) -> None:
    """Each reading is within 4 sd (1 mm each) of the surface it was taken of, and the scatter is about 1 mm."""
    surface = _surface(pad)
    shots = _shots(SHIPPED, pad)
    off = (shots[:, 2] - surface(shots[:, 0], shots[:, 1])) * 304.8
    assert np.abs(off).max() < 4.0
    assert 0.8 < off.std() < 1.2
    outline = Polygon(_pad(SHIPPED, pad)["outline"])
    assert all(outline.covers(Point(x, y)) for x, y, _ in shots)


def _surface(pad: str) -> object:
    return importlib.import_module(f"demo.{pad}").surface


def test_upper_is_cut_into_pieces(script: ModuleType) -> None:
    """18 to 25 % of the pad is cut free by wide cracks; most of the slab holds together."""
    area, faces = _faces(SHIPPED, "upper")
    assert len(faces) >= 8
    assert 0.18 < sum(faces[:-1]) / area < 0.25


def test_lower_is_whole() -> None:
    """No crack of the lower pad meets another."""
    area, faces = _faces(SHIPPED, "lower")
    assert faces == [pytest.approx(area)]


def test_upper_holds_water_along_the_trench(script: ModuleType) -> None:
    """Low spots of 3/4 to 1-1/4 in lie on the pipe."""
    trench = LineString(_features(SHIPPED, "upper", "utility")[0]["geometry"]["coordinates"])
    ponds = _ponds(_surface("upper"), (156.0, 120.0), lambda x, y: x < -1)
    deep = [pond for pond in ponds if trench.distance(Point(pond[1:])) < 2.0]
    assert len(deep) >= 2
    assert all(0.7 < depth < 1.3 for depth, _, _ in deep)
    assert max(depth for depth, _, _ in ponds) == deep[0][0]


def test_lower_holds_water_behind_the_sod(script: ModuleType) -> None:
    """The low corner holds up to 3/8 in while the sod stands; without the sod it runs off, and one dip is left."""
    size = (140.0, 104.0)
    dammed = _ponds(_surface("lower"), size, lambda x, y: ((x == 140) & (y < 26)) | ((y == 0) & (x > 126)))
    corner = [depth for depth, x, y in dammed if x > 130 and y < 12]
    assert len(corner) == 1
    assert 0.2 < corner[0] <= 0.375
    freed = _ponds(_surface("lower"), size, lambda x, y: x < -1)
    assert [depth for depth, x, y in freed if x > 130 and y < 12] == []
    assert len(freed) == 1
    assert COIN < freed[0][0] < 0.375


def test_lower_old_repairs_are_hollow_in_part() -> None:
    """A tap about every foot of the old membranes; about 60 % sound hollow."""
    taps = _features(SHIPPED, "lower", "sounding")
    length = sum(shape(item["geometry"]).length for item in _features(SHIPPED, "lower", "old-repair"))
    hollow = sum(item["properties"]["sounds"] == "hollow" for item in taps)
    assert abs(len(taps) - length) < 2
    assert 0.55 < hollow / len(taps) < 0.65


@pytest.fixture(scope="module")
def judged() -> dict[str, PadVerdict]:
    record = read_site(SHIPPED)
    assert [c for c in record.complaints if c.weight == "error"] == []
    reading = read_ground(record)
    year = record.walked_on.year
    return {pad.id: judge_pad(pad, read, year) for pad, read in zip(record.pads, reading.pads, strict=True)}


def _states(verdict: PadVerdict) -> dict[str, str]:
    """Return the state of each option by its id."""
    return {option.id: option.state for option in verdict.options}


def test_upper_is_to_be_rebuilt(judged: dict[str, PadVerdict]) -> None:
    """Grinding up and paving is advised, with a root barrier; what leaves the base as it is is ruled out."""
    verdict = judged["upper"]
    assert verdict.recommended == "pulverise-and-pave"
    states = _states(verdict)
    assert {states[name] for name in ("repair", "overlay", "mill-and-overlay", "mat", "concrete-over")} == {"ruled out"}
    assert states["pulverise-and-pave"] == states["full-depth-replacement"] == "open"
    advised = next(option for option in verdict.options if option.id == verdict.recommended)
    assert "root-barrier" in advised.remedies


def test_lower_can_be_saved(judged: dict[str, PadVerdict]) -> None:
    """Repair is advised: membranes, hollow ones replaced, the low spot levelled, the low side cut down, new colour."""
    verdict = judged["lower"]
    assert verdict.recommended == "repair"
    advised = next(option for option in verdict.options if option.id == "repair")
    assert advised.state == "open"
    assert {"lower-side", "replace-membrane", "membrane-repair", "level-low-spots", "resurface"} <= {*advised.remedies}
    assert verdict.facts["edges_can_rise"].value is None


# The variants.


def test_moved_and_back_is_the_same(variants: ModuleType, tmp_path: Path) -> None:
    """A site moved away and back has its marks and shots where they were."""
    away = variants.moved(SHIPPED, tmp_path / "a", (412.0, -77.0))
    back = variants.moved(away, tmp_path / "b", (-412.0, 77.0))
    _assert_same_place(SHIPPED, back)


def test_four_quarter_turns_are_none(variants: ModuleType, tmp_path: Path) -> None:
    """After four quarter turns everything is where it was, each court turned by a full circle."""
    folder = SHIPPED
    for turn in range(4):
        folder = variants.turned(folder, tmp_path / str(turn))
    _assert_same_place(SHIPPED, folder)
    assert _pad(folder, "upper")["court"][0]["turned_deg"] == -360
    assert _pad(folder, "upper")["north_deg"] == 8 + 360


@pytest.mark.parametrize("name", ["turned", "mirrored"])
def test_courts_turn_with_their_pad(variants: ModuleType, tmp_path: Path, name: str) -> None:
    """The court's long axis goes where the points of its baselines go."""
    folder = variants.SAME[name](SHIPPED, tmp_path / name)
    for pad in ("upper", "lower"):
        outline = Polygon(_pad(folder, pad)["outline"])
        before = Polygon(_pad(SHIPPED, pad)["outline"])
        assert outline.area == pytest.approx(before.area)
        for court, was in zip(_pad(folder, pad)["court"], _pad(SHIPPED, pad)["court"], strict=True):
            to_end = 0.45 * 104.0
            turn = math.radians(court["turned_deg"])
            end = np.array(court["centre"]) + to_end * np.array([math.sin(turn), math.cos(turn)])
            x, y = was["centre"][0], was["centre"][1] + to_end
            assert end == pytest.approx((-y, x) if name == "turned" else (-x, y))
            assert outline.contains(Point(end))


def test_mirrored_twice_is_the_same(variants: ModuleType, tmp_path: Path) -> None:
    """Two mirrorings cancel."""
    once = variants.mirrored(SHIPPED, tmp_path / "a")
    _assert_same_place(SHIPPED, variants.mirrored(once, tmp_path / "b"))


def test_metric_says_the_same_lengths(variants: ModuleType, tmp_path: Path) -> None:
    """156 ft are 47.5488 m, 2-1/2 in 63.5 mm, 14 ft 4.2672 m, 900 sf 83.6127 m²; nothing is left in feet."""
    folder = variants.metric(SHIPPED, tmp_path / "m")
    pad = _pad(folder, "upper")
    assert pad["outline"][2] == pytest.approx([156 * 0.3048, 120 * 0.3048])
    assert pad["asphalt_thickness"] == "63.5 mm"
    assert pad["answers"]["machine_access_width"] == "4.2672 m"
    assert pad["tally"][1]["area"] == pytest.approx(900 * 0.09290304)
    for name in ("site.toml", "marks.geojson"):
        text = (folder / name).read_text(encoding="utf-8")
        assert ' in"' not in text
        assert ' ft"' not in text
    assert _shots(folder, "lower") == pytest.approx(_shots(SHIPPED, "lower") * 0.3048)


def test_other_ids_keep_the_links(variants: ModuleType, tmp_path: Path) -> None:
    """No old name is left; every mark names a pad and every tally a court."""
    folder = variants.other_ids(SHIPPED, tmp_path / "o")
    site = tomllib.loads((folder / "site.toml").read_text(encoding="utf-8"))
    pads = {pad["id"]: pad for pad in site["pad"]}
    assert not pads.keys() & {"upper", "lower"}
    marks = json.loads((folder / "marks.geojson").read_text(encoding="utf-8"))["features"]
    assert {item["properties"]["pad"] for item in marks} == set(pads)
    for pad in pads.values():
        assert (folder / pad["shots"]).is_file()
        assert {tally["court"] for tally in pad["tally"]} <= {court["id"] for court in pad["court"]}


def test_swapped_has_the_same_records(variants: ModuleType, tmp_path: Path) -> None:
    """The pads come in the other order, each with all its marks in its own order."""
    folder = variants.swapped(SHIPPED, tmp_path / "s")
    site = tomllib.loads((folder / "site.toml").read_text(encoding="utf-8"))
    assert [pad["id"] for pad in site["pad"]] == ["lower", "upper"]
    for pad in ("upper", "lower"):
        assert _pad(folder, pad) == _pad(SHIPPED, pad)
        assert _features(folder, pad) == _features(SHIPPED, pad)


def test_without_free_pieces_the_slab_is_whole(script: ModuleType, variants: ModuleType, tmp_path: Path) -> None:
    """No faces are left, no crack ends within 0.3 m of another, and the heaves are lower in the shots too."""
    folder = variants.without_free_pieces(SHIPPED, tmp_path / "w", heave_inches=0.75)
    area, faces = _faces(folder, "upper")
    assert faces == [pytest.approx(area)]
    lines = [shape(item["geometry"]) for item in _features(folder, "upper", "crack")]
    near = min(a.distance(b) for i, a in enumerate(lines) for b in lines[:i])
    assert near > 0.3 / 0.3048
    before, after = _shots(SHIPPED, "upper"), _shots(folder, "upper")
    # The highest heave is 3 in: at its top the shot comes down by 3 - 3/4 = 2-1/4 in = 0.1875 ft.
    assert (before[:, 2] - after[:, 2]).max() == pytest.approx(0.1875, abs=0.001)
    assert {item["properties"]["height"] for item in _features(folder, "upper", "heave")} == {"0.75 in"}
    assert _pad(folder, "upper")["answers"]["pieces_rock"] is False


def test_without_trees_only_the_trees_go(variants: ModuleType, tmp_path: Path) -> None:
    """The trees of the upper pad and the answers about roots go; everything else stays."""
    folder = variants.without_trees(SHIPPED, tmp_path / "t")
    assert _features(folder, "upper", "trees") == []
    others = [item for item in _features(SHIPPED, "upper") if item["properties"]["mark"] != "trees"]
    assert _features(folder, "upper") == others
    assert _features(folder, "lower") == _features(SHIPPED, "lower")
    answers = _pad(folder, "upper")["answers"]
    assert answers["roots_lift_pad"] is False
    assert "root_barrier_within_reach" not in answers


def _assert_same_place(one: Path, two: Path) -> None:
    for pad in ("upper", "lower"):
        assert _shots(one, pad) == pytest.approx(_shots(two, pad))
        assert np.array(_pad(one, pad)["outline"]) == pytest.approx(np.array(_pad(two, pad)["outline"]))
        for a, b in zip(_features(one, pad), _features(two, pad), strict=True):
            assert a["properties"] == b["properties"]
            assert shape(a["geometry"]).equals_exact(shape(b["geometry"]), 1e-9)
