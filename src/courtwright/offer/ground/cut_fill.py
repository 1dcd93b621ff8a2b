"""Cut and fill of a new surface: cut stippled, fill ruled, the line between heavy, depths at the stakes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, box, contains_xy
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import HeightGrid
from courtwright.ground.regrade.plane import Ground
from courtwright.ground.regrade.read import PadRegrade, Part, Surface
from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import INK
from courtwright.offer.ground.depths import draw_depths, stake_spacing
from courtwright.offer.ground.fill_map import FillMap, fill_map, ruled
from courtwright.offer.ground.height_lines import NINE_IN_TEN
from courtwright.offer.plan.courts import draw_courts, draw_outline
from courtwright.offer.plan.dimensions import draw_dimensions
from courtwright.offer.plan.fit import MARGIN, WIDEST, largest_fit
from courtwright.offer.plan.hatching import hatching
from courtwright.offer.plan.labels import place_labels
from courtwright.offer.plan.margin import draw_margin
from courtwright.offer.plan.sheet import Sheet
from courtwright.offer.plan.slopes import LONGEST, draw_arrow, draw_slope_arrow
from courtwright.site.record import Pad
from courtwright.trade.load import materials
from courtwright.trade.words import Language, UnitSystem

_RULED, _RULE = 2.2, 0.12  # mm
_STIPPLE, _DOT = 1.4, 0.2  # mm
_HEAVY, _BAND = 0.7, (1.6, 1.1)
_MILLED = (0.3, 0.9)
_FOLD = (4.0, 0.8, 0.5, 0.8)
#: Thickness that varies by less is even. [m]
_EVEN = 0.0005
_MIRRORED = [-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]


@dataclass(frozen=True, slots=True)
class _Lines:
    """What is drawn of a new surface, in the pad frame; worked out once for all scales. [m]"""

    surface: Surface
    fill: FillMap
    cut: float
    zero: BaseGeometry
    band: tuple[BaseGeometry, ...]
    milled: BaseGeometry
    fold: BaseGeometry


def cut_fill_svg(
    pad: Pad, new: PadRegrade, grid: HeightGrid, language: Language = "en", units: UnitSystem = "us"
) -> str | None:
    """Return cut and fill of a pad's new surface as SVG at its true size; None where there is no new surface.

    Parameters
    ----------
    pad : Pad
        What was found.
    new : PadRegrade
        Its new surface, with its stakes.
    grid : HeightGrid
        The pad as it lies, as the surface was made for it.
    language : {"en", "es"}
        Of every word on it.
    units : {"us", "metric"}
        Of every number and of the scale.
    """
    if new.surface is None or new.nodes is None:
        return None
    lines = _lines(new.surface, new.nodes, fill_map(new.surface, grid, pad.outline))

    def drawn(scale: int) -> Sheet:
        sheet = Sheet(pad=pad, language=language, units=units, scale=scale)
        _draw(sheet, new, lines)
        return sheet

    sheet = largest_fit(pad.outline, units, drawn)
    return sheet.canvas.svg(
        sheet.say("cut-fill-title", pad=pad.id),
        sheet.say("cut-fill-alt", pad=pad.id, most=new.surface.thickness_max, cut=lines.cut),
        margin=MARGIN,
    )


def _lines(surface: Surface, ground: Ground, fill: FillMap) -> _Lines:
    nothing = LineString()
    return _Lines(
        surface,
        fill,
        _deepest(surface, ground),
        fill.line(0.0),
        tuple(fill.line(0.0, off) for off in (-NINE_IN_TEN, NINE_IN_TEN)),
        fill.line(surface.thickness_min) if surface.milled > 0 else nothing,
        fill.fold(surface) if len(surface.parts) > 1 else nothing,
    )


def _deepest(surface: Surface, ground: Ground) -> float:
    """Return how deep the new surface lies under the old one at most. [m]"""
    return max(-float((surface.at(ground.x, ground.y) - ground.z).min()), 0.0)


def _draw(sheet: Sheet, new: PadRegrade, lines: _Lines) -> None:
    _rule(sheet, lines)
    _stipple(sheet, lines.fill)
    draw_courts(sheet)
    draw_outline(sheet)
    _borders(sheet, lines)
    arrows = [_arrow(sheet, part, stake_spacing(new) / 2) for part in lines.surface.parts]
    draw_depths(sheet, new, arrows)
    draw_dimensions(sheet)
    place_labels(sheet.canvas, sheet.labels, sheet.ink, WIDEST - 2 * MARGIN)
    draw_margin(sheet, _notes(sheet, lines))


def _rule(sheet: Sheet, lines: _Lines) -> None:
    """Rule what is filled; crosswise too where it is laid in two lifts."""
    outline = sheet.on_paper(sheet.pad.outline)
    filled = ruled(hatching(outline, _RULED), lines.fill, sheet.per_metre, 0.0)
    sheet.canvas.shape(filled, stroke=INK, width=_RULE)
    if not filled.is_empty:
        sheet.explain("key-fill", _sample_fill)
    lift = materials()["hot-mix"].limits["lift_most"].size
    across = affine_transform(hatching(affine_transform(outline, _MIRRORED), _RULED), _MIRRORED)
    thick = ruled(across, lines.fill, sheet.per_metre, lift)
    sheet.canvas.shape(thick, stroke=INK, width=_RULE)
    if not thick.is_empty:
        sheet.explain("key-fill-thick", _sample_thick, lift=lift)


def _stipple(sheet: Sheet, fill: FillMap) -> None:
    outline = sheet.on_paper(sheet.pad.outline)
    places = _dots(outline)
    cut = fill.at(places * (1 / sheet.per_metre, -1 / sheet.per_metre)) < 0
    sheet.canvas.stipple(places[cut], _DOT)
    if cut.any():
        sheet.explain("key-cut", _sample_cut)


def _dots(area: BaseGeometry) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return the places of dots in an area, every other row half a step aside, shape (n, 2). [mm]"""
    left, top, right, bottom = area.bounds
    x, y = np.meshgrid(np.arange(left, right, _STIPPLE) + _STIPPLE / 4, np.arange(top, bottom, _STIPPLE) + _STIPPLE / 2)
    x[1::2] += _STIPPLE / 2
    shapely.prepare(area)
    inside = contains_xy(area, x, y)
    return np.column_stack([x[inside], y[inside]])


def _borders(sheet: Sheet, lines: _Lines) -> None:
    """Draw the line between cut and fill with its doubt, where milling begins, and the folds."""
    canvas = sheet.canvas
    for line in lines.band:
        canvas.shape(sheet.on_paper(line), stroke=INK, width=0.2, dashes=_BAND)
    zero = sheet.on_paper(lines.zero)
    canvas.shape(zero, stroke=INK, width=_HEAVY)
    sheet.ink.append(zero.buffer(_HEAVY))
    if not zero.is_empty:
        sheet.explain("key-zero", _sample_zero)
    if any(not line.is_empty for line in lines.band):
        sheet.explain("key-zero-doubt", _sample_band)
    canvas.shape(sheet.on_paper(lines.milled), stroke=INK, width=0.35, dashes=_MILLED)
    if not lines.milled.is_empty:
        sheet.explain("key-milled", _sample_milled, depth=lines.surface.milled)
    canvas.shape(sheet.on_paper(lines.fold), stroke=INK, width=0.3, dashes=_FOLD)
    if not lines.fold.is_empty:
        sheet.explain("key-fold", _sample_fold)


def _arrow(sheet: Sheet, part: Part, aside: float) -> Polygon:
    """Draw how a plane falls, near the middle of its courts or of the pad, ``aside`` of the rows of stakes. [m]"""
    centres = [court.centre for court in sheet.pad.courts if court.id in part.courts]
    middle = sheet.pad.outline.representative_point()
    x, y = (float(at) for at in (np.mean(centres, axis=0) if centres else (middle.x, middle.y)))
    room = Point(x + aside, y + aside).buffer(LONGEST / 2 / sheet.per_metre)
    if sheet.pad.outline.contains(room):
        x, y = x + aside, y + aside
    sheet.explain("key-slope-new", _sample_arrow)
    return draw_slope_arrow(sheet, (x, y), part.slope, part.bearing)


def _notes(sheet: Sheet, lines: _Lines) -> list[str]:
    new, cut = lines.surface, lines.cut
    is_even = new.thickness_max - new.thickness_min < _EVEN
    laid = "cut-fill-laid-even" if is_even else "cut-fill-laid"
    notes = [sheet.say(laid, least=new.thickness_min, most=new.thickness_max, mass=new.mass * 1000)]
    if new.milled > 0:
        notes.append(sheet.say("cut-fill-milled", depth=new.milled, volume=new.cut))
    elif cut <= 0:
        notes.append(sheet.say("cut-fill-no-cut"))
    if cut > 0:
        notes.append(sheet.say("cut-fill-cut", cut=cut))
    return notes


def _sample_fill(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(hatching(box(x, y - 1.7, x + 12, y + 1.7), _RULED), stroke=INK, width=_RULE)


def _sample_thick(canvas: Canvas, x: float, y: float) -> None:
    _sample_fill(canvas, x, y)
    area = affine_transform(box(x, y - 1.7, x + 12, y + 1.7), _MIRRORED)
    canvas.shape(affine_transform(hatching(area, _RULED), _MIRRORED), stroke=INK, width=_RULE)


def _sample_cut(canvas: Canvas, x: float, y: float) -> None:
    canvas.stipple(_dots(box(x, y - 1.8, x + 12, y + 1.8)), _DOT)


def _sample_zero(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=_HEAVY)


def _sample_band(canvas: Canvas, x: float, y: float) -> None:
    for dy in (-0.9, 0.9):
        canvas.line((x, y + dy), (x + 12, y + dy), width=0.2, dashes=_BAND)


def _sample_milled(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.35, dashes=_MILLED)


def _sample_fold(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.3, dashes=_FOLD)


def _sample_arrow(canvas: Canvas, x: float, y: float) -> None:
    draw_arrow(canvas, (x + 0.5, y), (x + 11.5, y), 0.4)
