"""Makes the outline of a pad from its corners, or says why it is none."""

from __future__ import annotations

import math

from shapely import Polygon, is_valid_reason

from courtwright.says import Says, say

#: Smaller than this is no pad, nor is what is larger than a town. [m²]
LEAST_AREA = 1.0
MOST_AREA = 1e9
#: A larger pad was probably written in the wrong unit: twenty tennis courts have about so much. [m²]
UNUSUAL_AREA = 20_000.0


def outline_of(corners: list[tuple[float, float]]) -> Polygon | Says:
    """Return the outline with these corners, or what is wrong with it.

    Parameters
    ----------
    corners : list of tuple of float, shape (n, 2)
        In the pad frame, in order; the first may be repeated at the end. [m]

    Returns
    -------
    Polygon or Says
        The outline as drawn, or the reason why it is none.

    Examples
    --------
    >>> outline_of([(0, 0), (36, 0), (36, 18), (0, 18)]).area
    648.0
    >>> outline_of([(0, 0), (36, 18), (36, 0), (0, 18)]).id
    'site.outline-crosses'
    """
    ring = [p for p, before in zip(corners, [None, *corners], strict=False) if p != before]
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    if len(set(ring)) < 3:
        return say("site.outline-few-corners", corners=len(set(ring)))
    outline = Polygon(ring)
    if not outline.is_valid:
        return _crossing(outline)
    if not LEAST_AREA <= outline.area <= MOST_AREA:
        return say("site.outline-size", area=outline.area)
    return outline


def _crossing(outline: Polygon) -> Says:
    """Say where an outline crosses or touches itself."""
    place = is_valid_reason(outline).partition("[")[2].rstrip("]").split()
    x, y = (float(p) for p in place[:2]) if len(place) >= 2 else (math.nan, math.nan)
    if math.isnan(x) or math.isnan(y):
        return say("site.outline-crosses-itself")
    return say("site.outline-crosses", x=x, y=y)
