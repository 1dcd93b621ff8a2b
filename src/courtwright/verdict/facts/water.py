"""Facts of water and fall."""

from __future__ import annotations

import math

import numpy as np

from courtwright.ground.reading import CourtPlane, PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Pad
from courtwright.verdict.facts.walked import none_when_walked, was_walked

#: Halves of a court whose falls differ by more than this make a crown or a valley (from memory). [rad]
_CROWN = math.radians(60)
#: Below this a plane has no fall to speak of, and its direction says nothing (from memory). [m/m]
_LEVEL = 0.003
#: Sediment this near the outline lies at an edge (from memory). [m]
_AT_THE_EDGE = 1.0
_HOLDS_WATER = frozenset({"soil", "sod", "sand", "wall"})


def facts(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return the facts of water and fall that shots, marks and tallies support."""
    depths = [spot.depth_max for spot in reading.low_spots]
    known = was_walked(pad) or reading.heights is not None
    ponds = sum(spot.area for spot in reading.low_spots) / reading.area
    slopes = [court.slope for court in reading.courts]
    return {
        "low_spot_depth_max": _deepest(pad, depths, known),
        "ponding_share": Span.exactly(min(1.0, ponds)) if known else None,
        "plane_slope_min": Span.exactly(min(slopes)) if slopes else None,
        "plane_is_wrong": any(map(_is_wrong, reading.courts)) if reading.courts else None,
        **_edges(pad, reading),
    }


def _deepest(pad: Pad, depths: list[float], known: bool) -> Span | None:
    undrawn = [mark for mark in pad.of_kind("low-spot") if mark.number("depth") is None]
    if not depths:
        return Span.exactly(0.0) if known else none_when_walked(pad)
    deepest = max(depth for depth in depths if not math.isnan(depth)) if any(d == d for d in depths) else 0.0
    return Span(deepest, math.inf if undrawn and deepest == 0.0 else deepest)


def _is_wrong(court: CourtPlane) -> bool:
    if court.slope < _LEVEL:
        return False
    return court.crown > _CROWN


def _edges(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return what stands at the low edge. Sediment at an edge shows that water was held there (common practice)."""
    low = reading.low_edge
    sediment = any(sand.geometry.distance(pad.outline.exterior) < _AT_THE_EDGE for sand in pad.of_kind("sand"))
    return {
        "low_edge_blocked": True if sediment else None if low is None else low in _HOLDS_WATER,
        "low_edge_walled": None if low is None else low == "wall",
        "run_on": _runs_on(pad, reading),
    }


def _runs_on(pad: Pad, reading: PadReading) -> bool | None:
    """Tell whether ground stands above an edge on the pad's high side."""
    if reading.heights is None:
        return None
    grid = reading.heights
    mean = float(np.nanmean(grid.height))
    for edge in pad.of_kind("edge"):
        if edge.word("stands") == "above" and edge.word("of") in {"soil", "sod"}:
            middle = edge.geometry.interpolate(0.5, normalized=True)
            row = min(max(round((middle.y - grid.y0) / grid.cell), 0), grid.height.shape[0] - 1)
            col = min(max(round((middle.x - grid.x0) / grid.cell), 0), grid.height.shape[1] - 1)
            if grid.height[row, col] > mean:
                return True
    return False if was_walked(pad) else None
