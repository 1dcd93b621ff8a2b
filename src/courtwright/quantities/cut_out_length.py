"""Cracks that could be bridged by their width, but are cut out for their step or for their widest place."""

from __future__ import annotations

import math
from collections.abc import Mapping

from courtwright.measured import Measured, Span
from courtwright.quantities.known import Known, usual
from courtwright.site.record import Mark
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import tolerances

_INCH = 0.0254
#: A higher step is patched (TRADE rule 4), and so is a wider crack (rule 3). [m]
_STEP, _WIDE = 0.5 * _INCH, 1.5 * _INCH
#: A size typed in inches may come out this far off it. [m]
_HAIR = 1e-6


def cut_out_length(known: Known) -> Measured:
    """Return the cracks that are patched although their width alone would not ask for it, none at an edge. [m]

    A stepped crack is patched from end to end, one with a wide place for a usual length. Where somebody told of such
    a step or place and marked none, it is one of a usual length.
    """
    if not (_is_above(known, "crack_step_max", _STEP) or _is_above(known, "crack_width_max", _WIDE)):
        return Measured(0.0)
    cracks = known.pad.of_kind("crack")
    length = math.fsum(_patched(known, mark) for mark in cracks)
    length += math.fsum(
        tally.length or 0.0
        for tally in tallies_beyond_marks(known.pad)
        if tally.mark == "crack" and _is_over(tally.properties.get("step"), _STEP) and not _is_wide(tally.properties)
    )
    if length <= 0 and not any(mark.number("step") or mark.number("width_max") for mark in cracks):
        wide = known.span("crack_length_wide")
        return usual("crack_between_ends") if wide is None or wide.high <= 0 else Measured(0.0)
    return Measured(length, length * usual("drawn_doubt").value)


def _patched(known: Known, crack: Mark) -> float:
    """Return how much of a crack is patched for its step or its widest place. [m]"""
    if _is_wide(crack.properties):
        return 0.0
    length = crack.geometry.difference(known.pad.outline.exterior.buffer(tolerances().edge_distance)).length
    if _is_over(crack.number("step"), _STEP):
        return length
    return min(length, usual("crack_between_ends").value) if _is_over(crack.number("width_max"), _WIDE) else 0.0


def _is_wide(properties: Mapping[str, object]) -> bool:
    """Tell whether a crack is patched for its width anyway."""
    return _is_over(properties.get("width", properties.get("width_max")), _WIDE)


def _is_over(size: object, limit: float) -> bool:
    return isinstance(size, int | float) and size > limit + _HAIR


def _is_above(known: Known, fact: str, limit: float) -> bool:
    told = known.facts.get(fact)
    return bool(told and isinstance(told.value, Span) and told.value.is_above(limit + _HAIR))
