"""The worst straightedge itself: at its place on the plan, and from the side with its gap."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from courtwright.ground.laid import Laid, direction_of, laid_straightedge
from courtwright.ground.reading import PadReading
from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import INK, PAPER
from courtwright.offer.ground.profile import draw_profile, profile_of
from courtwright.offer.plan.courts import draw_courts, draw_outline
from courtwright.offer.plan.dimensions import draw_dimensions
from courtwright.offer.plan.fit import MARGIN, WIDEST, largest_fit
from courtwright.offer.plan.labels import Label, place_labels
from courtwright.offer.plan.margin import draw_margin
from courtwright.offer.plan.sheet import Sheet
from courtwright.site.record import Pad
from courtwright.trade.words import Language, UnitSystem

Array = NDArray[np.float64]

_ACROSS = 1.5  # mm
_BELOW = 9.0  # mm


@dataclass(frozen=True, slots=True)
class WorstEdge:
    """A straightedge to be drawn: how it lies, where, how sure its heights are, what else is to be said.

    Parameters
    ----------
    laid : Laid
        How it lies.
    start, end : tuple of float, shape (2,)
        Its ends in the pad frame. [m]
    gap_at : tuple of float, shape (2,)
        Where its gap is largest. [m]
    sd : ndarray, shape (n,), or None
        Standard uncertainty of the heights at its nodes; None where nothing tells it. [m]
    notes : tuple of str
        What the drawing cannot show.
    key : str
        What the outline is, a text.
    """

    laid: Laid
    start: tuple[float, float]
    end: tuple[float, float]
    gap_at: tuple[float, float]
    sd: Array | None = None
    notes: tuple[str, ...] = ()
    key: str = "key-outline"


def worst_edge(reading: PadReading) -> WorstEdge | None:
    """Return the straightedge of a pad's flatness; None where the pad has no room for one or no heights."""
    grid, flat = reading.heights, reading.flatness
    if grid is None or flat is None:
        return None
    at = round((flat.at[1] - grid.y0) / grid.cell), round((flat.at[0] - grid.x0) / grid.cell)
    laid = laid_straightedge(grid.height, grid.cell, flat.straightedge, at, direction_of(flat.bearing))
    if laid is None:
        return None

    def place(along: float) -> tuple[float, float]:
        row, col = laid.node_at(along)
        return grid.x0 + grid.cell * col, grid.y0 + grid.cell * row

    sd = grid.sd[laid.rows, laid.cols]
    return WorstEdge(laid, place(0.0), place(laid.length), place(laid.gap_along), sd)


def straightedge_svg(pad: Pad, edge: WorstEdge, language: Language = "en", units: UnitSystem = "us") -> str:
    """Return a pad with a straightedge on it as SVG at its true size.

    Parameters
    ----------
    pad : Pad
        What it lies on.
    edge : WorstEdge
        The straightedge.
    language : {"en", "es"}
        Of every word on it.
    units : {"us", "metric"}
        Of every number and of the scales.
    """

    def drawn(scale: int) -> Sheet:
        sheet = Sheet(pad=pad, language=language, units=units, scale=scale)
        _draw(sheet, edge)
        return sheet

    sheet = largest_fit(pad.outline, units, drawn)
    laid = edge.laid
    return sheet.canvas.svg(
        sheet.say("straightedge-title", pad=pad.id),
        sheet.say("straightedge-alt", pad=pad.id, length=laid.length, gap=laid.gap),
        margin=MARGIN,
    )


def _draw(sheet: Sheet, edge: WorstEdge) -> None:
    draw_courts(sheet)
    draw_outline(sheet, edge.key)
    _on_plan(sheet, edge)
    draw_dimensions(sheet)
    place_labels(sheet.canvas, sheet.labels, sheet.ink, WIDEST - 2 * MARGIN)
    left, _, right, bottom = sheet.canvas.bounds
    left = min(left, (left + right - WIDEST) / 2 + MARGIN)
    draw_profile(sheet, profile_of(edge.laid, edge.sd, sheet.units, left, bottom + _BELOW))
    draw_margin(sheet, [sheet.say("straightedge-level", tilt=abs(edge.laid.rise)), *edge.notes])


def _on_plan(sheet: Sheet, edge: WorstEdge) -> None:
    """Draw the straightedge at its true length, a rule as wide as can be seen, its ends named."""
    start, end, gap = (sheet.place(at) for at in (edge.start, edge.end, edge.gap_at))
    bar = LineString([start, end]).buffer(_ACROSS / 2, cap_style="flat")
    sheet.canvas.shape(bar, fill=PAPER, stroke=INK, width=0.4)
    sheet.ink.append(bar.buffer(0.6))
    sheet.canvas.dot(gap, 0.5)
    sheet.label(sheet.say("gap-label", gap=edge.laid.gap), gap)
    long = max(math.hypot(end[0] - start[0], end[1] - start[1]), 1e-9)
    out = (end[0] - start[0]) / long * 1.2, (end[1] - start[1]) / long * 1.2
    sheet.labels.append(Label("A", (start[0] - out[0], start[1] - out[1])))
    sheet.labels.append(Label("B", (end[0] + out[0], end[1] + out[1])))
    sheet.explain("key-straightedge-plan", _sample)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(
        LineString([(x, y), (x + 12, y)]).buffer(_ACROSS / 2, cap_style="flat"), fill=PAPER, stroke=INK, width=0.4
    )
    canvas.dot((x + 6, y), 0.5)
