"""Regrades a pad: what its new surface would be, what it takes, and where to set stakes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.ground.heights import Heights, heights, lattice, lattice_points
from courtwright.ground.reading import HeightGrid
from courtwright.ground.regrade.fixed import Held, Point, held_by
from courtwright.ground.regrade.folds import Strips, least_folded, strips_of
from courtwright.ground.regrade.nodes import ground_of
from courtwright.ground.regrade.plane import Contradiction, Ground, Plane, least_plane
from courtwright.says import Says, say
from courtwright.site.lines import outer_size
from courtwright.site.record import Pad
from courtwright.trade.load import courts, materials, scopes, tolerances
from courtwright.trade.regrade import Grading, regrade_facts

Array = NDArray[np.float64]
Layout = Literal["one", "courts", "least"]

_SAME_PLACE = 1e-3
#: Folds that save less of the mean thickness are not worth their name. [m]
_WORTH = 1e-5


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a new surface; None: as the trade has it.

    Parameters
    ----------
    slope_min, slope_max : float or None
        Least and most slope of every plane. [m/m]
    least : float or None
        Least thickness of new asphalt; from stone and grading unless given. [m]
    stone : float or None
        Largest stone of the mix. [m]
    grading : {"fine", "coarse"}
        Of the mix.
    layout : {"one", "courts", "least"}
        One plane, one a court, or whichever needs less.
    points : tuple of Point
        What has to be met beside the marks.
    stakes : float or None
        Distance of stakes. [m]
    """

    slope_min: float | None = None
    slope_max: float | None = None
    least: float | None = None
    stone: float | None = None
    grading: Grading = "fine"
    layout: Layout = "one"
    points: tuple[Point, ...] = ()
    stakes: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """A plane of the new surface, and the courts on it; none: all of the pad."""

    plane: Plane
    courts: tuple[str, ...] = ()

    @property
    def slope(self) -> float:
        """Fall along the steepest line. [m/m]"""
        return math.hypot(*self.plane.gradient)

    @property
    def bearing(self) -> float:
        """Direction of fall, clockwise from +y. [rad]"""
        return math.atan2(-self.plane.gradient[0], -self.plane.gradient[1]) % (2 * math.pi)


@dataclass(frozen=True, slots=True)
class Stake:
    """A place to mark: where, how high the ground is and how high the new surface. [m]"""

    name: str
    x: float
    y: float
    existing: float
    design: float

    @property
    def fill(self) -> float:
        """How far the new surface lies above the ground; below nought it is cut. [m]"""
        return self.design - self.existing


@dataclass(frozen=True, slots=True)
class Surface:
    """A new surface over a pad, and what it takes.

    Parameters
    ----------
    parts : tuple of Part
        Its planes; at every place the lowest of them counts.
    milled : float
        How deep the ground is milled at the deepest place. [m]
    volume, cut : float
        Of asphalt laid and of ground milled, compacted. [m³]
    mass : float
        Of asphalt laid, without waste. [t]
    thickness_min, thickness_max : float
        Of asphalt laid. [m]
    """

    parts: tuple[Part, ...]
    milled: float
    volume: float
    cut: float
    mass: float
    thickness_min: float
    thickness_max: float

    def at(self, x: Array, y: Array) -> Array:
        """Return the heights at places. [m]"""
        return np.min([part.plane.at(x, y) for part in self.parts], axis=0)


@dataclass(frozen=True, slots=True)
class PadRegrade:
    """What a pad's new surface would be.

    Parameters
    ----------
    id : str
        The pad.
    outline : Polygon
        Of the pad. [m]
    surface : Surface or None
        None without heights, or where nothing meets all that is fixed.
    nodes : Ground or None
        The pad as it lies, for maps of cut and fill.
    grid : HeightGrid or None
        The same as kriged, with its doubt.
    corners, stakes : tuple of Stake
        At the outline's corners, and on a grid.
    notes : tuple of Says
        What the answer rests on, and what stands in its way.
    from_memory : tuple of str
        Values from memory that it leans on.
    """

    id: str
    outline: Polygon
    surface: Surface | None = None
    nodes: Ground | None = None
    grid: HeightGrid | None = None
    corners: tuple[Stake, ...] = ()
    stakes: tuple[Stake, ...] = ()
    notes: tuple[Says, ...] = ()
    from_memory: tuple[str, ...] = ()


def pad_regrade(pad: Pad, asked: Asked) -> PadRegrade:
    """Return the new surface over a pad that needs the least asphalt.

    Parameters
    ----------
    pad : Pad
        What was found of it.
    asked : Asked
        Slopes, thickness, layout and points.

    Notes
    -----
    Heights are those of the kriged surface; nodes stand for what of their cell lies on the pad.
    """
    found, notes = heights(pad)
    if found is None:
        return PadRegrade(pad.id, pad.outline, notes=(*notes, say("regrade.no-heights")))
    facts, limits = regrade_facts(), tolerances()
    by_rule = facts.least_thickness(facts.stone.size if asked.stone is None else asked.stone, asked.grading)
    least = by_rule if asked.least is None else asked.least
    low = limits.slope_min if asked.slope_min is None else asked.slope_min
    high = limits.slope_max if asked.slope_max is None else asked.slope_max
    held = held_by(pad, found, asked.points, facts.threshold.size)
    told = [*notes, *held.notes]
    if least < by_rule - 1e-9:
        told.append(say("regrade.thin", least=least, rule=by_rule))
    ground = ground_of(found, pad.outline)
    surface, more = _surface(pad, ground, least, low, high, held, asked.layout)
    told.extend(more)
    if surface is None:
        return PadRegrade(pad.id, pad.outline, nodes=ground, notes=tuple(told))
    lift = materials()["hot-mix"].limits["lift_most"].size
    if surface.thickness_max > lift:
        told.append(say("regrade.two-lifts", most=surface.thickness_max, lift=lift))
    corners = _staked(surface, found, shapely.get_coordinates(pad.outline.exterior)[:-1], "E")
    spacing = facts.stakes.size if asked.stakes is None else asked.stakes
    stakes = _staked(surface, found, _grid(pad.outline, spacing), "S")
    notes, memory = tuple(told), _from_memory(asked, held)
    return PadRegrade(pad.id, pad.outline, surface, ground, found.grid, corners, stakes, notes, memory)


def _surface(
    pad: Pad, ground: Ground, least: float, low: float, high: float, held: Held, layout: Layout
) -> tuple[Surface | None, list[Says]]:
    """Return the surface of a layout, and what there is to say of it."""
    notes: list[Says] = []
    folded = None
    if layout != "one":
        strips = strips_of(pad.courts, {sport: outer_size(spec) for sport, spec in courts().items()})
        if strips is None:
            notes.append(say("regrade.no-folds"))
        else:
            folded = _folded(ground, strips, least, low, high, held)
            notes.append(say("regrade.folds-tried" if folded else "regrade.folds-blocked"))
    if folded and layout == "courts":
        return folded, notes
    one = least_plane(ground, least, low, high, held.fixed)
    if isinstance(one, Contradiction):
        if folded is None:
            notes.append(say("regrade.contradiction", miss=one.miss))
        return folded, notes
    whole = _measured(ground, (Part(one.plane),), one.milled, least)
    if folded and folded.volume + folded.cut < whole.volume + whole.cut - _WORTH * pad.outline.area:
        return folded, notes
    if whole.milled > 0:
        notes.append(say("regrade.milled", depth=whole.milled, volume=whole.cut))
    return whole, notes


def _folded(ground: Ground, strips: Strips, least: float, low: float, high: float, held: Held) -> Surface | None:
    planes = least_folded(ground, strips, least, low, high, held.fixed)
    if planes is None:
        return None
    return _measured(ground, tuple(map(Part, planes, strips.courts)), 0.0, least)


def _measured(ground: Ground, parts: tuple[Part, ...], milled: float, least: float) -> Surface:
    above = np.min([ground.above(part.plane) for part in parts], axis=0)
    # Where the ground is milled the least thickness is laid; elsewhere rounding leaves a nanometre.
    laid, cut = np.maximum(above, least), np.maximum(least - above, 0.0) if milled > 0 else np.zeros(len(above))
    volume = float(ground.area @ laid)
    density = scopes()["overlay"].values["density"].size
    return Surface(
        parts, milled, volume, float(ground.area @ cut), volume * density, float(laid.min()), float(laid.max())
    )


def _grid(outline: Polygon, spacing: float) -> Array:
    """Return the places of a grid that lie on the pad, in rows from its low left. [m]"""
    left, low, right, high = outline.bounds
    places = lattice_points(lattice(left, right, spacing), lattice(low, high, spacing))
    return places[shapely.intersects_xy(outline.buffer(_SAME_PLACE), places[:, 0], places[:, 1])]


def _staked(surface: Surface, found: Heights, places: Array, letter: str) -> tuple[Stake, ...]:
    existing = found.surface.height(places) if len(places) else np.empty(0)
    design = surface.at(places[:, 0], places[:, 1])
    return tuple(
        Stake(f"{letter}{i}", float(x), float(y), float(was), float(is_to_be))
        for i, ((x, y), was, is_to_be) in enumerate(zip(places, existing, design, strict=True), start=1)
    )


def _from_memory(asked: Asked, held: Held) -> tuple[str, ...]:
    facts = regrade_facts()
    named: list[tuple[str, str]] = []
    if asked.least is None and asked.stone is None:
        named.append(("stone", facts.stone.source))
    if len(held.fixed.x):
        named.append(("threshold", facts.threshold.source))
    return tuple(name for name, source in named if source == "from memory")
