"""Numbers, points and facts as plain JSON values, with no false digits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from courtwright.measured import Span
from courtwright.says import Says
from courtwright.trade.load import facts as fact_specs
from courtwright.trade.words import Language, UnitSystem, render

# Whoever only speaks, and draws nothing, does not wait for what draws.
if TYPE_CHECKING:
    from shapely import Polygon

    from courtwright.site.record import FactValue

#: SI unit of each kind of fact, as answers name it.
_UNITS = {"length": "m", "small": "m", "area": "m2", "years": "a", "hours": "h"}


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads the answer: language and units of its sentences. The numbers are SI for everyone."""

    language: Language = "en"
    units: UnitSystem = "us"

    def says(self, sentence: Says) -> str:
        """Return a sentence in the reader's words."""
        return render(sentence, self.language, self.units)


def number(value: float | None, digits: int = 4) -> float | None:
    """Return a value rounded to ``digits`` decimals; None where there is none."""
    if value is None or math.isnan(value) or math.isinf(value):
        return None
    return round(float(value), digits) + 0.0


def mm(value: float | None) -> float | None:
    """Return a length in millimetres. ``value`` is in metres [m]."""
    return None if value is None else number(value * 1000, 2)


def pct(value: float | None) -> float | None:
    """Return a share or slope in percent. ``value`` is a fraction [-]."""
    return None if value is None else number(value * 100, 3)


def degrees(value: float | None) -> float | None:
    """Return a bearing in degrees, 0 up to but not including 360. ``value`` is in radians [rad]."""
    return None if value is None else number(round(math.degrees(value), 1) % 360.0, 1)


def point(xy: tuple[float, float] | None) -> list[float] | None:
    """Return a place as ``[x, y]`` in pad metres."""
    return None if xy is None else [round(float(xy[0]), 3) + 0.0, round(float(xy[1]), 3) + 0.0]


def ring(polygon: Polygon) -> list[list[float]]:
    """Return a polygon's outer ring in millimetres; its first point is not repeated, nor is any other in a row.

    Examples
    --------
    >>> from shapely import Polygon
    >>> ring(Polygon([(0, 0), (0, 0.0001), (2, 0), (2, 1), (0.0001, 0)]))
    [[2.0, 0.0], [2.0, 1.0], [0.0, 0.0]]
    """
    places = [[round(x, 3) + 0.0, round(y, 3) + 0.0] for x, y in polygon.exterior.coords[:-1]]
    return [place for before, place in zip([places[-1], *places], places, strict=False) if place != before]


def fact_value(value: FactValue) -> object:
    """Return a fact's value: a number, a claim, a word, null, or an operator and a number for a span."""
    if not isinstance(value, Span):
        return value
    if value.low == value.high:
        return number(value.low, 6)
    if math.isinf(value.high):
        return f">= {value.low:.6g}"
    return f"<= {value.high:.6g}" if math.isinf(value.low) else f"{value.low:.6g} to {value.high:.6g}"


def fact_unit(name: str) -> str | None:
    """Return the SI unit in which a fact's number stands; None for shares, counts, claims and words."""
    return _UNITS.get(fact_specs()[name].kind)
