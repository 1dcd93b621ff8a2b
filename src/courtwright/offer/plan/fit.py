"""The largest drawing that a page holds, at a scale that a scale rule carries."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from shapely.geometry.base import BaseGeometry

from courtwright.offer.plan.scales import scales
from courtwright.offer.plan.sheet import Sheet
from courtwright.trade.words import UnitSystem

#: What a page leaves for a drawing, its margin included, on US Letter and on A4. [mm]
WIDEST, HIGHEST = 174.0, 220.0
MARGIN = 2.0

Drawn = TypeVar("Drawn", bound=Sheet)


def largest_fit(outline: BaseGeometry, units: UnitSystem, drawn: Callable[[int], Drawn]) -> Drawn:
    """Return the largest drawing that fits a page; the smallest of all where none does.

    Parameters
    ----------
    outline : BaseGeometry
        What is drawn, so that scales need not be tried at which it alone is too large. [m]
    units : {"us", "metric"}
        Of the scale.
    drawn : callable
        Draws at 1:n.
    """
    for scale in scales(units):
        if _too_large(outline, scale):
            continue
        sheet = drawn(scale)
        left, top, right, bottom = sheet.canvas.bounds
        if right - left + 2 * MARGIN <= WIDEST and bottom - top + 2 * MARGIN <= HIGHEST:
            return sheet
    return drawn(scales(units)[-1])


def _too_large(outline: BaseGeometry, scale: int) -> bool:
    left, bottom, right, top = outline.bounds
    return (right - left) * 1000 / scale > WIDEST or (top - bottom) * 1000 / scale > HIGHEST
