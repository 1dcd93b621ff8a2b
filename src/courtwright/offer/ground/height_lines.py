"""Lines of equal height: firm where the heights are known well enough for them, broken where not."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter
from shapely import LineString, STRtree, box
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import HeightGrid
from courtwright.offer.canvas import LINE_HEIGHT, TYPE_SIZE, Canvas, parts
from courtwright.offer.colours import INK
from courtwright.offer.ground.beyond import grid_beyond
from courtwright.offer.lettering import text_width
from courtwright.offer.plan.contours import contour
from courtwright.offer.plan.labels import Label
from courtwright.offer.plan.sheet import Sheet
from courtwright.trade.words import UnitSystem
from courtwright.units import BARE_LENGTH

Array = NDArray[np.float64]

#: Least step between lines: hundredths of a foot as a rod is read, and 5 mm. [m]
_FINEST = {"us": 0.01 * BARE_LENGTH["us"], "metric": 0.005}
#: At most so many lines over the relief; and a step is so many times what a height is off, nine times in ten. [-]
_MOST_LINES, _STEP_OVER_OFF = 16, 2.0
#: Nine times in ten a height is off by less than this many of its standard uncertainties. [-]
NINE_IN_TEN = 1.645
_DASHES = (1.6, 1.1)
#: A line so long carries its height; lines stand at least so far apart in number when they are many. [mm], [-]
_NAMED_FROM, _NAMED = 14.0, 7
_SMOOTH = 0.04  # mm
#: Where along a line its height is tried, the middle first. [-]
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88)


@dataclass(frozen=True, slots=True)
class HeightLine:
    """The places of one height; ``doubtful`` where the height may well be off by half a step. [m]"""

    level: float
    firm: BaseGeometry
    doubtful: BaseGeometry


@dataclass(frozen=True, slots=True)
class HeightLines:
    """All lines of a surface, ``step`` [m] apart."""

    step: float
    lines: tuple[HeightLine, ...]


def height_lines(grid: HeightGrid, outline: BaseGeometry | None, units: UnitSystem) -> HeightLines:
    """Return the lines of equal height of a surface at a round step.

    Parameters
    ----------
    grid : HeightGrid
        The surface.
    outline : BaseGeometry or None
        The pad, at whose edge lines end; None: they end where the nodes do. [m]
    units : {"us", "metric"}
        In which the step is round.
    """
    low, high = float(np.nanmin(grid.height)), float(np.nanmax(grid.height))
    known = grid.sd[np.isfinite(grid.sd)]
    usual = NINE_IN_TEN * float(np.median(known)) if len(known) else 0.0
    step = _step(max((high - low) / _MOST_LINES, _STEP_OVER_OFF * usual), units)
    wider = grid if outline is None else grid_beyond(grid)
    off = np.nan_to_num(wider.sd) * NINE_IN_TEN > step / 2
    firm = np.where(off, np.nan, wider.height)
    # A node wider, so that the broken line begins where the firm one ends.
    rest = np.where(maximum_filter(off, size=3), wider.height, np.nan) if off.any() else None
    first = math.floor(low / step) + 1
    lines: list[HeightLine] = []
    for number in range(first, math.ceil(high / step)):
        level = number * step
        doubtful = LineString() if rest is None else _line(rest, level, wider, outline)
        lines.append(HeightLine(level, _line(firm, level, wider, outline), doubtful))
    return HeightLines(step, tuple(lines))


def _line(height: Array, level: float, grid: HeightGrid, outline: BaseGeometry | None) -> BaseGeometry:
    line = contour(height, level, grid.x0, grid.y0, grid.cell)
    return line if outline is None else line.intersection(outline)


def _step(least: float, units: UnitSystem) -> float:
    unit = BARE_LENGTH[units]
    steps = (m * 10.0**power * unit for power in itertools.count(-3) for m in (1, 2, 5))
    return next(step for step in steps if step >= max(least, _FINEST[units]) * (1 - 1e-9))


def draw_height_lines(sheet: Sheet, found: HeightLines) -> None:
    """Draw them; ``name_height_lines`` writes their heights once all else is drawn."""
    for line in found.lines:
        firm, doubtful = _on_paper(sheet, line)
        sheet.canvas.shape(firm, stroke=INK, width=0.2)
        sheet.canvas.shape(doubtful, stroke=INK, width=0.2, dashes=_DASHES)
        if not firm.is_empty:
            sheet.explain(f"key-heights-{sheet.units}", _sample, step=_said(found.step, sheet.units))
        if not doubtful.is_empty:
            sheet.explain("key-heights-doubtful", _sample_doubtful)


def name_height_lines(sheet: Sheet, found: HeightLines) -> None:
    """Write heights into some of the lines, clear of what is drawn and of each other."""
    every = max(1, math.ceil(len(found.lines) / _NAMED))
    taken = list(sheet.ink)
    places = max(0, math.ceil(-math.log10(found.step / BARE_LENGTH[sheet.units]) - 1e-9))
    for line in found.lines[::every]:
        longest = max(map(_longest, _on_paper(sheet, line)), key=lambda part: part.length)
        if longest.length < _NAMED_FROM:
            continue
        text = f"{line.level / BARE_LENGTH[sheet.units]:,.{places}f}"
        wide = text_width(text, TYPE_SIZE) / 2 + 0.8
        tree = STRtree(taken)
        for share in _SHARES:
            at = longest.interpolate(share, normalized=True)
            body = box(at.x - wide, at.y - LINE_HEIGHT / 2, at.x + wide, at.y + LINE_HEIGHT / 2)
            if len(tree.query(body, predicate="intersects")) == 0:
                sheet.labels.insert(0, Label(text, (at.x, at.y), breaks_line=True))
                taken.append(body)
                break


def _on_paper(sheet: Sheet, line: HeightLine) -> tuple[BaseGeometry, BaseGeometry]:
    firm, doubtful = (sheet.on_paper(part).simplify(_SMOOTH) for part in (line.firm, line.doubtful))
    return firm, doubtful


def _longest(geometry: BaseGeometry) -> BaseGeometry:
    return max(parts(geometry), key=lambda part: part.length, default=LineString())


def _said(step: float, units: UnitSystem) -> str:
    """Return a step in feet as a rod is read, or in millimetres."""
    return f"{step / BARE_LENGTH['us']:g}" if units == "us" else f"{step * 1000:g}"


def _wave(x: float, y: float) -> LineString:
    return LineString([(x + i, y + 0.7 * math.sin(i * math.tau / 12)) for i in range(13)])


def _sample(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(_wave(x, y), stroke=INK, width=0.2)


def _sample_doubtful(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(_wave(x, y), stroke=INK, width=0.2, dashes=_DASHES)
