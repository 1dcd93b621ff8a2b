"""Facts of water and fall."""

from __future__ import annotations

import math

import numpy as np

from courtwright.ground.reading import CourtPlane, HeightGrid, PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Mark, Pad, Tally
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import tolerances
from courtwright.verdict.facts.walked import was_walked

_HOLDS_WATER = frozenset({"soil", "sod", "sand", "wall"})


def facts(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return the facts of water and fall that shots, marks and tallies support."""
    known = was_walked(pad) or reading.heights is not None
    counted = [tally for tally in tallies_beyond_marks(pad) if tally.mark == "low-spot"]
    slopes = [court.slope for court in reading.courts]
    return {
        "low_spot_depth_max": _deepest(reading, counted) if known else None,
        "ponding_share": _ponding(reading, counted) if known else None,
        "plane_slope_min": Span.exactly(min(slopes)) if slopes else None,
        "plane_is_wrong": any(map(is_wrong, reading.courts)) if reading.courts else None,
        **_edges(pad, reading),
    }


def _deepest(reading: PadReading, counted: list[Tally]) -> Span:
    """Return the depth of the deepest low spot; one of which nobody gave the depth is of any that counts. [m]"""
    depths = [spot.depth_max if spot.depth_is_known else None for spot in reading.low_spots]
    depths += [_number(tally, "depth") for tally in counted]
    given = [depth for depth in depths if depth is not None]
    if len(given) == len(depths):
        return Span.exactly(max(given, default=0.0))
    least = math.nextafter(tolerances().water_test, math.inf)
    return Span(max([least, *given]), math.inf)


def _ponding(reading: PadReading, counted: list[Tally]) -> Span:
    """Return the share of the pad that ponds; low spots counted without an area may take up any of it. [-]"""
    area = math.fsum([*(spot.area for spot in reading.low_spots), *(tally.area or 0.0 for tally in counted)])
    share = min(1.0, area / reading.area)
    return Span.exactly(share) if all(tally.area is not None for tally in counted) else Span(share, 1.0)


def _number(tally: Tally, name: str) -> float | None:
    value = tally.properties.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def is_wrong(court: CourtPlane) -> bool:
    """Tell whether a court that falls has a crown, a valley or a fall to the net."""
    if court.slope < tolerances().least_fall:
        return False
    return court.crown > tolerances().crown_turn


def _edges(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return what stands at the low edge. Sediment at an edge shows that water was held there (common practice)."""
    low = reading.low_edge
    sediment = marks_at_edge(pad, "sand")
    return {
        "low_edge_blocked": True if sediment else None if low is None else low in _HOLDS_WATER,
        "low_edge_walled": True if _walled(pad) else None if low is None else low == "wall",
        "run_on": _runs_on(pad, reading),
    }


def _walled(pad: Pad) -> bool:
    """Tell whether a wall was drawn beside the sediment that lies at an edge: no digging there."""
    near = 2 * tolerances().sediment_reach
    walls, sediment = marks_at_edge(pad, "wall"), marks_at_edge(pad, "sand")
    return any(wall.geometry.distance(sand.geometry) < near for wall in walls for sand in sediment)


def marks_at_edge(pad: Pad, kind: str) -> list[Mark]:
    """Return the marks of a kind that lie at the pad's outline."""
    rim, reach = pad.outline.exterior, tolerances().sediment_reach
    return [mark for mark in pad.of_kind(kind) if mark.geometry.distance(rim) < reach]


def _runs_on(pad: Pad, reading: PadReading) -> bool | None:
    """Tell whether ground stands above an edge on the pad's high side, or shots around it show that water runs on."""
    if reading.heights is None:
        return None
    if edges_above(pad, reading):
        return True
    if reading.run_on is not None:
        counts = reading.run_on >= tolerances().run_on_least * reading.area
        if counts or not reading.run_on_is_least:
            return counts
    return False if was_walked(pad) else None


def edges_above(pad: Pad, reading: PadReading) -> list[Mark]:
    """Return the edges on the pad's high side above which soil or sod stands; none without heights."""
    grid = reading.heights
    if grid is None:
        return []
    mean = float(np.nanmean(grid.height))
    stand_above = [
        edge for edge in pad.of_kind("edge") if edge.word("stands") == "above" and edge.word("of") in {"soil", "sod"}
    ]
    return [edge for edge in stand_above if _height_at_middle(edge, grid) > mean]


def _height_at_middle(edge: Mark, grid: HeightGrid) -> float:
    """Return the pad's height at the node nearest to the middle of an edge; NaN off the pad. [m]"""
    middle = edge.geometry.interpolate(0.5, normalized=True)
    row = min(max(round((middle.y - grid.y0) / grid.cell), 0), grid.height.shape[0] - 1)
    col = min(max(round((middle.x - grid.x0) / grid.cell), 0), grid.height.shape[1] - 1)
    return float(grid.height[row, col])
