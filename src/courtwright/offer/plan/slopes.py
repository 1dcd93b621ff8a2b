"""One arrow per court that points downhill, longer when steeper, with its percent."""

from __future__ import annotations

import math

from shapely import LineString, Polygon

from courtwright.offer.canvas import Canvas, Place
from courtwright.offer.colours import INK
from courtwright.offer.plan.scene import Scene
from courtwright.offer.plan.sheet import Sheet

_LONG_AT_ONE_PERCENT = 14.0  # mm
_SHORTEST, LONGEST = 5.0, 34.0  # mm


def draw_slopes(scene: Scene) -> None:
    """Draw the arrow of every court whose plane is known."""
    centres = {court.id: court.centre for court in scene.pad.courts}
    for plane in scene.reading.courts:
        if plane.id not in centres:
            continue
        draw_slope_arrow(scene, centres[plane.id], plane.slope, plane.bearing)
        scene.explain("key-slope", _sample)


def draw_slope_arrow(sheet: Sheet, centre: tuple[float, float], slope: float, bearing: float) -> Polygon:
    """Draw the arrow of a slope at a place of the pad frame, with its percent; return what it takes up. [mm]

    Parameters
    ----------
    sheet : Sheet
        Drawn on.
    centre : tuple of float, shape (2,)
        Its middle. [m]
    slope, bearing : float
        Fall along the steepest line [m/m] and its direction, clockwise from +y [rad].
    """
    x, y = sheet.place(centre)
    long = min(max(slope * 100 * _LONG_AT_ONE_PERCENT, _SHORTEST), LONGEST)
    dx, dy = math.sin(bearing), -math.cos(bearing)
    tail, head = (x - dx * long / 2, y - dy * long / 2), (x + dx * long / 2, y + dy * long / 2)
    draw_arrow(sheet.canvas, tail, head, 0.4)
    body = LineString([tail, head]).buffer(0.6)
    sheet.ink.append(body)
    sheet.label(sheet.say("slope-label", slope=slope), (x, y))
    return body


def draw_arrow(canvas: Canvas, tail: Place, head: Place, width: float) -> None:
    """Draw an arrow. [mm]"""
    dx, dy = head[0] - tail[0], head[1] - tail[1]
    long = math.hypot(dx, dy)
    ux, uy = dx / long, dy / long
    neck = (head[0] - 2.4 * ux, head[1] - 2.4 * uy)
    canvas.line(tail, neck, width=width)
    wings = [(neck[0] - 0.9 * uy, neck[1] + 0.9 * ux), (neck[0] + 0.9 * uy, neck[1] - 0.9 * ux)]
    canvas.shape(Polygon([head, *wings]), fill=INK)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    draw_arrow(canvas, (x + 0.5, y), (x + 11.5, y), 0.4)
