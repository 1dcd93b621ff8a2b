"""Worn patches and sand on the surface."""

from __future__ import annotations

import numpy as np
from shapely import box, contains_xy
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import EARTH, INK
from courtwright.offer.plan.scene import Scene

_STIPPLE = 2.2  # mm


def draw_surface(scene: Scene) -> None:
    """Draw worn patches inside a dotted line, and sand as stippled earth."""
    for mark in scene.pad.of_kind("worn"):
        area = _area(scene, mark.geometry)
        scene.canvas.shape(area.boundary, stroke=INK, width=0.3, dashes=(0.3, 1.0))
        at = area.representative_point()
        wear = mark.word("wear")
        scene.label(scene.say("worn-label", wear=wear) if wear else scene.say("worn-unknown-label"), (at.x, at.y))
        scene.explain("key-worn", _sample_worn)
    for mark in scene.pad.of_kind("sand"):
        _sand(scene.canvas, _area(scene, mark.geometry))
        scene.explain("key-sand", _sample_sand)


def _area(scene: Scene, geometry: BaseGeometry) -> BaseGeometry:
    on_paper = scene.on_paper(geometry)
    return on_paper if on_paper.area > 0 else on_paper.buffer(2.0)


def _sand(canvas: Canvas, area: BaseGeometry) -> None:
    canvas.shape(area, fill=EARTH)
    left, top, right, bottom = area.bounds
    x, y = np.meshgrid(np.arange(left, right, _STIPPLE), np.arange(top, bottom, _STIPPLE))
    x[1::2] += _STIPPLE / 2
    inside = contains_xy(area, x, y)
    for px, py in zip(x[inside], y[inside], strict=True):
        canvas.dot((float(px), float(py)), 0.17)


def _sample_worn(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x + 1, y - 1.5, x + 11, y + 1.5).boundary, stroke=INK, width=0.3, dashes=(0.3, 1.0))


def _sample_sand(canvas: Canvas, x: float, y: float) -> None:
    _sand(canvas, box(x + 1, y - 1.5, x + 11, y + 1.5))
