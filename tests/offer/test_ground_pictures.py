"""Pictures of the ground: what is drawn lies where it is, is as large as it is, and is said in words."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator
from shapely import LineString, Point, Polygon, box

from courtwright import units
from courtwright.ground.regrade.nodes import axes_of
from courtwright.ground.regrade.plane import Plane
from courtwright.offer import colours
from courtwright.offer.ground import contours_svg, cut_fill_svg, straightedge_svg, worst_edge
from courtwright.offer.plan import HIGHEST, WIDEST
from courtwright.offer.png import png
from courtwright.says import say
from courtwright.site.record import Pad
from tests.offer import grounds, pads
from tests.offer.drawn import SVG, Drawn
from tests.offer.test_plan import ends, text_boxes, view_box

READERS = (("en", "us"), ("es", "metric"))
SHAPES = ("surveyed", "turned", "tiny", "large")
#: A new surface over each pad: a plane that cuts on one side and fills on the other.
PLANES = {
    "surveyed": Plane(29.93, (0.004, -0.006)),
    "turned": Plane(99.98, (-0.006, 0.0)),
    "tiny": Plane(9.99, (-0.004, -0.003)),
    "large": Plane(99.0, (0.001, 0.0005)),
}


def contours(shape: str, reader: tuple[str, str]) -> str:
    pad, reading = getattr(grounds, shape)()
    svg = contours_svg(pad, reading, *reader)
    assert svg is not None
    return svg


def cut_fill(shape: str, reader: tuple[str, str], **changes: float) -> str:
    pad, reading = getattr(grounds, shape)()
    new = grounds.resurfaced(pad, reading, PLANES[shape], **changes)
    svg = cut_fill_svg(pad, new, reading.heights, *reader)
    assert svg is not None
    return svg


def straightedge(shape: str, reader: tuple[str, str]) -> str:
    pad, reading = getattr(grounds, shape)()
    edge = worst_edge(reading)
    assert edge is not None
    return straightedge_svg(pad, edge, *reader)


PICTURES: dict[str, Callable[[str, tuple[str, str]], str]] = {
    "contours": contours,
    "cut_fill": cut_fill,
    "straightedge": straightedge,
}
EVERY = list(itertools.product(PICTURES, SHAPES, READERS))


def drawn(picture: str, shape: str, reader: tuple[str, str] = READERS[0]) -> Drawn:
    pad, _ = getattr(grounds, shape)()
    return Drawn.of(PICTURES[picture](shape, reader), pad.outline)


# --- what every picture has ----------------------------------------------------------------------


@pytest.mark.parametrize(("picture", "shape", "reader"), EVERY)
def test_nothing_is_cut_off_and_no_word_lies_on_another(picture: str, shape: str, reader: tuple[str, str]):
    """All of it lies within the sheet, which a page holds."""
    svg = drawn(picture, shape, reader).svg
    left, top, right, bottom = view_box(svg)
    assert right - left <= WIDEST + 0.01
    assert bottom - top <= HIGHEST + 0.01
    for x, y in ends(svg):
        assert left < x < right
        assert top < y < bottom
    bodies = text_boxes(svg)
    for text, body in bodies:
        assert box(left, top, right, bottom).contains(body), text
    for (one, here), (other, there) in itertools.combinations(bodies, 2):
        assert here.intersection(there).area < 0.05, (one, other)


@pytest.mark.parametrize("reader", READERS)
def test_numbers_of_stakes_at_the_edge_lie_on_no_other(reader: tuple[str, str]):
    """Two- and three-figure numbers every 10 ft from the corner on, as close as they are all written."""
    pad, reading = grounds.surveyed(box(0, 0, 120 * 0.3048, 60 * 0.3048))
    new = grounds.resurfaced(pad, reading, Plane(30.25, (0.0, 0.018)), every=3.048, first=0.0)
    found = Drawn.of(cut_fill_svg(pad, new, reading.heights, *reader), pad.outline)
    assert len(found.dots("0.4")) > 13 * 7
    for (one, here), (other, there) in itertools.combinations(text_boxes(found.svg), 2):
        assert here.buffer(0.2).intersection(there).area == 0, (one, other)


@pytest.mark.parametrize(("picture", "shape", "reader"), EVERY)
def test_the_scale_bar_is_as_long_as_it_says(picture: str, shape: str, reader: tuple[str, str]):
    """Its parts, end to end, are the length beside it at the written scale; so is the outline."""
    found = drawn(picture, shape, reader)
    bar = np.concatenate([p[0] for p in found.paths(stroke_width="0.2") if len(p) == 1 and _is_of_the_bar(p[0])])
    long = (bar[:, 0].max() - bar[:, 0].min()) * found.scale / 1000
    told = [units.parse_length(text) for text in found.words if re.fullmatch(r"[\d.,]+('| m)", text)]
    assert any(long == pytest.approx(length, rel=2e-3) for length in told)
    ((corners,), *_) = found.paths(stroke_width="0.45")
    assert Polygon(found.ground(corners)).area == pytest.approx(found.outline.area, rel=2e-3)


def _is_of_the_bar(corners: np.ndarray) -> bool:
    high = corners[:, 1].max() - corners[:, 1].min()
    return len(corners) == 5 and high == pytest.approx(1.4, abs=0.02) and corners[0, 0] != corners[:, 0].mean()


@pytest.mark.parametrize(("picture", "shape"), list(itertools.product(PICTURES, SHAPES)))
def test_both_languages_say_it_and_neither_speaks_the_other(picture: str, shape: str):
    """Every line of the key is another in the other language; no text is missing."""
    english, spanish = (drawn(picture, shape, (language, "us")) for language in ("en", "es"))
    sentences = {text for text in english.words if len(re.findall(r"[a-z]{3,}", text)) > 1}
    assert len(sentences) >= 4
    assert not sentences & set(spanish.words)
    for found in (english, spanish):
        assert not [
            text for text in found.words if re.search(r"[⟨⟩{}?]$|⟨", text) and "¿" not in text and "?" not in text
        ]
        assert [title.text for title in found.svg.iter(f"{SVG}title")] != [""]


@pytest.mark.parametrize(("picture", "shape"), list(itertools.product(PICTURES, SHAPES)))
def test_no_colour_is_drawn_but_the_few_of_the_house_and_none_alone_tells_anything(picture: str, shape: str):
    """Lines are ink or the courts' paint; what is washed has an outline of ink, so that grey print keeps it."""
    found = drawn(picture, shape).svg
    strokes = {element.attrib.get("stroke", "none") for element in found.iter()}
    assert strokes <= {"#1d2321", "#85827a", "none"}
    fills = {element.attrib["fill"] for element in found.iter() if "fill" in element.attrib}
    assert fills <= {"#1d2321", "#fbfaf6", "#85827a", "#c9dce8", "#e6d8c6", "none"}
    paths = list(found.iter(f"{SVG}path"))
    washes = [n for n, path in enumerate(paths) if path.attrib["fill"] in (colours.WATER, colours.EARTH)]
    for n in washes:
        assert paths[n + 1].attrib.get("stroke") == colours.INK or paths[n].attrib.get("stroke") == colours.INK


@pytest.mark.parametrize(("picture", "shape", "reader"), EVERY)
def test_the_same_pad_gives_the_same_bytes(picture: str, shape: str, reader: tuple[str, str]):
    """And under a megabyte, at as many nodes as a pad may have."""
    one, other = PICTURES[picture](shape, reader), PICTURES[picture](shape, reader)
    assert one == other
    assert len(one.encode()) < 1_000_000


def test_a_picture_is_png_too():
    """At 200 dots an inch unless told, the same each time; ink and paper are in it, a stipple among them."""
    svg = cut_fill("surveyed", ("en", "us"))
    once = png(svg)
    assert once == png(svg)
    assert once[:8] == b"\x89PNG\r\n\x1a\n"
    wide = float(re.search(r'width="([\d.]+)mm"', svg)[1])
    assert int.from_bytes(once[16:20], "big") == pytest.approx(wide / 25.4 * 200, abs=1.5)
    assert int.from_bytes(png(svg, 390)[16:20], "big") == pytest.approx(390, abs=1)


# --- contours ------------------------------------------------------------------------------------


def test_every_low_spot_is_water_at_its_place_with_its_depth():
    """The deepest point of each lies in a wash of its own; its depth is written."""
    _, reading = grounds.surveyed()
    found = drawn("contours", "surveyed")
    washes = [Polygon(at) for at in found.plan(*found.paths(fill=colours.WATER))]
    assert len(washes) == len(reading.low_spots) == 2
    for spot in reading.low_spots:
        assert sum(wash.contains(Point(spot.deepest)) for wash in washes) == 1
        wash = next(wash for wash in washes if wash.contains(Point(spot.deepest)))
        assert wash.area == pytest.approx(spot.outline.area, rel=0.03)
        assert f"{units.show(spot.depth_max, 'small')} deep" in found.words


def test_the_less_likely_a_low_spot_is_the_more_broken_is_its_line():
    """Of the line of each, the share that is drawn falls with its likelihood."""
    pad, reading = grounds.surveyed()
    shares = []
    for likelihood in (0.95, 0.7, 0.4, 0.1):
        spots = (replace(reading.low_spots[0], likelihood=likelihood),)
        found = Drawn.of(contours_svg(pad, replace(reading, low_spots=spots)), pad.outline)
        (line,) = [
            path
            for path in found.svg.iter(f"{SVG}path")
            if path.attrib.get("stroke-width") == "0.28" and len(list(found.plan(_lines(path)))) == 1
        ]
        dashes = [float(part) for part in line.attrib.get("stroke-dasharray", "1 0").split()]
        shares.append(dashes[0] / sum(dashes))
    assert shares[0] == 1.0
    assert shares == sorted(set(shares), reverse=True)


def _lines(path) -> list[np.ndarray]:
    return [np.array(re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.attrib["d"]), dtype=float)]


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("shape", SHAPES)
def test_lines_of_equal_height_lie_at_their_heights(shape: str, reader: tuple[str, str]):
    """Along each line the grid has one height, a whole number of the steps that the key tells."""
    _, reading = getattr(grounds, shape)()
    grid = reading.heights
    x, y = axes_of(grid)
    height = RegularGridInterpolator((y, x), grid.height, bounds_error=False)
    found = drawn("contours", shape, reader)
    pattern = r"every ([\d.]+) ft" if reader == ("en", "us") else r"cada ([\d.]+) mm"
    told = next(match[1] for text in found.words if (match := re.search(pattern, " ".join(found.words))))
    step = float(told) * (0.3048 if reader[1] == "us" else 0.001)
    lines = [at for at in found.plan(*found.paths(stroke="#1d2321", stroke_width="0.2")) if len(at) > 2]
    lines = [at for at in lines if not _is_closed_box(at)]
    assert len(lines) >= 3
    for at in lines:
        here = height(at[:, ::-1])
        here = here[np.isfinite(here)]
        if len(here) == 0:
            continue
        level = float(np.median(here))
        assert np.abs(here - level).max() < 0.003  # a pit has a sharp rim, between two nodes
        assert abs(level / step - round(level / step)) * step < 0.1 * step + 2e-4


def _is_closed_box(at: np.ndarray) -> bool:
    return len(at) in (4, 5) and bool((at[0] == at[-1]).all())


def test_lines_are_broken_where_heights_are_doubtful():
    """On the half of a pad that is known to a foot only, and nowhere else."""
    pad, reading = grounds.surveyed(shape=lambda x, y: 30 - 0.01 * y)
    sd = np.where(axes_of(reading.heights)[0] > 20, 0.3, 0.001) * np.ones_like(reading.heights.sd)
    svg = contours_svg(pad, replace(reading, low_spots=(), heights=replace(reading.heights, sd=sd)))
    found = Drawn.of(svg, pad.outline)
    broken = np.concatenate(list(found.plan(*found.paths(stroke_width="0.2", stroke_dasharray="1.6 1.1"))))
    firm = [
        at for at in found.plan(*found.paths(stroke_width="0.2")) if np.ptp(at[:, 1]) < 0.2 and np.ptp(at[:, 0]) > 5
    ]
    assert broken[:, 0].min() == pytest.approx(20, abs=0.5)
    assert broken[:, 0].max() == pytest.approx(36, abs=0.1)
    assert min(at[:, 0].min() for at in firm) == pytest.approx(0, abs=0.1)
    assert "the same where heights are less sure" in found.words


def test_every_shot_is_a_small_cross_and_a_doubtful_one_is_named():
    """At its place; a ring and its name where the others do not bear it out."""
    pad, reading = grounds.surveyed()
    doubt = say("ground.shot-high", name="p17", x=12.0, y=3.0, off=0.0254, source="made.csv")
    found = Drawn.of(contours_svg(pad, replace(reading, notes=(doubt,))), pad.outline)
    crosses = np.array([arm.mean(axis=0) for arm in _arms(found)])
    for shot in pad.shots.xyz[:, :2]:
        assert int((np.hypot(*(crosses - shot).T) < 0.05).sum()) == 2
    assert len(crosses) == 2 * len(pad.shots.xyz)
    assert "p17: 1 in high?" in found.words
    rings = [at for at in found.plan(*found.paths(stroke_width="0.3")) if len(at) > 20]
    assert any(np.hypot(*(ring.mean(axis=0) - (12.0, 3.0))) < 0.2 for ring in rings)


def _arms(found: Drawn) -> list[np.ndarray]:
    """Return the strokes of crosses, each 1.1 mm wide and high."""
    lines = found.plan(*found.paths(stroke_width="0.15"))
    side = 1.1 * found.scale / 1000
    return [line for line in lines if len(line) == 2 and np.ptp(line, axis=0) == pytest.approx(side, rel=0.02)]


def test_of_a_scan_as_many_shots_are_drawn_as_can_be_told_apart():
    """Three thousand on a small pad: fewer crosses, and both numbers in the key."""
    pad, reading = grounds.surveyed(box(0, 0, 12, 6), lambda x, y: 9 - 0.01 * x)
    x, y = (axis.ravel() for axis in np.meshgrid(np.linspace(0, 12, 72), np.linspace(0, 6, 36)))
    shots = replace(pad.shots, xyz=np.column_stack([x, y, 9 - 0.01 * x]), names=())
    found = Drawn.of(contours_svg(replace(pad, shots=shots), reading), pad.outline)
    told = re.search(r"shot; ([\d,]+) of 2,592 are drawn", " ".join(found.words))[1]
    arms = _arms(found)
    assert len(arms) == 2 * int(told.replace(",", ""))
    assert len(arms) < 2592


def test_without_heights_there_is_no_picture():
    """Nothing is made up."""
    pad, reading = pads.empty()
    assert contours_svg(pad, reading) is None
    assert worst_edge(reading) is None


# --- cut and fill --------------------------------------------------------------------------------


def fill_of(shape: str) -> tuple[RegularGridInterpolator, Pad]:
    pad, reading = getattr(grounds, shape)()
    grid = reading.heights
    x, y = axes_of(grid)
    across, up = np.meshgrid(x, y)
    plane = PLANES[shape]
    fill = plane.level + plane.gradient[0] * across + plane.gradient[1] * up - grid.height
    return RegularGridInterpolator((y, x), fill, bounds_error=False), pad


def stipple(found: Drawn) -> np.ndarray:
    (dots,) = [path for path in found.paths(stroke_linecap="round") if len(path) > 40]
    return found.ground(np.concatenate(dots))


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("shape", SHAPES)
def test_cut_is_stippled_and_fill_is_ruled_and_neither_is_the_other(shape: str, reader: tuple[str, str]):
    """At every dot the new surface lies under the old one, along every rule above it; both cover their parts."""
    fill, pad = fill_of(shape)
    found = drawn("cut_fill", shape, reader)
    dots = stipple(found)
    here = fill(dots[:, ::-1])
    assert np.nanmax(here) < 1e-4
    rules = list(found.plan(*found.paths(stroke_width="0.12")))
    along = np.concatenate(
        [[a, a + (b - a) / 3, (a + b) / 2, b] for a, b in (line for line in rules if len(line) == 2)]
    )
    there = fill(along[:, ::-1])
    assert np.nanmin(there) > -1e-3
    assert np.isfinite(here).sum() > 20
    assert np.isfinite(there).sum() > 20
    _covers(found, fill, pad, dots, rules)


def _covers(found: Drawn, fill, pad: Pad, dots: np.ndarray, rules: list[np.ndarray]) -> None:
    left, low, right, high = pad.outline.bounds
    places = np.random.default_rng(1).uniform((left, low), (right, high), (300, 2))
    lines = [LineString(rule) for rule in rules]
    near = 2.5 * found.scale / 1000
    for place in places:
        at, depth = Point(place), float(fill(place[::-1])[0])
        if not pad.outline.buffer(-near / 2).contains(at) or abs(depth) < 0.004:
            continue
        has_dot = bool(np.hypot(*(dots - place).T).min() < near)
        has_rule = min(line.distance(at) for line in lines) < near
        assert has_dot if depth < 0 else has_rule, (place, depth)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_heavy_line_lies_where_cut_turns_to_fill(shape: str):
    """Along it the grid has no fill; between any two neighbouring nodes of other sign it passes."""
    fill, pad = fill_of(shape)
    found = drawn("cut_fill", shape)
    zero = list(found.plan(*found.paths(stroke_width="0.7")))
    assert zero
    for line in zero:
        assert np.nanmax(np.abs(fill(line[:, ::-1]))) < 1.5e-3
    heavy = [LineString(line) for line in zero if len(line) > 1]
    y, x = fill.grid
    sign = np.sign(fill.values)
    for row, col in np.argwhere(
        (sign[:, 1:] * sign[:, :-1] < 0) & np.isfinite(fill.values[:, 1:] + fill.values[:, :-1])
    ):
        between = LineString([(x[col], y[row]), (x[col + 1], y[row])])
        if pad.outline.contains(between):
            assert min(line.distance(between) for line in heavy) < 0.02


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("shape", ["surveyed", "turned"])
def test_depths_are_written_at_the_stakes(shape: str, reader: tuple[str, str]):
    """Each dot has a number beside it, that of its stake: inches to an eighth or millimetres, a cut with a minus."""
    pad, reading = getattr(grounds, shape)()
    new = grounds.resurfaced(pad, reading, PLANES[shape])
    found = drawn("cut_fill", shape, reader)
    dots = found.dots("0.4")
    boxes = [(text, body) for text, body in text_boxes(found.svg) if re.fullmatch(r"−?[\d/-]+", text)]
    places = [(text, found.ground(np.array([[body.centroid.x, body.centroid.y]]))[0]) for text, body in boxes]
    seen = 0
    for stake in new.stakes:
        at = np.array([stake.x, stake.y])
        if np.hypot(*(dots - at).T).min() > 0.03:
            continue
        text, _ = min(places, key=lambda place: np.hypot(*(place[1] - at)))
        assert _number(text, reader[1]) == pytest.approx(
            stake.fill, abs=(0.0254 / 16 if reader[1] == "us" else 5e-4) + 1e-6
        )
        seen += 1
    assert seen >= len(new.stakes) / 5


def _number(text: str, system: str) -> float:
    sign = -1.0 if text.startswith("−") else 1.0
    bare = text.removeprefix("−")
    return sign * (units.parse_length(f"{bare} in") if system == "us" else float(bare) / 1000)


def test_the_doubt_of_the_heavy_line_is_a_band():
    """A plane that rises by 1 % from a level pad known to 5 mm: 1.645 times that to either side is 0.82 m."""
    pad, reading = grounds.surveyed(shape=lambda x, y: 30.0 + 0 * x, sd=0.005)
    new = grounds.resurfaced(pad, reading, Plane(30.0 - 0.18, (0.01, 0.0)))
    found = Drawn.of(cut_fill_svg(pad, new, reading.heights), pad.outline)
    band = [at[:, 0].mean() for at in found.plan(*found.paths(stroke_width="0.2", stroke_dasharray="1.6 1.1"))]
    assert sorted(band) == pytest.approx([18 - 0.8225, 18 + 0.8225], abs=0.02)
    (zero,) = found.plan(*found.paths(stroke_width="0.7"))
    assert zero[:, 0] == pytest.approx(18.0, abs=0.01)


def test_what_is_milled_first_is_edged_and_two_lifts_are_ruled_crosswise():
    """On the same pad: milled where less than 38 mm lie above, crosswise where more than a lift does."""
    pad, reading = grounds.surveyed(shape=lambda x, y: 30.0 + 0 * x)
    new = grounds.resurfaced(pad, reading, Plane(30.0 - 0.18, (0.01, 0.0)), milled=0.2)
    found = Drawn.of(cut_fill_svg(pad, new, reading.heights), pad.outline)
    (edge,) = found.plan(*found.paths(stroke_width="0.35", stroke_dasharray="0.3 0.9"))
    assert edge[:, 0] == pytest.approx(18 + 3.8, abs=0.01)
    falling = [at for at in found.plan(*found.paths(stroke_width="0.12")) if np.prod(at[1] - at[0]) > 0]
    rising = [at for at in found.plan(*found.paths(stroke_width="0.12")) if np.prod(at[1] - at[0]) < 0]
    starts = sorted(min(at[:, 0].min() for at in lines) for lines in (falling, rising))
    assert starts == pytest.approx([18.0, 18 + 5.1], abs=0.15)  # over 51 mm it is laid in two lifts
    assert "First the old surface is milled, up to 7-7/8 in deep, 0.131 cy in all." in found.words or any(
        text.startswith("First the old surface is milled, up to 7-7/8 in deep") for text in found.words
    )


def test_a_fold_lies_where_its_planes_meet():
    """Two planes that meet over x = 18 m: a ridge, and an arrow with its percent on each side."""
    pad, reading = grounds.surveyed(shape=lambda x, y: 29.5 + 0 * x)
    planes = (Plane(30.0 - 0.18, (0.01, 0.0)), Plane(30.0 + 0.108, (-0.006, 0.0)))
    found = Drawn.of(cut_fill_svg(pad, grounds.resurfaced(pad, reading, *planes), reading.heights), pad.outline)
    folds = list(found.plan(*found.paths(stroke_width="0.3", stroke_dasharray="4 0.8 0.5 0.8")))
    assert np.concatenate(folds)[:, 0] == pytest.approx(18.0, abs=0.01)
    assert {"1 %", "0.6 %"} <= set(found.words)
    assert any("above the old one everywhere" in text for text in found.words)


# --- the straightedge ----------------------------------------------------------------------------


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("shape", SHAPES)
def test_the_gap_that_is_drawn_is_that_of_the_flatness(shape: str, reader: tuple[str, str]):
    """On paper by the scale and the exaggeration that are written, and in words."""
    _, reading = getattr(grounds, shape)()
    flat = reading.flatness
    found = drawn("straightedge", shape, reader)
    scale, taller = _profile_scale(found)
    bottom = found.paths(stroke_width="0.45")[0][0][:, 1].max()
    beneath = [p[0] for p in found.paths(stroke_width="0.3") if len(p[0]) == 2 and p[0][:, 1].min() > bottom]
    gaps = [line for line in beneath if line[0, 0] == line[1, 0] and line[0, 1] != line[1, 1]]
    high = max(float(np.ptp(line[:, 1])) for line in gaps)
    assert high * scale / taller / 1000 == pytest.approx(flat.gap_max, abs=0.011 * scale / taller / 1000 + 1e-9)
    word = "gap" if reader[0] == "en" else "hueco"
    assert found.words.count(f"{word} {units.show(flat.gap_max, 'small', reader[1], reader[0])}") == 2


def _profile_scale(found: Drawn) -> tuple[float, float]:
    pattern = r"(?:lengths|largos) 1:(\d+), (?:heights drawn|alturas dibujadas) (\d+) (?:times|veces)"
    return next((float(m[1]), float(m[2])) for text in found.words if (m := re.search(pattern, text)))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_straightedge_lies_on_the_plan_at_its_true_length_over_its_gap(shape: str):
    """Ten feet long, its dot where the flatness says, along its bearing."""
    pad, reading = getattr(grounds, shape)()
    flat = reading.flatness
    found = drawn("straightedge", shape)
    (bar,) = [
        at
        for at in found.plan(*found.paths(fill=colours.PAPER, stroke_width="0.4"))
        if pad.outline.buffer(1).contains(Polygon(at))
    ]
    sides = np.hypot(*np.diff(bar, axis=0).T)
    assert sides.max() == pytest.approx(flat.straightedge, rel=2e-3)
    dots = found.dots("0.5")
    assert np.hypot(*(dots - np.array(flat.at)).T).min() < 0.01 * found.scale / 1000 + 1e-3
    long = np.diff(bar, axis=0)[sides.argmax()]
    turn = (math.atan2(long[0], long[1]) - flat.bearing) % math.pi
    assert min(turn, math.pi - turn) < 0.02
    assert Polygon(bar).distance(Point(flat.at)) < 1e-6


def test_the_profile_is_the_surface_and_its_doubt_a_band_about_it():
    """The level line less the surface, by the written scales; 1.645 standard uncertainties to either side."""
    _, reading = grounds.surveyed()
    edge = worst_edge(reading)
    found = drawn("straightedge", "surveyed")
    scale, taller = _profile_scale(found)
    bottom = found.paths(stroke_width="0.45")[0][0][:, 1].max()
    (surface,) = [
        p[0] for p in found.paths(stroke_width="0.4", fill="none") if p[0][:, 1].min() > bottom and len(p[0]) > 5
    ]
    depth = (surface[:, 1] - surface[0, 1]) * scale / taller / 1000
    assert depth == pytest.approx(edge.laid.below - edge.laid.below[0], abs=0.02 * scale / taller / 1000)
    along = (surface[:, 0] - surface[0, 0]) * scale / 1000
    assert along == pytest.approx(edge.laid.along - edge.laid.along[0], abs=0.02 * scale / 1000)
    upper, lower = (p[0] for p in found.paths(stroke_width="0.15", stroke_dasharray="0.5 0.8")[:2])
    wide = np.abs(lower[:, 1] - upper[:, 1]) * scale / taller / 1000
    assert wide == pytest.approx(2 * 1.645 * 0.002, abs=0.03 * scale / taller / 1000)
    (earth,) = [p[0] for p in found.paths(fill=colours.EARTH) if len(p[0]) > 6]
    assert earth[:, 1].max() > max(upper[:, 1].max(), lower[:, 1].max()) + 2
    assert min(upper[:, 1].min(), lower[:, 1].min()) > bottom + 2
