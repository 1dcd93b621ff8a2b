"""The worst place of a raster under a straightedge, as a plain record."""

from __future__ import annotations

import math

from courtwright.ground.flatness import WorstPlace
from courtwright.job.answers.plain import mm, number, point
from courtwright.site.formats.raster import Raster


def flatness_answer(raster: Raster, straightedge: float, worst: WorstPlace | None) -> dict[str, object]:
    """Return the answer of ``flatness`` without its complaints; ``straightedge`` is its length [m]."""
    return {
        "straightedge_m": number(straightedge),
        "gap_max_mm": mm(worst.gap) if worst else 0.0,
        "at": point(raster.place(*worst.at)) if worst else None,
        "bearing_deg": number(math.degrees(bearing(raster, worst)), 1) if worst else None,
    }


def bearing(raster: Raster, worst: WorstPlace) -> float:
    """Return the bearing of the straightedge at the worst place, clockwise from +y, from 0 and below pi. [rad]"""
    down, across = worst.direction
    east, north = (across * raster.per_col[i] + down * raster.per_row[i] for i in (0, 1))
    return math.atan2(east, north) % math.pi
