"""Facts of the cracks, the pieces they cut, and the old repairs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from courtwright.ground.reading import CrackReading, OldRepair, PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Pad
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import tolerances
from courtwright.trade.per import COURT_AREA
from courtwright.verdict.facts.walked import none_when_walked, was_walked

#: A width typed in inches may come out this far off it. [m]
_HAIR = 1e-6
#: The kind of old repair that fills a hole instead of covering a crack.
PATCH = "patch"


def facts(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return the facts of cracks, pieces and old repairs that the walk supports."""
    cracks = reading.cracks
    if not was_walked(pad):
        return {}
    limits = (0.0, tolerances().fine_crack, tolerances().wide_crack, math.inf)
    fine, bridgeable, wide = (_between(cracks, low, high) for low, high in itertools.pairwise(limits))
    at_limit = min(_at_limit(pad), wide.low)
    bridgeable, wide = _shifted(bridgeable, at_limit), _shifted(wide, -at_limit)
    courts = max(1.0, len(pad.courts) or reading.area / COURT_AREA)
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
        **_old_repairs(reading),
    }


def _between(cracks: CrackReading, low: float, high: float) -> Span:
    """Return the length of cracks of a width; those of unknown width may all belong to it, or none. [m]."""
    inside = sum(c.length for c in cracks.by_width if c.low >= low - 1e-9 and c.high <= high + 1e-9)
    return Span(inside, inside + cracks.unknown_width)


def _at_limit(pad: Pad) -> float:
    """Return the length of cracks just as wide as a membrane bridges; a class begins at its limit. [m]"""
    drawn = [(_told(mark.properties), mark.geometry.length) for mark in pad.of_kind("crack")]
    counted = [
        (_told(tally.properties), tally.length or 0.0) for tally in tallies_beyond_marks(pad) if tally.mark == "crack"
    ]
    widths = [(width, length) for width, length in drawn + counted if isinstance(width, int | float)]
    return math.fsum(length for width, length in widths if abs(width - tolerances().wide_crack) < _HAIR)


def _told(properties: Mapping[str, object]) -> object:
    return properties.get("width", properties.get("width_max"))


def _shifted(span: Span, by: float) -> Span:
    return Span(span.low + by, span.high + by)


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


def _old_repairs(reading: PadReading) -> dict[str, FactValue]:
    """Return what has become of old strips, which come up when hollow, and of old patches, which are cut out."""
    strips = [repair for repair in reading.old_repairs if repair.repair != PATCH]
    patches = [repair for repair in reading.old_repairs if repair.repair == PATCH]
    length = sum(repair.length for repair in strips)
    return {
        "old_repair_length": Span.exactly(length),
        "hollow_share": _failed(strips, [repair.length for repair in strips]),
        "failed_patch_area": _failed(patches, [repair.area for repair in patches], whole=sum(p.area for p in patches)),
    }


def _failed(repairs: list[OldRepair], sizes: list[float], whole: float = 1.0) -> Span:
    """Return the failed part of some repairs, of ``whole``; those nobody judged may have failed or not. [-]."""
    total = sum(sizes)
    if total == 0:
        return Span.exactly(0.0)
    known = sum(size * r.failed_share for size, r in zip(sizes, repairs, strict=True) if r.failed_share is not None)
    unknown = sum(size for size, r in zip(sizes, repairs, strict=True) if r.failed_share is None)
    return Span(whole * known / total, whole * min(1.0, (known + unknown) / total))
