"""The slab's outline and the playing lines, as the paint is: the ruler of the plan."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import COURT, INK
from courtwright.offer.plan.sheet import Sheet
from courtwright.site.lines import court_lines
from courtwright.trade.load import courts

#: Paint that is narrower than this on paper is drawn so wide: finer is lost in print and on a phone. [mm]
_LEAST_WIDE = 0.3
#: What is drawn so much wider than it is, the key says so. [mm]
_TELLS = 0.05


def draw_courts(sheet: Sheet) -> None:
    """Draw the painted lines at their true width, or as fine as can be seen."""
    for court in sheet.pad.courts:
        spec = courts().get(court.sport)
        if spec is None:
            continue
        painted = [sheet.on_paper(line) for line in court_lines(spec, court)]
        grows = [max(_LEAST_WIDE - _width(line), 0.0) for line in painted]
        for line, by in zip(painted, grows, strict=True):
            sheet.canvas.shape(line.buffer(by / 2, join_style="mitre"), fill=COURT)
        sheet.explain("key-lines-fine" if max(grows, default=0.0) > _TELLS else "key-lines", _sample_lines)


def draw_outline(sheet: Sheet, key: str = "key-outline") -> None:
    """Draw the edge of the pavement, or of what else the sheet shows."""
    outline = sheet.on_paper(sheet.pad.outline)
    sheet.canvas.shape(outline, stroke=INK, width=0.45)
    sheet.ink.append(outline.boundary)
    sheet.explain(key, _sample_outline)


def _width(strip: BaseGeometry) -> float:
    """Return how wide a long strip is: its area over half its rim. [mm]"""
    return 2.0 * strip.area / strip.length


def _sample_lines(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.8, stroke=COURT)


def _sample_outline(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.45)
