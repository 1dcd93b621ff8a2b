"""What of a pad holds its new surface: gates, drains and walls from the marks, and points that somebody gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from courtwright.ground.edges import edge_stretches
from courtwright.ground.heights import Heights
from courtwright.ground.regrade.plane import Fixed
from courtwright.says import Says, say
from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Along a wall its top is looked at this often. [m]
_ALONG = 1.0
#: Farther from the ground nobody means a height; it is one of another datum. [m]
_OTHER_DATUM = 1.0


@dataclass(frozen=True, slots=True)
class Point:
    """A place that the new surface has to meet: where, and its height there, None for that of the ground. [m]"""

    x: float
    y: float
    height: float | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """What holds a pad's new surface, and what there is to say of it."""

    fixed: Fixed
    notes: tuple[Says, ...]


def held_by(pad: Pad, found: Heights, points: Sequence[Point], lip: float) -> Held:
    """Return what holds a pad's new surface.

    Parameters
    ----------
    pad : Pad
        With its marks and answers.
    found : Heights
        Its heights.
    points : sequence of Point
        Given beside the marks.
    lip : float
        How far the surface may lie above or below a gate or a drain. [m]

    Notes
    -----
    A gate or a drain is met where it lies nearest to the pad, a long one at its middle, unless ``edges_can_rise`` was
    answered yes. A drain of which nobody knows whether it works is met too: a grate is not paved over unasked. A wall
    of known height may be reached and not be topped. Points on the pad are met exactly.
    """
    rows: list[tuple[float, float, float, float]] = []
    notes: list[Says] = []
    met = [mark for mark in pad.marks if _meets(mark) and is_near(pad, mark.geometry)]
    can_rise = _can_rise(pad)
    for mark in () if can_rise else met:
        place = _nearest(pad, mark.geometry)
        height = float(found.surface.height(place)[0])
        rows.append((float(place[0, 0]), float(place[0, 1]), height - lip, height + lip))
    if rows and can_rise is None:
        notes.append(say("regrade.gates-held", count=len(rows)))
    walls = _walls(pad, found)
    rows.extend(walls)
    for point in points:
        if not is_near(pad, shapely.Point(point.x, point.y)):
            continue
        place = np.array([[point.x, point.y]])
        ground = float(found.surface.height(place)[0])
        height = ground if point.height is None else point.height
        if abs(height - ground) > _OTHER_DATUM:
            notes.append(say("regrade.far-from-ground", off=abs(height - ground)))
        rows.append((point.x, point.y, height, height))
    table = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return Held(Fixed(*(np.ascontiguousarray(column) for column in table.T)), tuple(notes))


def _meets(mark: Mark) -> bool:
    return mark.kind == "gate" or (mark.kind == "drain" and mark.properties.get("works") is not False)


def _can_rise(pad: Pad) -> bool | None:
    value = next((answer.value for answer in pad.answers if answer.fact == "edges_can_rise"), None)
    return value if isinstance(value, bool) else None


def is_near(pad: Pad, geometry: BaseGeometry) -> bool:
    """Tell whether something lies on a pad or where marks of its edge are drawn. ``geometry`` is in its frame. [m]"""
    return bool(pad.outline.distance(geometry) <= tolerances().edge_mark_reach)


def _nearest(pad: Pad, geometry: BaseGeometry) -> Array:
    middle = geometry.interpolate(0.5, normalized=True) if geometry.length > 0 else geometry
    return shapely.get_coordinates(nearest_points(pad.outline, middle)[0])


def _walls(pad: Pad, found: Heights) -> list[tuple[float, float, float, float]]:
    """Return the tops of walls of known height along the pad's edge."""
    tops: list[tuple[BaseGeometry, float]] = []
    for mark, stretch in zip(pad.of_kind("edge"), edge_stretches(pad), strict=True):
        height = 0.0 if mark.word("stands") == "flush" else stretch.height
        if stretch.dam == "wall" and height is not None:
            tops.append((stretch.line, height))
    near = pad.outline.buffer(tolerances().edge_mark_reach)
    for mark in pad.of_kind("wall"):
        height = mark.number("height")
        if height is not None:
            tops.append((mark.geometry.intersection(near), height))
    rows: list[tuple[float, float, float, float]] = []
    for line, height in tops:
        for place in shapely.get_coordinates(shapely.segmentize(line, _ALONG)):
            on_pad = shapely.get_coordinates(nearest_points(pad.outline, shapely.points(place))[0])
            top = float(found.surface.height(on_pad)[0]) + height
            rows.append((float(on_pad[0, 0]), float(on_pad[0, 1]), -np.inf, top))
    return rows
