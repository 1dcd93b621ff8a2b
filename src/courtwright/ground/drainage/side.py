"""How far a dammed side must be lowered so that water runs off, and how much soil that is."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import Geometry

from courtwright.ground.edges import edge_stretches, low_sides
from courtwright.site.record import Pad
from courtwright.trade.load import tolerances

#: What is dug; a wall is not.
_SOFT = ("soil", "sod", "sand")


@dataclass(frozen=True, slots=True)
class LowerSide:
    """The side to lower. None stands for what nobody measured.

    Parameters
    ----------
    length : float or None
        Of the edge that is dammed; None where nobody told what stands at any edge. [m]
    depth : float or None
        The most that has to go, at the edge. [m]
    volume : float or None
        Of soil, in place. [m³]
    walled : float
        Length where a wall holds the water, which is not dug. [m]
    """

    length: float | None
    depth: float | None
    volume: float | None
    walled: float = 0.0


def lower_side(pad: Pad, fall: tuple[float, float] | None, drop: float, width: float) -> LowerSide:
    """Return what has to be lowered along a pad's low side.

    Parameters
    ----------
    pad : Pad
        With its edge marks.
    fall : tuple of float, shape (2,), or None
        Unit vector of the pad's fall; None when it has none that is known: then every side counts. [-]
    drop : float
        How far below the edge the side is to lie, so that grass and sand do not dam it again at once. [m]
    width : float
        Of the strip that is lowered. [m]

    Notes
    -----
    What stands flush has to go down by ``drop``, what stands higher by its height too. Where two marks lie on the
    same stretch the higher one counts. Less than ``dam_least`` of ``tolerances.toml`` holds back nothing.
    """
    low: Geometry = low_sides(pad.outline, fall) if fall else pad.outline.boundary
    near = low.buffer(1e-6)
    told = False
    soft: list[tuple[float | None, Geometry]] = []
    walls: list[Geometry] = []
    for mark, stretch in zip(pad.of_kind("edge"), edge_stretches(pad), strict=True):
        line = shapely.intersection(stretch.line, near)
        # A mark on the next side touches this one for as far as marks are exact, and tells nothing of it.
        if line.length < tolerances().edge_mark_reach:
            continue
        told = told or stretch.dam is not None or stretch.is_clear
        if stretch.dam in _SOFT:
            soft.append((0.0 if mark.word("stands") == "flush" else stretch.height, line))
        elif stretch.dam == "wall":
            walls.append(line)
    walled = float(shapely.union_all(walls).length) if walls else 0.0
    length = float(shapely.union_all([line for _, line in soft]).length)
    if length < tolerances().dam_least:
        nothing = 0.0 if told else None
        return LowerSide(nothing, nothing, nothing, walled)
    known = [(height + drop, line) for height, line in soft if height is not None]
    if len(known) < len(soft):
        return LowerSide(length, None, None, walled)
    return LowerSide(length, max(depth for depth, _ in known), _soil(known, width), walled)


def _soil(stretches: list[tuple[float, Geometry]], width: float) -> float:
    volume, taken = 0.0, shapely.union_all([])
    for depth, line in sorted(stretches, key=lambda stretch: -stretch[0]):
        fresh = shapely.difference(line, taken.buffer(1e-6))
        volume += fresh.length * depth * width
        taken = shapely.union(taken, line)
    return float(volume)
