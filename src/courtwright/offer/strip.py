"""The strip of an option along a rule of forty years: its work, cures, upkeep and end, as SVG."""

from __future__ import annotations

import math

from shapely import box

from courtwright.cost.records import OptionPrice
from courtwright.offer.canvas import TYPE_SIZE, Canvas
from courtwright.offer.colours import HAIRLINE, INK, PAPER
from courtwright.offer.lettering import text_width
from courtwright.quantities.records import OptionWork

YEARS = 40
_LEFT, _PER_YEAR = 3.0, 4.0  # mm
_YEAR_DAYS = 365.25
_LEAST_WORK = 1.2  # mm: a month of work could not be seen otherwise
#: Width of every strip and of the rule. [mm]
WIDE = 2 * _LEFT + YEARS * _PER_YEAR


def rule_svg(caption: str, alt: str) -> str:
    """Return the rule that all strips stand along."""
    canvas = _sheet(-6.0, 3.0)
    canvas.line((_x(0), 0.0), (_x(YEARS), 0.0), width=0.3)
    for year in range(YEARS + 1):
        long = 2.4 if year % 10 == 0 else 1.6 if year % 5 == 0 else 0.8
        canvas.line((_x(year), 0.0), (_x(year), long), width=0.2)
        if year % 10 == 0:
            text = f"{year} {caption}" if year == 0 else str(year)
            left = _x(year) if year == 0 else _x(year) - text_width(text, TYPE_SIZE) / 2
            canvas.text(min(left, WIDE - text_width(text, TYPE_SIZE) - 0.5), -3.2, text)
    return canvas.svg(alt, alt, margin=0.0)


def strip_svg(work: OptionWork, price: OptionPrice, recolour_every: float | None, end: str, alt: str) -> str:
    """Return the forty years of one option.

    Parameters
    ----------
    work : OptionWork
        Its steps, with the waits after them.
    price : OptionPrice
        Its life.
    recolour_every : float or None
        How often new colour is due; None where there is no colour to renew. [year]
    end : str
        What is written at the likely end.
    alt : str
        The strip in words.

    Returns
    -------
    str
        SVG as wide as the rule.
    """
    canvas = _sheet(-8.0, 3.6)
    for year in range(0, YEARS + 1, 10):
        canvas.line((_x(year), -3.6), (_x(year), 3.6), width=0.15, stroke=HAIRLINE)
    begins = _draw_work(canvas, work)
    life = price.life_years
    if life.p50 > 0:
        _draw_life(canvas, begins, (life.p10, life.p50, life.p90), recolour_every, end)
    return canvas.svg(alt, alt, margin=0.0)


def _sheet(top: float, bottom: float) -> Canvas:
    canvas = Canvas()
    canvas.reach(0.0, top, WIDE, bottom)
    return canvas


def _x(year: float) -> float:
    return _LEFT + min(max(year, 0.0), float(YEARS)) * _PER_YEAR


def _draw_work(canvas: Canvas, work: OptionWork) -> float:
    """Draw the work as a solid block and the waits as an open one; return where play begins. [mm]"""
    days, waits = sum(s.days.value for s in work.steps), sum(s.wait_days for s in work.steps)
    end = _x(0)
    if days > 0:
        end += max(days / _YEAR_DAYS * _PER_YEAR, _LEAST_WORK)
        canvas.shape(box(_x(0), -2.2, end, 2.2), fill=INK)
    if waits > 0:
        cure = end + max(waits / _YEAR_DAYS * _PER_YEAR, _LEAST_WORK)
        canvas.shape(box(end, -2.2, cure, 2.2), fill=PAPER, stroke=INK, width=0.25)
        end = cure
    return end


def _draw_life(
    canvas: Canvas, begins: float, life: tuple[float, float, float], recolour_every: float | None, end: str
) -> None:
    sure, likely, at_most = life
    canvas.line((begins, 0.0), (max(_x(sure), begins), 0.0), width=0.7)
    if _x(at_most) > _x(sure):
        canvas.line((_x(sure), 0.0), (_x(at_most), 0.0), width=0.4, dashes=(1.4, 1.0))
    if recolour_every:
        for i in range(1, math.ceil(min(likely, YEARS) / recolour_every)):
            canvas.line((_x(i * recolour_every), -1.5), (_x(i * recolour_every), 1.5), width=0.35)
    if likely < YEARS:
        canvas.line((_x(likely), -3.2), (_x(likely), 3.2), width=0.6)
    wide = text_width(end, TYPE_SIZE)
    left = min(max(_x(likely) - wide / 2, _LEFT), WIDE - wide - 1.0)
    canvas.text(left, -5.6, end)
