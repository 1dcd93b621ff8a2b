"""Trees beside or on the pad: canopies in leaf wash, trunks as dots."""

from __future__ import annotations

import math

from shapely import LineString, Point, unary_union
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import INK, LEAF
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

_CANOPY = 3.4  # mm on paper: the true spread is not in the record
_LEAST_TRUNK = 0.45  # mm


def draw_trees(scene: Scene) -> None:
    """Draw every tree and tree line."""
    for mark in scene.pad.of_kind("trees"):
        stems = _stems(scene, mark)
        for stem in stems:
            scene.canvas.shape(_canopy(stem), fill=LEAF)
        for stem in stems:
            scene.canvas.shape(_canopy(stem).boundary, stroke=INK, width=0.18, dashes=(1.2, 0.6))
            scene.canvas.dot((stem.x, stem.y), _trunk(scene, mark))
            scene.ink.append(_canopy(stem))
        scene.explain("key-trees", _sample)


def _stems(scene: Scene, mark: Mark) -> list[Point]:
    """Return where trunks are drawn; along a line evenly, as many as were counted. [mm]"""
    line = scene.on_paper(mark.geometry)
    count = mark.number("count")
    if line.length == 0:
        return [line.centroid]
    stems = max(int(count), 1) if count else max(int(line.length / (1.8 * _CANOPY)) + 1, 2)
    stems = min(stems, max(int(line.length / 1.5), 1))
    return [line.interpolate((i + 0.5) / stems, normalized=True) for i in range(stems)]


def _canopy(stem: Point) -> BaseGeometry:
    turns = (i * math.pi / 4 for i in range(8))
    lobes = (
        Point(stem.x + 0.7 * _CANOPY * math.cos(a), stem.y + 0.7 * _CANOPY * math.sin(a)).buffer(0.38 * _CANOPY)
        for a in turns
    )
    return unary_union([stem.buffer(0.72 * _CANOPY), *lobes]).simplify(0.03)


def _trunk(scene: Scene, mark: Mark) -> float:
    diameter = mark.number("trunk_diameter")
    return max((diameter or 0.0) / 2 * scene.per_metre, _LEAST_TRUNK)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    crown = LineString([(x + 5, y), (x + 7, y)]).buffer(2.0)
    canvas.shape(crown, fill=LEAF)
    canvas.shape(crown.boundary, stroke=INK, width=0.18, dashes=(1.2, 0.6))
    canvas.dot((x + 6, y), 0.45)
