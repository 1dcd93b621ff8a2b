"""Old repairs as strips at their true width: solid where they sound solid, hatched where hollow, taps as dots."""

from __future__ import annotations

from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon, box, voronoi_polygons
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import OldRepair
from courtwright.offer.canvas import Canvas, parts
from courtwright.offer.colours import HAIRLINE, INK, PAPER
from courtwright.offer.plan.hatching import hatching
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

#: States of a mark that mean the strip has let go.
_LET_GO = frozenset({"hollow", "rippled", "split", "lifted"})
_HATCH = 1.1  # mm
_LEAST_WIDE = 1.3  # mm
_TAP_REACH = 0.3  # m


def draw_repairs(scene: Scene) -> None:
    """Draw every old repair and every tap with a hammer."""
    marks = {mark.id: mark for mark in scene.pad.of_kind("old-repair")}
    for repair in scene.reading.old_repairs:
        mark, strip = marks.get(repair.id), _strip(scene, repair)
        for part, hollow in _sounded(scene, repair, mark, strip):
            _draw_part(scene, part, hollow)
        scene.canvas.shape(strip.boundary, stroke=INK, width=0.2)
        scene.ink.append(strip)
    for mark in scene.pad.of_kind("sounding"):
        at = scene.place((mark.geometry.centroid.x, mark.geometry.centroid.y))
        _tap(scene.canvas, at[0], at[1], hollow=mark.word("sounds") == "hollow")
        scene.explain("key-taps", _sample_taps)


def _strip(scene: Scene, repair: OldRepair) -> BaseGeometry:
    """Return the strip on paper, never narrower than its hatching can be seen. [mm]"""
    strip = scene.on_paper(repair.outline)
    narrow = 2 * strip.area / max(strip.length, 1e-9)
    return strip.buffer((_LEAST_WIDE - narrow) / 2, join_style="mitre") if narrow < _LEAST_WIDE else strip


def _sounded(
    scene: Scene, repair: OldRepair, mark: Mark | None, strip: BaseGeometry
) -> list[tuple[BaseGeometry, bool | None]]:
    """Return the parts of a strip and whether each is hollow (None: nobody tapped it)."""
    taps = [
        tap
        for tap in scene.pad.of_kind("sounding")
        if isinstance(tap.geometry, Point) and tap.geometry.distance(repair.outline) <= _TAP_REACH
    ]
    if len(taps) >= 2:
        places = [Point(scene.place((tap.geometry.centroid.x, tap.geometry.centroid.y))) for tap in taps]
        cells = voronoi_polygons(MultiPoint(places), extend_to=box(*strip.bounds), ordered=False)
        return [
            (cell.intersection(strip), taps[_nearest(cell, places)].word("sounds") == "hollow") for cell in cells.geoms
        ]
    state = mark.word("state") if mark is not None else None
    if state is not None:
        return [(strip, state in _LET_GO)]
    return [(strip, taps[0].word("sounds") == "hollow" if taps else None)]


def _nearest(cell: BaseGeometry, places: list[Point]) -> int:
    return min(range(len(places)), key=lambda i: cell.distance(places[i]))


def _draw_part(scene: Scene, part: BaseGeometry, hollow: bool | None) -> None:
    scene.canvas.shape(part, fill=PAPER if hollow is not False else HAIRLINE)
    if hollow:
        scene.canvas.shape(_lines(hatching(part, _HATCH)), stroke=INK, width=0.2)
        scene.explain("key-repair-hollow", _sample_hollow)
    elif hollow is None:
        scene.explain("key-repair-unsounded", _sample_unsounded)
    else:
        scene.explain("key-repair-sound", _sample_sound)


def _lines(geometry: BaseGeometry) -> BaseGeometry:
    return MultiLineString([part for part in parts(geometry) if isinstance(part, LineString)])


def _tap(canvas: Canvas, x: float, y: float, *, hollow: bool) -> None:
    canvas.dot((x, y), 0.5, fill=PAPER if hollow else INK, width=0.18)


def _strip_sample(canvas: Canvas, x: float, y: float, *, fill: str, hatched: bool) -> None:
    strip: Polygon = box(x, y - 1.0, x + 12, y + 1.0)
    canvas.shape(strip, fill=fill)
    if hatched:
        canvas.shape(hatching(strip, _HATCH), stroke=INK, width=0.2)
    canvas.shape(strip.boundary, stroke=INK, width=0.2)


def _sample_hollow(canvas: Canvas, x: float, y: float) -> None:
    _strip_sample(canvas, x, y, fill=PAPER, hatched=True)


def _sample_unsounded(canvas: Canvas, x: float, y: float) -> None:
    _strip_sample(canvas, x, y, fill=PAPER, hatched=False)


def _sample_sound(canvas: Canvas, x: float, y: float) -> None:
    _strip_sample(canvas, x, y, fill=HAIRLINE, hatched=False)


def _sample_taps(canvas: Canvas, x: float, y: float) -> None:
    _tap(canvas, x + 4, y, hollow=False)
    _tap(canvas, x + 8, y, hollow=True)
