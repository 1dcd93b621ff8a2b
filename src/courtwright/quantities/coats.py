"""How many coats a pad gets."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.known import Known


def times(name: str, known: Known, values: Mapping[str, Measured]) -> int:
    """Return how often a step is repeated; on a new pavement by the value with ``_new`` when there is one. [-]"""
    on_new = f"{name}_new"
    return round(values[on_new if known.has_new_surface and on_new in values else name].value)


def coats_of(known: Known, values: Mapping[str, Measured]) -> int:
    """Return the filler and colour coats together. [-]"""
    return times("filler_coats", known, values) + times("colour_coats", known, values)
