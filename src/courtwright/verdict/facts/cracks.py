"""Facts of the cracks, the pieces they cut, and the old repairs."""

from __future__ import annotations

import math

from courtwright.ground.reading import CrackReading, PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Pad
from courtwright.verdict.facts.walked import none_when_walked, was_walked

_INCH = 0.0254
#: Up to this width a crack is fine; up to the second a membrane bridges it (TRADE rules 1 to 3).
FINE, WIDE = 0.125 * _INCH, 1.5 * _INCH
#: Area of one court pad, 60 by 120 ft. [m²]
_COURT_AREA = 60 * 120 * 0.3048**2


def facts(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return the facts of cracks, pieces and old repairs that the walk supports."""
    cracks = reading.cracks
    if not was_walked(pad):
        return {}
    fine, bridgeable, wide = (_between(cracks, low, high) for low, high in ((0, FINE), (FINE, WIDE), (WIDE, math.inf)))
    courts = max(1.0, len(pad.courts) or reading.area / _COURT_AREA)
    free = sum(piece.area for piece in reading.pieces if piece.free)
    return {
        "crack_length": Span.exactly(cracks.length),
        "crack_length_fine": fine,
        "crack_length_bridgeable": bridgeable,
        "crack_length_wide": wide,
        "crack_width_max": _width(cracks, pad),
        "crack_step_max": Span.exactly(cracks.step_max or 0.0),
        "crack_length_per_court": _sum(bridgeable, wide, 1 / courts),
        "edge_crack_length": Span.exactly(cracks.edge_length),
        "parallel_cracks": Span.exactly(float(cracks.parallels)),
        "free_piece_share": Span.exactly(free / reading.area),
        "cracks_joined": free > 0 or cracks.joined_wide > 0,
        **_old_repairs(pad, reading),
    }


def _between(cracks: CrackReading, low: float, high: float) -> Span:
    """Return the length of cracks of a width; those of unknown width may all belong to it, or none. [m]."""
    inside = sum(c.length for c in cracks.by_width if c.low >= low - 1e-9 and c.high <= high + 1e-9)
    return Span(inside, inside + cracks.unknown_width)


def _sum(one: Span, other: Span, factor: float) -> Span:
    unknown = max(one.high - one.low, other.high - other.low)
    low = one.low + other.low
    return Span(low * factor, (low + unknown) * factor)


def _width(cracks: CrackReading, pad: Pad) -> Span | None:
    if cracks.length == 0:
        return none_when_walked(pad)
    if cracks.width_max is None:
        return None
    return Span(cracks.width_max, math.inf if cracks.unknown_width > 0 else cracks.width_max)


def _old_repairs(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    length = sum(repair.length for repair in reading.old_repairs)
    if length == 0:
        return {"old_repair_length": none_when_walked(pad), "hollow_share": none_when_walked(pad)}
    shares = [(r.length, r.failed_share) for r in reading.old_repairs]
    known = sum(n * s for n, s in shares if s is not None) / length
    unknown = sum(n for n, s in shares if s is None) / length
    return {"old_repair_length": Span.exactly(length), "hollow_share": Span(known, min(1.0, known + unknown))}
