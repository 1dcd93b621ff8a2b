"""What was counted beyond what is drawn: nothing is counted twice."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from shapely import LineString, Point, Polygon, box, get_coordinates
from shapely.geometry.base import BaseGeometry

from courtwright.site.record import Court, Mark, Pad, Tally

#: Cracks of one class are repaired alike: fine, bridgeable, wide. Upper ends of the first two. [m]
WIDTH_CLASSES = (0.0254 / 8, 1.5 * 0.0254)
_NOTHING = 1e-6


def tallies_beyond_marks(pad: Pad) -> tuple[Tally, ...]:
    """Return the tallies of a pad less what is drawn of the same kind at the same place.

    Parameters
    ----------
    pad : Pad
        The pad.

    Returns
    -------
    tuple of Tally
        In the record's order; what is wholly drawn is left out.

    Notes
    -----
    A tally and a drawn mark are of one kind when their kind is the same, their width class is the same where both
    tell a width, and no word that both tell differs. They are at one place when the tally is for the whole pad, or
    the mark lies nearer to the tally's court than to the pad's other courts of that sport; a mark across two courts
    counts on each with the part that lies there. A mark reduces each tally by its length, its area or its number,
    but no part of it reduces two: tallies of one court go first, then those that tell a width.
    """
    left = {i: _amount(tally) for i, tally in enumerate(pad.tallies)}
    used: dict[tuple[int, str | None], float] = {}
    order = sorted(left, key=lambda i: (pad.tallies[i].court is None, "width" not in pad.tallies[i].properties, i))
    for i in order:
        tally = pad.tallies[i]
        zone = _zone(pad, tally.court)
        for number, mark in enumerate(pad.marks):
            if left[i] > 0 and _is_same(tally, mark):
                spent = sum(v for (n, court), v in used.items() if n == number and _overlaps(court, tally.court))
                here = _drawn_amount(tally, mark, zone) - spent
                taken = min(left[i], max(here, 0.0))
                used[number, tally.court] = used.get((number, tally.court), 0.0) + taken
                left[i] -= taken
    return tuple(_with_amount(tally, left[i]) for i, tally in enumerate(pad.tallies) if left[i] > _NOTHING)


def _overlaps(court: str | None, other: str | None) -> bool:
    return court == other or court is None or other is None


def _amount(tally: Tally) -> float:
    amount = tally.length if tally.length is not None else tally.area if tally.area is not None else tally.count
    return float(amount or 0)


def _with_amount(tally: Tally, amount: float) -> Tally:
    if tally.length is not None:
        return replace(tally, length=amount)
    return replace(tally, area=amount) if tally.area is not None else replace(tally, count=round(amount))


def _is_same(tally: Tally, mark: Mark) -> bool:
    if tally.mark != mark.kind:
        return False
    width, other = tally.properties.get("width"), mark.number("width")
    if isinstance(width, float) and other is not None and _width_class(width) != _width_class(other):
        return False
    words = ((value, mark.word(name)) for name, value in tally.properties.items() if isinstance(value, str))
    return all(other is None or value == other for value, other in words)


def _width_class(width: float) -> int:
    return sum(width > end for end in WIDTH_CLASSES)


def _zone(pad: Pad, court: str | None) -> BaseGeometry | None:
    """Return the part of the plane that is nearer to a court than to others of its sport; None for all of it."""
    own = next((c for c in pad.courts if c.id == court), None)
    if own is None:
        return None
    others = [c for c in pad.courts if c.sport == own.sport and c.centre != own.centre]
    return _nearer(own, others, pad.outline) if others else None


def _nearer(own: Court, others: Sequence[Court], outline: Polygon) -> Polygon:
    """Return what is nearer to ``own`` than to each other court, well beyond the outline."""
    low_x, low_y, high_x, high_y = outline.bounds
    reach = 10 * max(high_x - low_x, high_y - low_y)
    zone: BaseGeometry = box(low_x - reach, low_y - reach, high_x + reach, high_y + reach)
    for other in others:
        (ax, ay), (bx, by) = own.centre, other.centre
        mx, my, dx, dy = (ax + bx) / 2, (ay + by) / 2, bx - ax, by - ay
        size = 100 * reach / (dx * dx + dy * dy) ** 0.5
        along, across = (-dy * size, dx * size), (-dx * size, -dy * size)
        near = [
            (mx + along[0], my + along[1]),
            (mx - along[0], my - along[1]),
            (mx - along[0] + across[0], my - along[1] + across[1]),
            (mx + along[0] + across[0], my + along[1] + across[1]),
        ]
        zone = zone.intersection(Polygon(near))
    assert isinstance(zone, Polygon)
    return zone


def _drawn_amount(tally: Tally, mark: Mark, zone: BaseGeometry | None) -> float:
    """Return how much of a mark lies in a zone, as the tally counts it: metres, square metres or pieces."""
    if tally.count is not None:
        here = zone is None or zone.covers(mark.geometry.representative_point())
        return (mark.number("count") or 1.0) if here else 0.0
    part = mark.geometry if zone is None else mark.geometry.intersection(zone)
    return _length(part) if tally.length is not None else _area(part, mark)


def _length(geometry: BaseGeometry) -> float:
    """Return the length of a line; of a patch, that of its longer side."""
    if geometry.is_empty or isinstance(geometry, Point):
        return 0.0
    if geometry.area == 0:
        return geometry.length
    ring = get_coordinates(geometry.minimum_rotated_rectangle)
    return max(LineString(side).length for side in itertools.pairwise(ring))


def _area(geometry: BaseGeometry, mark: Mark) -> float:
    """Return the area of a patch; of a line or a point, what its width or radius makes of it."""
    if geometry.area:
        return geometry.area
    if isinstance(geometry, Point):
        return math.pi * (mark.number("radius") or 0.0) ** 2 if not geometry.is_empty else 0.0
    return geometry.length * (mark.number("strip_width") or mark.number("width") or 0.0)
