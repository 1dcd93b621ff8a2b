"""Elevations from the rods of a rotating laser: one plane, and a larger reading is lower."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from courtwright.site.levelling import Level, Run


@dataclass(frozen=True, slots=True)
class Rod:
    """One reading: where, and how far below the laser. [m]"""

    point: str
    x: float
    y: float
    rod: float


def rods_reduced(rods: Sequence[Rod], known: Mapping[str, float]) -> tuple[Run, float | None]:
    """Return the elevations of points seen from one set-up, and how far the plane is off between its checks.

    Parameters
    ----------
    rods : sequence of Rod
        In the order in which they were read. [m]
    known : mapping of str to float
        Elevations that are given. [m]

    Returns
    -------
    tuple
        The run, without sections; and the last check less the first, None without a second check. [m]

    Notes
    -----
    The first known point sets the laser; without one the first point stands at zero. Every later reading of a known
    point, or of that first one, is a check. One set-up leaves nothing to share, and the laser is set by all checks.
    """
    is_relative = not any(rod.point in known for rod in rods)
    marks = {rods[0].point: 0.0} if is_relative else known
    lasers = [marks[rod.point] + rod.rod for rod in rods if rod.point in marks]
    first, mean = lasers[0], sum(lasers) / len(lasers)
    levels = tuple(Level(rod.point, first - rod.rod, marks.get(rod.point, mean - rod.rod)) for rod in rods)
    off = first - lasers[-1] if len(lasers) > 1 else None
    return Run(levels, (), off, is_relative), off
