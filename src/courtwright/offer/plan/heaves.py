"""Heaves as hachures downhill, as on old maps."""

from __future__ import annotations

import math

from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas, Place, parts
from courtwright.offer.colours import INK
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

_LEAST_RADIUS = 2.6  # mm
_UNKNOWN_RADIUS = 0.6  # m


def draw_heaves(scene: Scene) -> None:
    """Draw every heave, with its height where somebody measured it."""
    for mark in scene.pad.of_kind("heave"):
        foot = _foot(scene, mark)
        middle = foot.centroid
        for polygon in parts(foot):
            if isinstance(polygon, Polygon):
                _hachures(scene.canvas, polygon)
        scene.ink.append(foot)
        height = mark.number("height")
        text = scene.say("heave-unmeasured-label") if height is None else scene.say("heave-label", height=height)
        edge = foot.exterior.interpolate(0.12, normalized=True) if isinstance(foot, Polygon) else middle
        scene.label(text, (edge.x, edge.y))
        scene.explain("key-heave", _sample)


def _foot(scene: Scene, mark: Mark) -> BaseGeometry:
    """Return the foot of the rise, never drawn smaller than it can be seen. [mm]"""
    on_paper = scene.on_paper(mark.geometry)
    if on_paper.area > 0:
        return on_paper
    radius = max((mark.number("radius") or _UNKNOWN_RADIUS) * scene.per_metre, _LEAST_RADIUS)
    return on_paper.centroid.buffer(radius)


def _hachures(canvas: Canvas, foot: Polygon) -> None:
    """Draw wedges from the top (thick) to the foot (fine)."""
    ring, top = foot.exterior, foot.representative_point()
    count = max(int(ring.length / 1.5), 8)
    for i in range(count):
        end = ring.interpolate(i / count, normalized=True)
        dx, dy = end.x - top.x, end.y - top.y
        away = math.hypot(dx, dy)
        if away < 0.3:
            continue
        start = (top.x + 0.4 * dx, top.y + 0.4 * dy)
        half = min(0.22, 0.16 * away)
        nx, ny = -dy / away * half, dx / away * half
        wedge: list[Place] = [(start[0] + nx, start[1] + ny), (start[0] - nx, start[1] - ny), (end.x, end.y)]
        canvas.shape(Polygon(wedge), fill=INK)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    _hachures(canvas, Point(x + 6, y).buffer(2.1))
