"""Makes a geometry of GeoJSON coordinates, or says why it is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from shapely import LineString, Point, Polygon, is_valid_reason
from shapely.geometry.base import BaseGeometry

#: GeoJSON's names, in the words of ``trade/marks``.
SHAPES: Mapping[str, str] = {"Point": "point", "LineString": "line", "Polygon": "polygon"}
_MANY: Mapping[str, str] = {"MultiPoint": "Point", "MultiLineString": "LineString", "MultiPolygon": "Polygon"}
_LEAST_POINTS = {"LineString": 2, "Polygon": 3}


class NotDrawn:
    """Why there is no geometry: the code of the complaint and the values of its sentences."""

    def __init__(self, code: str, **values: object) -> None:
        self.code = code
        self.values = values


def shape_of(geometry: BaseGeometry) -> str:
    """Return ``point``, ``line`` or ``polygon``."""
    return SHAPES[geometry.geom_type]


def drawn(given: object, scale: float, mark: str) -> list[BaseGeometry] | NotDrawn:
    """Return the geometry in metres, one for each part of a multiple one, or what is wrong with it.

    Parameters
    ----------
    given : object
        A GeoJSON geometry.
    scale : float
        Length of one unit of the file. [m]
    mark : str
        The kind of mark, for the sentence.

    Returns
    -------
    list of BaseGeometry or NotDrawn
        At least one geometry, in the pad frame. [m]

    Examples
    --------
    >>> drawn({"type": "LineString", "coordinates": [[0, 0], [10, 0]]}, 0.3048, "crack")[0].length
    3.048
    >>> drawn({"type": "LineString", "coordinates": [[0, 0]]}, 1.0, "crack").code
    'one-point'
    """
    if not isinstance(given, dict):
        return NotDrawn("no-geometry", mark=mark)
    name, coordinates = given.get("type"), given.get("coordinates")
    if isinstance(name, str) and name in _MANY and isinstance(coordinates, list) and coordinates:
        parts = [_one(_MANY[name], part, scale, mark) for part in coordinates]
        return next((part for part in parts if isinstance(part, NotDrawn)), None) or [
            part for part in parts if isinstance(part, BaseGeometry)
        ]
    if name not in SHAPES:
        return NotDrawn("odd-geometry", mark=mark, given=str(name)[:40])
    one = _one(str(name), coordinates, scale, mark)
    return one if isinstance(one, NotDrawn) else [one]


def _one(name: str, coordinates: Any, scale: float, mark: str) -> BaseGeometry | NotDrawn:
    try:
        return _geometry(name, coordinates, scale, mark)
    except (TypeError, ValueError, IndexError, OverflowError):
        return NotDrawn("bad-coordinates", mark=mark)


def _geometry(name: str, coordinates: Any, scale: float, mark: str) -> BaseGeometry | NotDrawn:
    if name == "Point":
        return Point(_xy(coordinates, scale))
    if name == "LineString":
        points = _points(coordinates, scale)
        return LineString(points) if len(set(points)) >= 2 else _few(name, points, mark)
    rings = [_points(ring, scale) for ring in coordinates]
    if len(set(rings[0])) < 3:
        return _few(name, rings[0], mark)
    polygon = Polygon(rings[0], [hole for hole in rings[1:] if len(set(hole)) >= 3])
    if not polygon.is_valid or polygon.area == 0:
        place = is_valid_reason(polygon).partition("[")[2].rstrip("]").split()
        x, y = (float(p) for p in place[:2]) if len(place) >= 2 else rings[0][0]
        return NotDrawn("polygon-crosses", mark=mark, x=x, y=y)
    return polygon


def _points(given: Any, scale: float) -> list[tuple[float, float]]:
    return [_xy(point, scale) for point in given]


def _xy(given: Any, scale: float) -> tuple[float, float]:
    x, y = given[0], given[1]
    if isinstance(given, str) or any(isinstance(v, bool) or not isinstance(v, int | float) for v in (x, y)):
        raise TypeError
    x, y = float(x) * scale, float(y) * scale
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError
    return x, y


def _few(name: str, points: list[tuple[float, float]], mark: str) -> NotDrawn:
    if name == "LineString" and points:
        return NotDrawn("one-point", mark=mark)
    return NotDrawn("few-points", mark=mark, points=len(set(points)), needs=_LEAST_POINTS[name])
