"""Plans: to scale, with nothing cut off, no word on another, and a key for what is drawn and nothing else."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, scale, translate

from courtwright.ground.reading import LowSpot, PadReading
from courtwright.offer.canvas import TYPE_SIZE
from courtwright.offer.colours import COURT, INK, PAPER
from courtwright.offer.lettering import text_width
from courtwright.offer.plan import HIGHEST, WIDEST, plan_svg
from courtwright.offer.plan.contours import contour
from courtwright.offer.plan.scales import bar_length, scales
from courtwright.site.record import Court, Mark, Pad, Tally
from tests.offer import pads

SVG = "{http://www.w3.org/2000/svg}"
SHAPES = ("repairable", "finished", "empty", "many_marks", "crowded")
READERS = [("en", "us"), ("es", "metric")]
EVERY = list(itertools.product(SHAPES, READERS))


def drawn(shape: str, reader: tuple[str, str]) -> ElementTree.Element:
    return ElementTree.fromstring(plan_svg(*getattr(pads, shape)(), *reader))


def words(svg: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in svg.iter(f"{SVG}text")]


def view_box(svg: ElementTree.Element) -> tuple[float, float, float, float]:
    left, top, wide, high = map(float, svg.attrib["viewBox"].split())
    return left, top, left + wide, top + high


def text_boxes(svg: ElementTree.Element) -> list[tuple[str, Polygon]]:
    """Ink of each line of type: baseline to the height of its capitals."""
    found = []
    for element in svg.iter(f"{SVG}text"):
        x, y, size = (float(element.attrib[name]) for name in ("x", "y", "font-size"))
        text = element.text or ""
        found.append((text, box(x, y - 0.7 * size, x + text_width(text, size), y)))
    return found


def contrast(one: str, other: str) -> float:
    """How many times as light one colour is as another: WCAG 2.2, "contrast ratio" and "relative luminance"."""

    def light(colour: str) -> float:
        shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    dark, bright = sorted((light(one), light(other)))
    return (bright + 0.05) / (dark + 0.05)


def ends(svg: ElementTree.Element) -> list[tuple[float, float]]:
    numbers = r"(-?[\d.]+),(-?[\d.]+)"
    found = [
        tuple(map(float, pair)) for path in svg.iter(f"{SVG}path") for pair in re.findall(numbers, path.attrib["d"])
    ]
    for circle in svg.iter(f"{SVG}circle"):
        x, y, r = (float(circle.attrib[name]) for name in ("cx", "cy", "r"))
        found += [(x - r, y - r), (x + r, y + r)]
    return found


def scale_of(svg: ElementTree.Element) -> int:
    return next(int(found[1].replace(",", "")) for text in words(svg) if (found := re.search(r"1:([\d,]+)", text)))


# --- to scale ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("shape", "reader"), EVERY)
def test_the_outline_is_as_long_as_the_scale_says(shape: str, reader: tuple[str, str]):
    """The first closed heavy line is the outline: its area times the square of the scale is the pad's."""
    pad, _ = getattr(pads, shape)()
    svg = drawn(shape, reader)
    outline = next(p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-width") == "0.45")
    corners = [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+),(-?[\d.]+)", outline.attrib["d"])]
    area = Polygon(corners).area * (scale_of(svg) / 1000) ** 2
    assert area == pytest.approx(pad.outline.area, rel=2e-3)  # hundredths of a millimetre on paper


@pytest.mark.parametrize("units", ["us", "metric"])
@given(share=st.floats(0.02, 60.0))
def test_a_pad_of_any_size_is_drawn_at_a_scale_of_the_rule_and_fits_a_page(units: str, share: float):
    """From a doghouse to a parade ground."""
    pad, reading = pads.empty()
    outline = scale(pad.outline, share, share, origin=(0, 0))
    svg = ElementTree.fromstring(
        plan_svg(replace(pad, outline=outline), replace(reading, area=outline.area), "en", units)
    )
    assert scale_of(svg) in scales(units)
    assert float(svg.attrib["width"].removesuffix("mm")) <= WIDEST
    assert float(svg.attrib["height"].removesuffix("mm")) <= HIGHEST


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_scale_bar_is_a_round_length_that_fits_beneath_the_plan(units: str):
    """25 to 65 mm of paper at every scale of the rule."""
    for number in scales(units):
        length, parts = bar_length(number, units)
        assert 25 <= length * 1000 / number <= 65
        assert parts in (2, 4, 5)


# --- nothing cut off, nothing overlapping --------------------------------------------------------


@pytest.mark.parametrize(("shape", "reader"), EVERY)
def test_everything_lies_within_the_sheet(shape: str, reader: tuple[str, str]):
    """Lines, dots and words, trees included, within a view box that is its true size in millimetres."""
    svg = drawn(shape, reader)
    left, top, right, bottom = view_box(svg)
    assert float(svg.attrib["width"].removesuffix("mm")) == pytest.approx(right - left, abs=0.02)
    for x, y in ends(svg):
        assert left < x < right
        assert top < y < bottom
    for text, body in text_boxes(svg):
        assert box(left, top, right, bottom).contains(body), text


@pytest.mark.parametrize(("shape", "reader"), EVERY)
def test_no_word_lies_on_another(shape: str, reader: tuple[str, str]):
    """Labels stand aside for each other, however many there are."""
    for (a, first), (b, second) in itertools.combinations(text_boxes(drawn(shape, reader)), 2):
        assert not first.intersects(second), f"{a!r} on {b!r}"


@pytest.mark.parametrize(("shape", "reader"), EVERY)
def test_type_is_ten_points_or_more(shape: str, reader: tuple[str, str]):
    """3.53 mm."""
    sizes = {float(element.attrib["font-size"]) for element in drawn(shape, reader).iter(f"{SVG}text")}
    assert min(sizes) >= TYPE_SIZE


@given(turn=st.floats(0, 360), east=st.floats(-1e4, 1e4), north=st.floats(-1e4, 1e4))
def test_a_pad_may_lie_anywhere_in_its_frame(turn: float, east: float, north: float):
    """Turned and far from the origin, it is still all on the sheet."""
    pad, reading = pads.empty()
    outline = translate(rotate(pad.outline, turn), east, north)
    svg = ElementTree.fromstring(plan_svg(replace(pad, outline=outline), reading))
    left, top, right, bottom = view_box(svg)
    assert all(left < x < right and top < y < bottom for x, y in ends(svg))


# --- meaning -------------------------------------------------------------------------------------

ROLES = {"#1d2321", "#fbfaf6", "#d8d6cd", "#85827a", "#c9dce8", "#e6d8c6", "#d3ddcc", "#a9a79e", "none"}


@pytest.mark.parametrize(("shape", "reader"), EVERY)
def test_only_the_roles_of_colour_are_used_and_every_line_of_meaning_is_ink(shape: str, reader: tuple[str, str]):
    """Washes and hairlines fill; what is stroked is ink, paper or the ground of the drawing."""
    for element in drawn(shape, reader).iter():
        assert element.attrib.get("fill", "none") in ROLES
        assert element.attrib.get("stroke", "none") in {"#1d2321", "#fbfaf6", "#85827a", "none"}


def one(mark: Mark, **changes: object) -> tuple[Pad, PadReading]:
    pad, reading = pads.empty()
    return replace(pad, marks=(mark,), tallies=(), **changes), reading


@pytest.mark.parametrize(
    ("kind", "geometry", "properties", "key"),
    [
        ("trees", Point(20, 5), {}, "trees"),
        ("drain", Point(3, 3), {}, "drain"),
        ("gate", Point(0, 3), {}, "gate"),
        ("fence", box(0, 0, 18, 9).exterior, {}, "fence"),
        ("post", Point(4, 4), {"post": "net"}, "net post"),
        ("probe", Point(4, 4), {}, "probe"),
        ("heave", Point(4, 4), {"height": 0.03}, "heave"),
        ("crack", box(2, 2, 9, 8).exterior, {"width": 0.01}, "crack"),
        ("utility", LineString([(0, 1), (18, 2)]), {"utility": "gas"}, "not located"),
        ("joint", LineString([(0, 1), (18, 2)]), {}, "joint"),
        ("sand", Point(3, 3), {}, "sand"),
        ("worn", box(2, 2, 4, 4), {"wear": "faded"}, "worn"),
        ("edge", LineString([(0, 0), (9, 0)]), {"stands": "above", "of": "sod", "height": 0.05}, "sod"),
        ("edge", LineString([(0, 0), (9, 0)]), {"stands": "flush", "of": "wall"}, "wall"),
    ],
)
def test_the_key_holds_what_is_drawn_and_nothing_else(kind: str, geometry, properties: dict, key: str):
    """A mark brings its own entry; without it the key has the outline alone."""
    without = words(ElementTree.fromstring(plan_svg(*one(pads.mark("note", 1, Point(1, 1))))))
    with_it = words(ElementTree.fromstring(plan_svg(*one(pads.mark(kind, 1, geometry, **properties)))))
    assert any(key in text for text in with_it)
    assert not any(key in text for text in without)
    assert any("edge of the pavement" in text for text in without)


def test_a_crack_is_drawn_as_wide_as_it_is_times_the_factor_that_is_written():
    """12.5 mm at 1:n, times the factor of the key, in millimetres of paper."""
    path = LineString([(2, 2), (14, 5)])
    svg = ElementTree.fromstring(plan_svg(*one(pads.mark("crack", 1, path, width=0.0125)), "en", "metric"))
    factor = next(int(found[1]) for text in words(svg) if (found := re.search(r"drawn (\d+) times", text)))
    widths = {float(p.attrib["stroke-width"]) for p in svg.iter(f"{SVG}path") if "stroke-width" in p.attrib}
    assert round(12.5 / scale_of(svg) * factor, 2) in widths


def test_a_doubtful_low_spot_has_a_broken_line_and_the_more_so_the_less_likely():
    """Nine in ten: firm; below, dashes that grow shorter."""
    pad, reading = pads.empty()
    lines = []
    for likelihood in (0.95, 0.7, 0.4, 0.1):
        spot = LowSpot("low-1", 4.0, 0.01, 0.02, None, (9, 4), likelihood, Point(9, 4).buffer(1.5))
        svg = ElementTree.fromstring(plan_svg(pad, replace(reading, low_spots=(spot,))))
        shores = [p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-width") == "0.28"]
        lines.append(float(shores[0].attrib.get("stroke-dasharray", "99 0").split()[0]))
    assert lines == sorted(lines, reverse=True)
    assert len(set(lines)) == 4


def test_a_steeper_court_has_a_longer_arrow_that_points_downhill():
    """A bearing of 90 degrees falls to the pad's +x: to the right of the sheet."""
    pad, reading = pads.empty()
    court = Court("1", "pickleball", (9, 4.5))
    long = []
    for slope in (0.005, 0.01, 0.02):
        part = replace(reading, courts=(pads.plane(court, slope, math.pi / 2),))
        svg = ElementTree.fromstring(plan_svg(replace(pad, courts=(court,)), part))
        shaft = next(p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-width") == "0.4")
        (x0, y0), (x1, y1) = (tuple(map(float, p)) for p in re.findall(r"(-?[\d.]+),(-?[\d.]+)", shaft.attrib["d"]))
        assert y0 == pytest.approx(y1, abs=0.02)
        long.append(x1 - x0)
        assert f"{slope * 100:.2f}".rstrip("0").rstrip(".") + " %" in words(svg)
    assert long == sorted(long)
    assert long[0] > 0


def test_a_free_piece_is_lifted_and_a_held_one_is_not():
    """The shadow and the area go with the piece that nothing holds."""
    pad, reading = pads.finished()
    held = replace(reading, pieces=tuple(replace(piece, free=False) for piece in reading.pieces))
    free, still = plan_svg(pad, reading), plan_svg(pad, held)
    assert "#a9a79e" in free
    assert "free, " in free
    assert "#a9a79e" not in still
    assert "free, " not in still


def test_what_stands_far_off_is_told_and_does_not_shrink_the_plan():
    """A tree 40 m east of the pad: an arrow that points east, its distance, at most one scale down."""
    pad, reading = pads.empty()
    right, middle = pad.outline.bounds[2], pad.outline.centroid.y
    far = replace(
        pad, marks=(Mark("t", "trees", Point(right + 40.0, middle)), Mark("d", "drain", Point(-90.0, middle)))
    )
    svg = ElementTree.fromstring(plan_svg(far, reading, "en", "metric"))
    alone = scales("metric").index(scale_of(ElementTree.fromstring(plan_svg(pad, reading, "en", "metric"))))
    assert scale_of(svg) <= scales("metric")[alone + 1]
    assert "trees, about 40 m off" in words(svg)
    assert "drain, about 90 m off" in words(svg)
    assert "toward what stands beyond this sheet" in words(svg)
    shafts = [p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-width") == "0.25"]
    (x0, y0), (x1, y1) = (tuple(map(float, p)) for p in re.findall(r"(-?[\d.]+),(-?[\d.]+)", shafts[0].attrib["d"]))
    assert x1 > x0
    assert y1 == pytest.approx(y0, abs=0.02)


def test_a_row_of_trees_is_drawn_as_far_as_the_sheet_goes():
    """Of ten trees over 100 m from the pad's edge, the 12 m that the sheet shows hold one."""
    pad, reading = pads.empty()
    right, middle = pad.outline.bounds[2], pad.outline.centroid.y
    row = Mark("t", "trees", LineString([(right, middle), (right + 100, middle)]), {"count": 10.0})
    svg = ElementTree.fromstring(plan_svg(replace(pad, marks=(row,)), reading))
    crowns = [p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-dasharray") == "1.2 0.6"]
    assert len(crowns) == 2  # the tree, and its sample in the key
    assert not [text for text in words(svg) if "off" in text]


@pytest.mark.parametrize("north", [0.0, math.pi / 2, math.pi, 4.0])
def test_the_arrow_points_north(north: float):
    """Where +y bears 90 degrees, north is to the left of the sheet."""
    pad, reading = pads.empty()
    svg = ElementTree.fromstring(plan_svg(replace(pad, north=north), reading))
    letter = next(e for e in svg.iter(f"{SVG}text") if e.text == "N")
    shafts = [p for p in svg.iter(f"{SVG}path") if p.attrib.get("stroke-width") == "0.3"]
    (x0, y0), (x1, y1) = (tuple(map(float, p)) for p in re.findall(r"(-?[\d.]+),(-?[\d.]+)", shafts[-1].attrib["d"]))
    assert math.atan2(x1 - x0, y0 - y1) % (2 * math.pi) == pytest.approx(-north % (2 * math.pi), abs=0.01)
    assert letter is not None


def test_what_was_not_measured_is_said():
    """No north, no heights; what was counted and not drawn, in one sentence."""
    said = " ".join(words(drawn("empty", ("en", "us"))))
    for text in (
        "north not measured",
        "Heights were not measured",
        "what was found on this pad was counted",
    ):
        assert text in said
    assert "Nothing was marked" not in said
    assert "More was counted than drawn" not in said
    assert "norte sin medir" in " ".join(words(drawn("empty", ("es", "metric"))))


def test_one_true_sentence_tells_what_was_counted():
    """Nothing at all, only counted, more counted than drawn, and all that was counted drawn."""
    pad, reading = pads.empty()
    crack = pads.mark("crack", 1, LineString([(1, 1), (6, 1)]))
    bare, some, counted = "Nothing was marked on this pad.", "More was counted than drawn", "Nothing is drawn here"

    def told(pad: Pad) -> list[str]:
        said = " ".join(words(ElementTree.fromstring(plan_svg(pad, reading))))
        return [sentence for sentence in (bare, some, counted) if sentence in said]

    assert told(replace(pad, tallies=())) == [bare]
    assert told(pad) == [counted]
    assert told(replace(pad, marks=(crack,))) == [some]
    assert told(replace(pad, marks=(crack,), tallies=(Tally("crack", length=5.0),))) == []


def test_court_lines_are_found_on_paper_and_are_quieter_than_marks():
    """Wide enough for a printer, three times as dark as their ground, and lighter than ink."""
    svg = drawn("repairable", ("en", "us"))
    paint = [p for p in svg.iter(f"{SVG}path") if p.attrib["fill"] == COURT]
    assert len(paint) > 8  # the lines of one tennis court at least
    for line in paint:
        x, y = zip(*(map(float, p) for p in re.findall(r"(-?[\d.]+),(-?[\d.]+)", line.attrib["d"])), strict=True)
        assert min(max(x) - min(x), max(y) - min(y)) >= 0.28  # coordinates are rounded to hundredths
    assert 3.0 < contrast(COURT, PAPER) < contrast(INK, PAPER) / 2


# --- contours ------------------------------------------------------------------------------------


def test_a_contour_of_a_cone_is_a_circle():
    """Height falls by 1 a metre from the tip: the line of 3 below it is a circle of radius 3, its length 18.85."""
    x, y = np.meshgrid(np.arange(-5, 5.01, 0.05), np.arange(-5, 5.01, 0.05))
    line = contour(np.hypot(x, y), 3.0, -5.0, -5.0, 0.05)
    assert line.length == pytest.approx(2 * math.pi * 3, rel=1e-3)
    assert len(line.geoms) == 1


def test_a_contour_stops_at_what_is_not_known():
    """Cells without a value have no line."""
    grid = np.tile(np.arange(6.0), (4, 1))
    grid[2:, :] = np.nan
    assert contour(grid, 2.5, 0.0, 0.0, 1.0).bounds == (2.5, 0.0, 2.5, 1.0)
    assert contour(grid, 99.0, 0.0, 0.0, 1.0).is_empty
