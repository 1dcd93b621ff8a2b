"""Low spots as water: depression contours, broken where doubtful, with the depth at the deepest point."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import HeightGrid, LowSpot
from courtwright.offer.canvas import Canvas, parts
from courtwright.offer.colours import INK, WATER
from courtwright.offer.plan.contours import contour
from courtwright.offer.plan.rounding import rounded_off
from courtwright.offer.plan.scene import Scene
from courtwright.offer.plan.sheet import Sheet

_TICK_EVERY, _TICK = 3.2, 1.0  # mm
#: A spot at least so likely is drawn with these dashes. [mm]
_DASHES = ((0.9, ()), (0.6, (2.6, 0.8)), (0.3, (1.3, 1.0)), (0.0, (0.6, 1.2)))
_DEPTH_STEP = {"us": 0.00635, "metric": 0.005}  # m: a quarter of an inch, 5 mm
_LABELS = 12
_FINE = 0.02  # mm
_SMOOTH = 0.5  # mm: takes the steps of the grid off an outline


def draw_low_spots(scene: Scene) -> None:
    """Draw every low spot of the reading; the deepest carry their depth."""
    draw_spots(scene, scene.reading.low_spots, scene.reading.heights)


def draw_spots(sheet: Sheet, spots: Sequence[LowSpot], grid: HeightGrid | None) -> None:
    """Draw low spots as water; the contours of their depth where a grid of heights tells it."""
    for spot in spots:
        outline = _waterline(sheet, spot, grid)
        dashes = _dashes(spot)
        sheet.canvas.shape(outline, fill=WATER)
        sheet.canvas.shape(outline.boundary, stroke=INK, width=0.28, dashes=dashes)
        _tick(sheet, outline)
        sheet.ink.append(outline.boundary)
        _draw_depths(sheet, spot, grid)
        sheet.explain("key-low-spot-doubtful" if dashes else "key-low-spot", _sample_doubtful if dashes else _sample)
    for spot in sorted(spots, key=lambda s: (-s.depth_max, s.id))[:_LABELS]:
        at = sheet.place(spot.deepest)
        if spot.depth_max > 0:
            _cross(sheet.canvas, *at)
            sheet.label(sheet.say("depth-label", depth=spot.depth_max), at)


def _waterline(sheet: Sheet, spot: LowSpot, grid: HeightGrid | None) -> BaseGeometry:
    """Return the outline of a spot, without the steps of the grid that it was read from. [mm]"""
    outline = sheet.on_paper(spot.outline)
    if grid is None or spot.drawn:
        return outline.simplify(_SMOOTH)
    steps = 0.75 * grid.cell * sheet.per_metre
    rounded = rounded_off(outline.simplify(max(_SMOOTH, steps)))
    # As large as it was: cut corners took some of it.
    rounded = rounded.buffer((outline.area - rounded.area) / rounded.length).simplify(_FINE)
    return rounded.intersection(sheet.on_paper(sheet.pad.outline)) if rounded.is_valid else outline


def _dashes(spot: LowSpot) -> tuple[float, ...]:
    if spot.likelihood is None:
        return ()
    return next(dashes for least, dashes in _DASHES if spot.likelihood >= least)


def _tick(sheet: Sheet, outline: BaseGeometry) -> None:
    """Draw the ticks of a depression contour, pointing inward."""
    for polygon in parts(outline):
        if not isinstance(polygon, Polygon):
            continue
        ring = polygon.exterior
        count = max(int(ring.length / _TICK_EVERY), 5)
        for i in range(count):
            a, b = (ring.interpolate((i + d) / count, normalized=True) for d in (0.0, 0.02))
            along = np.array([b.x - a.x, b.y - a.y])
            if not np.any(along):
                continue
            across = np.array([-along[1], along[0]]) / np.hypot(*along) * min(_TICK, ring.length / 12)
            inward = across if polygon.contains(Point(a.x + across[0] / 4, a.y + across[1] / 4)) else -across
            sheet.canvas.line((a.x, a.y), (a.x + float(inward[0]), a.y + float(inward[1])), width=0.22)


def _draw_depths(sheet: Sheet, spot: LowSpot, grid: HeightGrid | None) -> None:
    """Draw the contours of depth within a spot that was read from heights."""
    step = _DEPTH_STEP[sheet.units]
    if grid is None or spot.drawn or spot.depth_max <= step:
        return
    level = _height_at(grid, spot.deepest) + spot.depth_max
    if np.isnan(level):
        return
    inside = sheet.on_paper(spot.outline)
    near = _near(grid, spot)
    for i in range(1, int(spot.depth_max / step) + 1):
        line = contour(level - near.height, i * step, near.x0, near.y0, near.cell)
        within = sheet.on_paper(line).intersection(inside)
        sheet.canvas.shape(within, stroke=INK, width=0.15)
        if not within.is_empty:
            sheet.explain("key-depths", _sample_depths, step=step)


def _near(grid: HeightGrid, spot: LowSpot) -> HeightGrid:
    """Return the part of a grid that a spot lies in."""
    left, low, right, high = spot.outline.bounds
    first = [max(math.floor((at - origin) / grid.cell) - 1, 0) for at, origin in ((low, grid.y0), (left, grid.x0))]
    last = [math.ceil((at - origin) / grid.cell) + 2 for at, origin in ((high, grid.y0), (right, grid.x0))]
    part = slice(first[0], last[0]), slice(first[1], last[1])
    x0, y0 = grid.x0 + grid.cell * first[1], grid.y0 + grid.cell * first[0]
    return HeightGrid(x0, y0, grid.cell, grid.height[part], grid.sd[part], grid.shots)


def _height_at(grid: HeightGrid, at: tuple[float, float]) -> float:
    rows, cols = grid.height.shape
    row = min(max(round((at[1] - grid.y0) / grid.cell), 0), rows - 1)
    col = min(max(round((at[0] - grid.x0) / grid.cell), 0), cols - 1)
    return float(grid.height[row, col])


def _cross(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x - 0.7, y), (x + 0.7, y), width=0.25)
    canvas.line((x, y - 0.7), (x, y + 0.7), width=0.25)


def _pool(canvas: Canvas, x: float, y: float, dashes: tuple[float, ...]) -> None:
    pool = LineString([(x + 3, y), (x + 9, y)]).buffer(1.7)
    canvas.shape(pool, fill=WATER)
    canvas.shape(pool.boundary, stroke=INK, width=0.28, dashes=dashes)
    for dx in (3.5, 6.0, 8.5):
        canvas.line((x + dx, y - 1.7), (x + dx, y - 0.8), width=0.22)
        canvas.line((x + dx, y + 1.7), (x + dx, y + 0.8), width=0.22)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    _pool(canvas, x, y, ())


def _sample_doubtful(canvas: Canvas, x: float, y: float) -> None:
    _pool(canvas, x, y, (1.3, 1.0))


def _sample_depths(canvas: Canvas, x: float, y: float) -> None:
    pool = LineString([(x + 3, y), (x + 9, y)]).buffer(1.7)
    canvas.shape(pool, fill=WATER)
    for inset in (0.5, 1.1):
        canvas.shape(pool.buffer(-inset).boundary, stroke=INK, width=0.15)
