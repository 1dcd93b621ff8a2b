"""Pictures of a raster of heights: its low spots, and its worst straightedge."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon, box
from shapely.affinity import affine_transform

from courtwright.ground.flatness import WorstPlace
from courtwright.ground.laid import laid_straightedge
from courtwright.ground.raster_water import RasterWater
from courtwright.ground.reading import HeightGrid, LowSpot
from courtwright.offer.ground.height_lines import HeightLines, draw_height_lines, height_lines, name_height_lines
from courtwright.offer.ground.straightedge import WorstEdge, straightedge_svg
from courtwright.offer.plan.courts import draw_outline
from courtwright.offer.plan.dimensions import draw_dimensions
from courtwright.offer.plan.fit import MARGIN, WIDEST, largest_fit
from courtwright.offer.plan.labels import place_labels
from courtwright.offer.plan.low_spots import draw_spots
from courtwright.offer.plan.margin import draw_margin
from courtwright.offer.plan.sheet import Sheet
from courtwright.site.formats.raster import Raster
from courtwright.site.record import Pad
from courtwright.trade.words import Language, UnitSystem

#: A drawing has no room for more nodes, nor for more or smaller low spots. [-], [-], [mm²]
_NODES, _SPOTS, _LEAST = 40_000, 150, 1.0
_EDGE = "key-raster"


@dataclass(frozen=True, slots=True)
class _Frame:
    """A raster laid square on the paper: x along its rows, y up its columns, from the corner of its data. [m]"""

    raster: Raster
    first: tuple[int, int]
    last: tuple[int, int]

    @property
    def is_turned(self) -> bool:
        """Tell whether rows are told from the top."""
        (cx, cy), (rx, ry) = self.raster.per_col, self.raster.per_row
        return cx * ry - cy * rx < 0

    def place(self, row: float, col: float) -> tuple[float, float]:
        """Return where a row and a column lie. [m]"""
        side = self.raster.sides[0]
        up = self.last[0] - row if self.is_turned else row - self.first[0]
        return (col - self.first[1] + 0.5) * side, (up + 0.5) * side

    def pad(self, name: str) -> Pad:
        """Return the raster as something to be drawn; north where a reference system tells it."""
        (x0, y0), (x1, y1) = self.place(*self.first), self.place(*self.last)
        half = self.raster.sides[0] / 2
        outline = box(min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half)
        sign = -1.0 if self.is_turned else 1.0
        east, north = (sign * part for part in self.raster.per_row)
        return Pad(name, outline, north=None if self.raster.crs is None else math.atan2(east, north))

    def spot(self, spot: LowSpot) -> LowSpot:
        """Return a low spot of the raster where it lies on the paper."""
        (cx, cy), (rx, ry) = self.raster.per_col, self.raster.per_row
        x, y = self.raster.at_first
        turn = np.linalg.inv(np.array([[cx, rx], [cy, ry]]))
        # Columns and rows, and from them the place: both are affine.
        base = np.array(self.place(0.0, 0.0))
        steps = np.column_stack([np.array(self.place(0.0, 1.0)) - base, np.array(self.place(1.0, 0.0)) - base])
        matrix = steps @ turn
        shift = base - matrix @ (x, y)
        deepest = matrix @ spot.deepest + shift
        outline = affine_transform(spot.outline, [*matrix.ravel(), *shift])
        assert isinstance(outline, Polygon), "an affine map keeps the kind of a shape"
        return replace(spot, deepest=(float(deepest[0]), float(deepest[1])), outline=outline)


def _frame(raster: Raster) -> _Frame:
    there = np.isfinite(raster.height)
    rows, cols = np.flatnonzero(there.any(axis=1)), np.flatnonzero(there.any(axis=0))
    return _Frame(raster, (int(rows[0]), int(cols[0])), (int(rows[-1]), int(cols[-1])))


def raster_edge_svg(
    raster: Raster, name: str, straightedge: float, worst: WorstPlace, language: Language, units: UnitSystem
) -> str | None:
    """Return a raster of square cells with its worst straightedge as SVG; None where it finds no room.

    Parameters
    ----------
    raster : Raster
        Its heights.
    name : str
        What it is called.
    straightedge : float
        Its length. [m]
    worst : WorstPlace
        Where its gap is largest.
    language, units
        Of the reader.
    """
    frame = _frame(raster)
    pad = frame.pad(name)
    laid = laid_straightedge(raster.height, raster.sides[0], straightedge, worst.at, worst.direction)
    if laid is None:
        return None
    start, end, gap = (frame.place(*laid.node_at(along)) for along in (0.0, laid.length, laid.gap_along))
    note = Sheet(pad=pad, language=language, units=units, scale=1).say("raster-no-doubt")
    return straightedge_svg(pad, WorstEdge(laid, start, end, gap, notes=(note,), key=_EDGE), language, units)


def raster_water_svg(raster: Raster, name: str, water: RasterWater, language: Language, units: UnitSystem) -> str:
    """Return a raster of square cells with its contours and its low spots as SVG.

    Parameters
    ----------
    raster : Raster
        Its heights.
    name : str
        What it is called.
    water : RasterWater
        Its low spots, deepest first.
    language, units
        Of the reader.
    """
    frame = _frame(raster)
    pad = frame.pad(name)
    grid, cells = _thinned(frame)
    lines = height_lines(grid, None, units)
    spots = [frame.spot(spot) for spot in water.low_spots[:_SPOTS]]

    def drawn(scale: int) -> Sheet:
        sheet = Sheet(pad=pad, language=language, units=units, scale=scale)
        _draw(sheet, lines, spots, water.total, cells)
        return sheet

    sheet = largest_fit(pad.outline, units, drawn)
    title = sheet.say("contours-title", pad=name)
    alt = sheet.say("raster-water-alt", pad=name, area=pad.outline.area, count=water.total)
    return sheet.canvas.svg(title, alt, margin=MARGIN)


def _thinned(frame: _Frame) -> tuple[HeightGrid, int]:
    """Return the heights as the means of so many by so many cells that a drawing holds them, and how many."""
    (top, left), (bottom, right) = frame.first, frame.last
    height = frame.raster.height[top : bottom + 1, left : right + 1]
    if frame.is_turned:
        height = height[::-1]
    many = max(1, math.ceil(math.sqrt(height.size / _NODES)))
    many = min(many, *height.shape)
    rows, cols = (count // many for count in height.shape)
    blocks = height[: rows * many, : cols * many].reshape(rows, many, cols, many)
    # A mean over a hole would draw lines where nothing is known.
    mean = blocks.mean(axis=(1, 3), dtype=np.float64)
    side = frame.raster.sides[0]
    return HeightGrid(many * side / 2, many * side / 2, many * side, mean, np.zeros_like(mean), 0), many


def _draw(sheet: Sheet, lines: HeightLines, spots: list[LowSpot], total: int, cells: int) -> None:
    seen = [spot for spot in spots if spot.outline.area * sheet.per_metre**2 >= _LEAST]
    draw_spots(sheet, seen, None)
    draw_outline(sheet, _EDGE)
    draw_height_lines(sheet, lines)
    name_height_lines(sheet, lines)
    draw_dimensions(sheet)
    place_labels(sheet.canvas, sheet.labels, sheet.ink, WIDEST - 2 * MARGIN)
    notes = [sheet.say("raster-no-doubt")]
    if cells > 1:
        notes.append(sheet.say("raster-thinned", cells=cells))
    if len(seen) < total:
        notes.append(sheet.say("raster-spots", drawn=len(seen), count=total))
    draw_margin(sheet, notes)
