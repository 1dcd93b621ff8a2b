"""Cracks, as wide as they are times a factor written on the drawing."""

from __future__ import annotations

from shapely import LineString, Point, STRtree

from courtwright.offer.canvas import Canvas, Place, parts
from courtwright.offer.colours import INK, PAPER
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

_FACTORS = (20, 10, 5, 2, 1)
_WIDEST_DRAWN = 1.2  # mm
_LEAST_DRAWN = 0.22  # mm
_END_REACH = 0.3  # m: as near as this to another crack or an edge, an end has met it
_LABELS = 6


def draw_cracks(scene: Scene) -> None:
    """Draw every crack; ends that may run on are open rings; the widest carry their width."""
    cracks = [mark for mark in scene.pad.of_kind("crack") if mark.geometry.length > 0]
    if not cracks:
        return
    factor = _factor(scene, cracks)
    for mark in sorted(cracks, key=lambda m: m.number("width") or 0.0):
        width, line = mark.number("width"), scene.on_paper(mark.geometry)
        drawn = _LEAST_DRAWN if width is None else max(width * scene.per_metre * factor, _LEAST_DRAWN)
        scene.canvas.shape(line, stroke=INK, width=drawn, dashes=(1.6, 0.9) if width is None else ())
        scene.ink.append(line)
        _explain(scene, width, factor)
    for end in _open_ends(scene, cracks):
        scene.canvas.dot(end, 0.55, fill=PAPER, width=0.2)
        scene.explain("key-open-end", _sample_end)
    _label_widest(scene, cracks)


def _factor(scene: Scene, cracks: list[Mark]) -> int:
    widest = max((mark.number("width") or 0.0) * scene.per_metre for mark in cracks)
    return next((f for f in _FACTORS if widest * f <= _WIDEST_DRAWN), 1)


def _explain(scene: Scene, width: float | None, factor: int) -> None:
    if width is None:
        scene.explain("key-crack-unmeasured", _sample_unmeasured)
    elif factor == 1:
        scene.explain("key-crack-true", _sample_crack)
    else:
        scene.explain("key-crack", _sample_crack, factor=factor)


def _open_ends(scene: Scene, cracks: list[Mark]) -> list[Place]:
    """Return the ends that meet neither another crack nor the edge of the pad."""
    lines = [part for mark in cracks for part in parts(mark.geometry) if isinstance(part, LineString)]
    tree, edge = STRtree(lines), scene.pad.outline.boundary
    found: list[Place] = []
    for index, line in enumerate(lines):
        for end in (line.coords[0], line.coords[-1]):
            at = Point(end)
            others = [i for i in tree.query(at, predicate="dwithin", distance=_END_REACH) if i != index]
            if not others and edge.distance(at) > _END_REACH:
                found.append(scene.place((end[0], end[1])))
    return found


def _label_widest(scene: Scene, cracks: list[Mark]) -> None:
    known = [(width, mark) for mark in cracks if (width := mark.number("width")) is not None]
    known.sort(key=lambda pair: (-pair[0] * pair[1].geometry.length, pair[1].id))
    for width, mark in known[:_LABELS]:
        middle = mark.geometry.interpolate(0.5, normalized=True)
        scene.label(scene.say("width-label", width=width), scene.place((middle.x, middle.y)))


def _sample_crack(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y + 0.6), (x + 4, y - 0.7), (x + 8, y + 0.5), (x + 12, y - 0.4), width=0.8)


def _sample_unmeasured(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y + 0.6), (x + 4, y - 0.7), (x + 8, y + 0.5), (x + 12, y - 0.4), width=0.22, dashes=(1.6, 0.9))


def _sample_end(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 9, y), width=0.5)
    canvas.dot((x + 9.5, y), 0.55, fill=PAPER, width=0.2)
