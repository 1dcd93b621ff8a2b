"""Depths of cut and fill, written at the stakes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely import Point, STRtree, box
from shapely.geometry.base import BaseGeometry

from courtwright import units as unit_edge
from courtwright.ground.regrade.read import PadRegrade, Stake
from courtwright.offer.canvas import LINE_HEIGHT, TYPE_SIZE, Canvas, Place
from courtwright.offer.lettering import text_width
from courtwright.offer.plan.sheet import Sheet
from courtwright.trade.words import UnitSystem
from courtwright.units import INCH

_DOT, _UP, _APART, _NEAR_EDGE, _LOW = 0.4, 2.9, 1.6, 6.0, 1.7  # mm
#: So far may a number stand off the pad to its left or right. [mm]
_BESIDE = 3.0
#: More corners than these are those of a curve, whose depths the stakes beside them tell. [-]
_CORNERS = 12
#: Depths are written to an eighth of an inch, or to a millimetre. [m]
_TO = {"us": INCH / 8, "metric": 0.001}


def draw_depths(sheet: Sheet, new: PadRegrade, arrows: Sequence[BaseGeometry]) -> None:
    """Write the depth at every stake, or at every so many-th where they stand too close for their numbers.

    A number lies on an arrow, whose bodies are in millimetres of the paper, only to keep off another number.
    """
    corners = new.corners if len(new.corners) <= _CORNERS else ()
    shown, every = _that_fit(sheet, new.stakes)
    lines, words = list(sheet.ink), list[BaseGeometry]()
    left_side, _, right_side, _ = sheet.on_paper(sheet.pad.outline).bounds
    sides = left_side - _BESIDE, right_side + _BESIDE
    edge = sheet.pad.outline.boundary
    # Those inside first: those at the edge have more places to go.
    for stake in sorted(shown, key=lambda s: edge.distance(Point(s.x, s.y)) * sheet.per_metre < _NEAR_EDGE):
        if any(math.hypot(stake.x - c.x, stake.y - c.y) * sheet.per_metre < _UP for c in corners):
            continue
        at = sheet.place((stake.x, stake.y))
        sheet.canvas.dot(at, _DOT)
        text = depth(stake.fill, sheet.units)
        is_inside = edge.distance(Point(stake.x, stake.y)) * sheet.per_metre >= _NEAR_EDGE
        left, middle, body = _clearest(
            at, text_width(text, TYPE_SIZE), (words, arrows, lines), None if is_inside else sides
        )
        sheet.canvas.text(left, middle, text, backed=True)
        words.append(body)
        sheet.ink.append(body)
    for corner in corners:
        at = sheet.place((corner.x, corner.y))
        sheet.canvas.dot(at, _DOT)
        sheet.label(depth(corner.fill, sheet.units), at)
    key = f"key-stakes-{sheet.units}" if every == 1 else f"key-stakes-some-{sheet.units}"
    sheet.explain(key, _sample, **({} if every == 1 else {"every": every}))


def _clearest(
    at: Place,
    wide: float,
    kept_off: tuple[Sequence[BaseGeometry], ...],
    sides: tuple[float, float] | None,
) -> tuple[float, float, BaseGeometry]:
    """Return where a number covers least: its left end, its middle height, its body. [mm]

    What it is ``kept_off`` most comes first. It stands above or below its stake; between ``sides``, where they are
    given, or beside it.
    """
    x, y = at
    aside = _DOT + 1.0
    places = [(x - wide / 2, y - _UP), (x - wide / 2, y + _UP)]
    if sides is not None:
        # A little low, clear of the numbers above the next stakes; or a little high.
        places += [(left, y + by) for by in (_LOW, -_LOW) for left in (x + aside, x - aside - wide)]
        places = [place for place in places if sides[0] <= place[0] and place[0] + wide <= sides[1]] or places
    bodies = [box(px - 0.5, py - LINE_HEIGHT / 2, px + wide + 0.5, py + LINE_HEIGHT / 2) for px, py in places]
    trees = [STRtree(shapes) for shapes in kept_off]
    hits = [tuple(_met(tree, body) for tree in trees) for body in bodies]
    best = hits.index(min(hits))
    return *places[best], bodies[best]


def _met(tree: STRtree, body: BaseGeometry) -> int:
    return len(tree.query(body, predicate="intersects"))


def stake_spacing(new: PadRegrade) -> float:
    """Return how far apart the rows of stakes are; nought where there is one row. [m]"""
    rows = [_spacing(np.array([getattr(stake, axis) for stake in new.stakes])) for axis in "xy"]
    nearest = min(rows)
    return nearest if math.isfinite(nearest) else 0.0


def depth(fill: float, units: UnitSystem) -> str:
    """Return a fill [m] as a bare number of inches or millimetres; a cut has a minus.

    Examples
    --------
    >>> depth(0.0413, "us"), depth(-0.0096, "us"), depth(0.0413, "metric"), depth(-0.0001, "metric")
    ('1-5/8', '−3/8', '41', '0')
    """
    parts = round(abs(fill) / _TO[units])
    text = str(parts) if units == "metric" else unit_edge.show(parts * _TO[units], "small", units).split()[0]
    return f"−{text}" if fill < 0 and parts else text


def _that_fit(sheet: Sheet, stakes: Sequence[Stake]) -> tuple[list[Stake], int]:
    """Return the stakes whose numbers do not touch, of every so many-th row and column."""
    if len(stakes) < 2:
        return list(stakes), 1
    x, y = (np.array([getattr(stake, axis) for stake in stakes]) for axis in "xy")
    spacing = min(_spacing(x), _spacing(y))
    wide = max(text_width(depth(stake.fill, sheet.units), TYPE_SIZE) for stake in stakes) + _APART
    every = max(1, math.ceil(max(wide, LINE_HEIGHT + _APART) / (spacing * sheet.per_metre)))
    col, row = (np.round((axis - axis.min()) / spacing).astype(int) for axis in (x, y))
    return [s for s, c, r in zip(stakes, col, row, strict=True) if c % every == 0 and r % every == 0], every


def _spacing(axis: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    """Return the distance of neighbouring rows; infinite for one row. [m]"""
    steps = np.diff(np.unique(np.round(axis, 6)))
    return float(steps.min()) if len(steps) else math.inf


def _sample(canvas: Canvas, x: float, y: float) -> None:
    canvas.dot((x + 3.0, y), _DOT)
    canvas.dot((x + 9.0, y), _DOT)
