"""The area whose old coats are taken off: all of it, for a new coat holds no better than the weakest below it."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known
from courtwright.quantities.surface_area import pad_area


def stripped_area(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the whole pad, or nothing where its surface is taken off anyway. [m²]"""
    del values
    if known.loses_surface:
        return worked(Measured(0.0), "surface-taken-off")
    return worked(pad_area(known.reading.area), "surface-area", area=known.reading.area)
