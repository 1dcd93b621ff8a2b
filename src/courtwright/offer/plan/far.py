"""What stands too far from the pad for its sheet: told by an arrow at the edge and its distance, not drawn."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from courtwright.offer.canvas import Canvas, parts
from courtwright.offer.plan.scene import Scene
from courtwright.offer.plan.slopes import draw_arrow
from courtwright.site.record import Mark, Pad
from courtwright.units import BARE_LENGTH

#: How far from the pad things are drawn at their place: about as far as the roots of a large tree reach. [m]
REACH = 12.0
#: Where the arrow begins, clear of dimension lines, and how long it is. [mm]
_OFF, _LONG = 9.0, 7.0


def part_far(pad: Pad) -> tuple[Pad, tuple[Mark, ...]]:
    """Return a pad with what is drawn of it, and the marks that stand too far to be drawn, the nearest of each kind.

    A line that leaves the sheet is cut where it does; a row of trees keeps as many as stand on what is left.
    """
    sheet = pad.outline.buffer(REACH)
    near: list[Mark] = []
    far: dict[str, Mark] = {}
    for mark in pad.marks:
        if sheet.covers(mark.geometry):
            near.append(mark)
        elif sheet.intersects(mark.geometry):
            near += _cut(mark, sheet)
        elif mark.kind not in far or _distance(pad, mark) < _distance(pad, far[mark.kind]):
            far[mark.kind] = mark
    return replace(pad, marks=tuple(near)), tuple(far.values())


def _distance(pad: Pad, mark: Mark) -> float:
    return float(pad.outline.distance(mark.geometry))


def _cut(mark: Mark, sheet: BaseGeometry) -> list[Mark]:
    """Return what lies on the sheet of a mark that leaves it."""
    inside = [part for part in parts(mark.geometry.intersection(sheet)) if part.length or not mark.geometry.length]
    return [replace(mark, geometry=part, properties=_counted(mark, part)) for part in inside]


def _counted(mark: Mark, part: BaseGeometry) -> dict[str, object]:
    count = mark.number("count")
    if not count or not mark.geometry.length:
        return dict(mark.properties)
    return {**mark.properties, "count": float(max(round(count * part.length / mark.geometry.length), 1))}


def draw_far(scene: Scene) -> None:
    """Draw an arrow beside the pad towards everything that stands too far, with its distance."""
    for mark in scene.far:
        here, there = (scene.place((point.x, point.y)) for point in nearest_points(scene.pad.outline, mark.geometry))
        turn = math.atan2(there[1] - here[1], there[0] - here[0])
        dx, dy = math.cos(turn), math.sin(turn)
        tail = (here[0] + _OFF * dx, here[1] + _OFF * dy)
        head = (tail[0] + _LONG * dx, tail[1] + _LONG * dy)
        draw_arrow(scene.canvas, tail, head, 0.25)
        scene.ink.append(LineString([tail, head]).buffer(0.6))
        distance = _whole(scene, _distance(scene.pad, mark))
        scene.label(scene.say("far-label", kind=mark.kind, distance=distance), head)
        scene.explain("key-far", _sample)


def _whole(scene: Scene, distance: float) -> float:
    """Return a distance to the whole foot or metre: nobody taped it. [m]"""
    unit = BARE_LENGTH[scene.units]
    return round(distance / unit) * unit


def _sample(canvas: Canvas, x: float, y: float) -> None:
    draw_arrow(canvas, (x + 2.5, y), (x + 9.5, y), 0.25)
