"""The area of heaves that is ground down."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known, counted_areas


def heave_area(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the heaves' area; a heave without an extent counts as a usual one. [m²]"""
    usual_area = values["usual_area"]
    areas = [Measured(h.area, 0.2 * h.area) if h.area > 0 else usual_area for h in known.reading.heaves]
    areas += counted_areas(known, "heave", usual_area)
    areas = areas or [usual_area]
    total = sum(areas, Measured(0.0))
    return worked(total, "heave-area", area=total.value, count=len(areas))
