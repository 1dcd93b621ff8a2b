"""Where a mark lies: on the pad, along its outline, partly or wholly off it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import LineString, Point, Polygon, get_parts, prepare
from shapely.geometry.base import BaseGeometry

#: A mark may overshoot the outline by so much: both were measured by hand. [m]
OVERSHOOT = 0.15
#: An edge mark lies this near to the outline. [m]
NEAR_OUTLINE = 1.0
#: A mark that may lie anywhere is asked about when it is farther away than this. [m]
FAR = 100.0

_Lies = Literal["on", "along", "anywhere"]


@dataclass(frozen=True, slots=True)
class Placed:
    """What of a mark is kept.

    Parameters
    ----------
    parts : tuple of BaseGeometry
        What is kept; several where the outline cut it apart, none where it lies off the pad.
    how : {"whole", "clipped", "off", "far"}
        ``far`` is kept and asked about.
    share : float
        Share of it that lies on the pad. [-]
    """

    parts: tuple[BaseGeometry, ...]
    how: Literal["whole", "clipped", "off", "far"]
    share: float = 1.0


def placed(geometry: BaseGeometry, lies: _Lies, outline: Polygon) -> Placed:
    """Return what of a mark is kept, by where its kind may lie.

    Parameters
    ----------
    geometry : BaseGeometry
        As drawn. [m]
    lies : {"on", "along", "anywhere"}
        Where marks of its kind may lie.
    outline : Polygon
        The pad. [m]

    Returns
    -------
    Placed
        A mark on the pad is kept as drawn, up to `OVERSHOOT` beyond the outline. One that lies at least half on the
        pad is cut at the outline; one that lies mostly off it is not kept.

    Examples
    --------
    >>> pad = Polygon([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> [placed(LineString([(2, 5), (x, 5)]), "on", pad).how for x in (9, 12, 40)]
    ['whole', 'clipped', 'off']
    """
    if lies == "anywhere":
        return Placed((geometry,), "far" if geometry.distance(outline) > FAR else "whole")
    if lies == "along":
        is_near = geometry.within(outline.exterior.buffer(NEAR_OUTLINE))
        return Placed((geometry,), "whole") if is_near else Placed((), "off", 0.0)
    reach = outline.buffer(OVERSHOOT)
    prepare(reach)
    if reach.covers(geometry):
        return Placed((geometry,), "whole")
    share = _size(geometry.intersection(reach)) / _size(geometry) if _size(geometry) else 0.0
    if share < 0.5:
        return Placed((), "off", share)
    kind = type(geometry)
    parts = tuple(p for p in get_parts(geometry.intersection(outline)) if isinstance(p, kind) and _size(p) > 0)
    return Placed(parts, "clipped", share) if parts else Placed((), "off", share)


def _size(geometry: BaseGeometry) -> float:
    """Return the area of what has one, else the length."""
    if isinstance(geometry, Point):
        return 0.0
    return geometry.length if isinstance(geometry, LineString) else geometry.area or geometry.length
