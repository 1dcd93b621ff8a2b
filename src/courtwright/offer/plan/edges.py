"""What stands along the pad's edge: soil, sod or sand as an earth wash, a wall as a wall."""

from __future__ import annotations

from shapely import box
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import EARTH, INK
from courtwright.offer.plan.hatching import hatching
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

_WIDE = 2.6  # mm


def draw_edges(scene: Scene) -> None:
    """Draw a strip outside every edge at which something stands flush or above."""
    pad = scene.on_paper(scene.pad.outline)
    for mark in scene.pad.of_kind("edge"):
        if mark.word("stands") not in ("above", "flush"):
            continue
        strip = scene.on_paper(mark.geometry).buffer(_WIDE, cap_style="flat", join_style="mitre").difference(pad)
        _draw(scene, mark, strip)
        scene.ink.append(strip)
        middle = strip.centroid
        scene.label(_label(scene, mark), (middle.x, middle.y))


def _draw(scene: Scene, mark: Mark, strip: BaseGeometry) -> None:
    if mark.word("of") == "wall":
        scene.canvas.shape(hatching(strip, 0.8), stroke=INK, width=0.2)
        scene.canvas.shape(strip.boundary, stroke=INK, width=0.3)
        scene.explain("key-edge-wall", _sample_wall)
    else:
        scene.canvas.shape(strip, fill=EARTH)
        scene.canvas.shape(strip.boundary, stroke=INK, width=0.18, dashes=(0.5, 0.8))
        scene.explain("key-edge-earth", _sample_earth)


def _label(scene: Scene, mark: Mark) -> str:
    of, height = mark.word("of") or "soil", mark.number("height")
    if mark.word("stands") == "flush":
        return scene.say("edge-flush-label", of=of)
    if height is None:
        return scene.say("edge-above-label", of=of)
    return scene.say("edge-height-label", of=of, height=height)


def _sample_wall(canvas: Canvas, x: float, y: float) -> None:
    wall = box(x, y - 1.0, x + 12, y + 1.0)
    canvas.shape(hatching(wall, 0.8), stroke=INK, width=0.2)
    canvas.shape(wall.boundary, stroke=INK, width=0.3)


def _sample_earth(canvas: Canvas, x: float, y: float) -> None:
    strip = box(x, y - 1.3, x + 12, y + 1.3)
    canvas.shape(strip, fill=EARTH)
    canvas.shape(strip.boundary, stroke=INK, width=0.18, dashes=(0.5, 0.8))
