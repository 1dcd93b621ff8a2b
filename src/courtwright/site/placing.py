"""Where a mark lies: on the pad, along its outline, partly or wholly off it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import LineString, Point, Polygon, dwithin, get_parts, prepare
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


class Placer:
    """Places marks on one pad.

    Parameters
    ----------
    outline : Polygon
        The pad. [m]

    Examples
    --------
    >>> placer = Placer(Polygon([(0, 0), (10, 0), (10, 10), (0, 10)]))
    >>> [placer.placed(LineString([(2, 5), (x, 5)]), "on").how for x in (9, 12, 40)]
    ['whole', 'clipped', 'off']
    """

    def __init__(self, outline: Polygon) -> None:
        self.outline = outline
        self._reach = outline.buffer(OVERSHOOT)
        self._band = outline.exterior.buffer(NEAR_OUTLINE)
        for shape in (self.outline, self._reach, self._band):
            prepare(shape)

    def placed(self, geometry: BaseGeometry, lies: _Lies) -> Placed:
        """Return what of a mark is kept, by where its kind may lie.

        Parameters
        ----------
        geometry : BaseGeometry
            As drawn. [m]
        lies : {"on", "along", "anywhere"}
            Where marks of its kind may lie.

        Returns
        -------
        Placed
            A mark on the pad is kept as drawn, up to `OVERSHOOT` beyond the outline. One that lies at least half on
            the pad is cut at the outline; one that lies mostly off it is not kept.
        """
        if lies == "anywhere":
            return Placed((geometry,), "whole" if dwithin(self.outline, geometry, FAR) else "far")
        if lies == "along":
            return Placed((geometry,), "whole") if self._band.covers(geometry) else Placed((), "off", 0.0)
        if self._reach.covers(geometry):
            return Placed((geometry,), "whole")
        share = _size(geometry.intersection(self._reach)) / _size(geometry) if _size(geometry) else 0.0
        if share < 0.5:
            return Placed((), "off", share)
        kind = type(geometry)
        inside = get_parts(geometry.intersection(self.outline))
        parts = tuple(part for part in inside if isinstance(part, kind) and _size(part) > 0)
        return Placed(parts, "clipped", share) if parts else Placed((), "off", share)


def _size(geometry: BaseGeometry) -> float:
    """Return the area of what has one, else the length."""
    if isinstance(geometry, Point):
        return 0.0
    return geometry.length if isinstance(geometry, LineString) else geometry.area or geometry.length
