"""How much of a pad's side lies along something beside it, such as a line of trees."""

from __future__ import annotations

import math
from collections.abc import Iterable

from shapely import LineString, Point, Polygon, get_coordinates
from shapely.geometry.base import BaseGeometry


def length_along(
    outline: Polygon, beside: Iterable[BaseGeometry], margin: float, reach: float, spacing: float
) -> float:
    """Return the length of outline nearest to what lies beside it, with a margin at both ends. [m]

    Parameters
    ----------
    outline : Polygon
        The pad. [m]
    beside : iterable of geometry
        Points and lines beside the pad. [m]
    margin : float
        Added on both sides of each nearest point; overlaps count once. [m]
    reach : float
        What stands farther from the pad does not count. [m]
    spacing : float
        Lines are followed in steps no longer than this. [m]

    Returns
    -------
    float
        Length, never more than the outline's. [m]

    Examples
    --------
    A tree line 10 m long beside a 20 m side, 3 m of margin at both ends:

    >>> from shapely import LineString, box
    >>> length_along(box(0, 0, 20, 10), [LineString([(5, 12), (15, 12)])], 3.0, 9.0, 1.0)
    16.0
    """
    ring, whole = outline.exterior, outline.exterior.length
    places = [ring.project(p) for shape in beside for p in _points(shape, spacing) if p.distance(outline) <= reach]
    return _covered(places, margin, whole)


def _points(shape: BaseGeometry, spacing: float) -> list[Point]:
    if isinstance(shape, LineString):
        steps = max(1, math.ceil(shape.length / spacing))
        return [shape.interpolate(i / steps, normalized=True) for i in range(steps + 1)]
    return [Point(xy) for xy in get_coordinates(shape)]


def _covered(places: list[float], margin: float, whole: float) -> float:
    """Return the length of a ring within ``margin`` of any of the places on it. [m]"""
    if not places:
        return 0.0
    ordered = sorted(places)
    gaps = [b - a for a, b in zip(ordered, [*ordered[1:], ordered[0] + whole], strict=True)]
    return min(whole, sum(min(gap, 2 * margin) for gap in gaps))
