"""Ruled hatching of an area, as lines cut to its shape."""

from __future__ import annotations

import math

from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

_TURN = math.radians(45)


def hatching(area: BaseGeometry, spacing: float) -> BaseGeometry:
    """Return lines at 45 degrees, ``spacing`` apart, cut to an area.

    Parameters
    ----------
    area : BaseGeometry
        On paper. [mm]
    spacing : float
        Between neighbouring lines. [mm]

    Returns
    -------
    BaseGeometry
        Lines; empty for an empty area. [mm]

    Examples
    --------
    >>> from shapely import box
    >>> round(hatching(box(0, 0, 10, 10), 1.0).length)
    100
    """
    if area.is_empty:
        return area
    left, top, right, bottom = area.bounds
    cx, cy, half = (left + right) / 2, (top + bottom) / 2, math.hypot(right - left, bottom - top) / 2
    ux, uy = math.cos(_TURN), math.sin(_TURN)
    steps = math.ceil(half / spacing)
    lines = [
        [
            (cx - uy * i * spacing - half * ux, cy + ux * i * spacing - half * uy),
            (cx - uy * i * spacing + half * ux, cy + ux * i * spacing + half * uy),
        ]
        for i in range(-steps, steps + 1)
    ]
    return MultiLineString(lines).intersection(area)
