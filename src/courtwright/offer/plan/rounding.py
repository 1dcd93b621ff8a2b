"""Rounds the corners of outlines that were read from a grid."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, get_coordinates
from shapely.geometry.base import BaseGeometry

_TIMES = 2


def rounded_off(area: BaseGeometry) -> BaseGeometry:
    """Return an area whose corners are cut twice, each cut a quarter of its sides from the corner.

    Parameters
    ----------
    area : BaseGeometry
        Polygons. [any]

    References
    ----------
    Chaikin, "An algorithm for high-speed curve generation", Computer Graphics and Image Processing 3, 1974.

    Examples
    --------
    Half of each side of a square stays after the first time, and an eighth of its area goes:

    >>> from shapely import box
    >>> round(1 - rounded_off(box(0, 0, 1, 1)).area, 3)
    0.156
    """
    if isinstance(area, MultiPolygon):
        return MultiPolygon([_rounded(part) for part in area.geoms])
    return _rounded(area) if isinstance(area, Polygon) else area


def _rounded(area: Polygon) -> Polygon:
    rings = [_cut(get_coordinates(ring)[:-1]) for ring in (area.exterior, *area.interiors)]
    return Polygon(rings[0], rings[1:])


def _cut(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the corners of a ring, cut, shape (n, 2); the first is not repeated."""
    for _ in range(_TIMES):
        ahead = np.roll(ring, -1, axis=0)
        ring = np.stack([0.75 * ring + 0.25 * ahead, 0.25 * ring + 0.75 * ahead], axis=1).reshape(-1, 2)
    return ring
