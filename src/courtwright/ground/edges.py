"""What stands along a pad's edge: where it holds water back, and what is at the low side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiLineString, Point, Polygon
from shapely.geometry.polygon import orient
from shapely.ops import substring

from courtwright.ground.heights import lattice_points
from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]
Points = NDArray[np.object_]

DAMS = ("soil", "sod", "sand", "wall")
#: A side belongs to the low edge when it takes at least this share of the fall's length that the best side takes.
_LOW_SIDE = 0.5
#: A node at the edge is beside all of the edge that passes this near to it. [cells]
_BESIDE = 0.51


@dataclass(frozen=True, slots=True)
class EdgeStretch:
    """A stretch of a pad's edge of which somebody told what stands there.

    Parameters
    ----------
    line : MultiLineString
        The stretch of the outline. [m]
    dam : str or None
        ``soil``, ``sod``, ``sand`` or ``wall`` where it holds water back, else None.
    is_clear : bool
        Whether what lies beside it lies below.
    height : float or None
        How far the dam stands above the edge; None: nobody measured it. [m]
    """

    line: MultiLineString
    dam: str | None
    is_clear: bool
    height: float | None


def edge_stretches(pad: Pad) -> tuple[EdgeStretch, ...]:
    """Return the stretches of a pad's edge that its edge marks tell of."""
    return tuple(_stretch(pad.outline, mark) for mark in pad.of_kind("edge"))


def _stretch(outline: Polygon, mark: Mark) -> EdgeStretch:
    stands, of = mark.word("stands"), mark.word("of")
    dam = of if stands in ("flush", "above") and of in DAMS else None
    return EdgeStretch(_on_outline(outline, mark), dam, stands == "below", mark.number("height"))


def _on_outline(outline: Polygon, mark: Mark) -> MultiLineString:
    """Return the part of the outline between the ends of a mark, on the side on which it was drawn."""
    ring = LineString(outline.exterior.coords)
    near = mark.geometry.intersection(outline.boundary.buffer(tolerances().edge_mark_reach))
    drawn = MultiLineString([part for part in shapely.get_parts(near) if _is_line(part)])
    lines = [line for line in shapely.get_parts(shapely.line_merge(drawn)) if line.length > 0]
    return _together([_arc(ring, line) for line in lines])


def _together(arcs: Sequence[Geometry]) -> MultiLineString:
    merged = shapely.union_all(arcs)
    return MultiLineString([part for part in shapely.get_parts(merged) if _is_line(part)])


def _is_line(part: Geometry) -> bool:
    return isinstance(part, LineString) and part.length > 0


def _arc(ring: LineString, drawn: LineString) -> MultiLineString:
    if drawn.is_ring or Point(drawn.coords[0]).distance(Point(drawn.coords[-1])) < 0.01 * drawn.length:
        return _together([ring])
    a, b = (ring.project(drawn.interpolate(share, normalized=True)) for share in (0.0, 1.0))
    low, high = min(a, b), max(a, b)
    inner = _together([substring(ring, low, high)])
    outer = _together([substring(ring, high, ring.length), substring(ring, 0.0, low)])
    halfway = drawn.interpolate(0.5, normalized=True)
    if math.isclose(inner.distance(halfway), outer.distance(halfway), abs_tol=1e-9):
        return min(inner, outer, key=lambda arc: abs(arc.length - drawn.length))
    return min(inner, outer, key=lambda arc: arc.distance(halfway))


def dammed_length(stretches: tuple[EdgeStretch, ...]) -> float:
    """Return the length of edge at which soil, sod, sand or a wall holds water back, counted once. [m]"""
    return float(shapely.union_all([stretch.line for stretch in stretches if stretch.dam]).length)


def drains_at(
    pad: Pad, x: Array, y: Array, height: Array, border: NDArray[np.bool_], stretches: tuple[EdgeStretch, ...]
) -> Array:
    """Return the level at which water leaves the pad from each node, inf for none, shape (rows, cols). [m]

    Parameters
    ----------
    pad : Pad
        With its drains.
    x, y : ndarray
        The lattice's columns and rows. [m]
    height : ndarray, shape (rows, cols)
        Heights; NaN off the pad. [m]
    border : ndarray of bool, shape (rows, cols)
        The nodes at the pad's edge.
    stretches : tuple of EdgeStretch
        Where it is dammed. A dam of known height is topped at that height above its edge; of unknown, never.

    Notes
    -----
    An edge of which nothing is known drains, and so does a working drain, at its own height.
    """
    level = np.full(height.shape, np.inf)
    nodes = lattice_points(x, y).reshape(*height.shape, 2)
    cell = _spacing(x, y)
    level[border] = height[border] + _stands_above(pad.outline, _points(nodes[border]), stretches, cell)
    for drain in pad.of_kind("drain"):
        if drain.properties.get("works") is True:
            taken = _nodes_of(drain, nodes, cell) & np.isfinite(height)
            level[taken] = height[taken]
    return level


def _points(places: Array) -> Points:
    return np.asarray(shapely.points(places), dtype=np.object_)


def _stands_above(outline: Polygon, nodes: Points, stretches: tuple[EdgeStretch, ...], cell: float) -> Array:
    """Return how high water must stand at nodes of the edge to leave: 0 where it is open, inf for a dam unmeasured. [m]

    A node beside an open stretch and a dam is open; between two dams the lower one lets the water out.
    """
    dams = [stretch for stretch in stretches if stretch.dam and not stretch.line.is_empty]
    if not dams:
        return np.zeros(len(nodes))
    reach = np.maximum(shapely.distance(nodes, outline.boundary), _BESIDE * cell) + 1e-9
    away = np.array([shapely.distance(nodes, dam.line) for dam in dams])
    tops = np.array([np.inf if dam.height is None else dam.height for dam in dams])
    is_beside = away <= np.maximum(reach, away.min(axis=0))
    lowest = np.where(is_beside, tops[:, None], np.inf).min(axis=0)
    return np.where(shapely.distance(nodes, _open_edge(outline, dams)) <= reach, 0.0, lowest)


def _open_edge(outline: Polygon, dams: list[EdgeStretch]) -> MultiLineString:
    """Return the edge without its dams; a gap between them that is shorter than marks are exact is none."""
    dammed = shapely.union_all([dam.line for dam in dams]).buffer(1e-6)
    left = _together([outline.boundary.difference(dammed)])
    parts = shapely.get_parts(shapely.line_merge(left))
    return MultiLineString([part for part in parts if part.length >= tolerances().edge_mark_reach])


def _spacing(x: Array, y: Array) -> float:
    return float(x[1] - x[0]) if len(x) > 1 else float(y[1] - y[0]) if len(y) > 1 else math.inf


def _nodes_of(drain: Mark, nodes: Array, cell: float) -> NDArray[np.bool_]:
    """Return the nodes that a drain takes water from: all within a cell's half diagonal of it."""
    return np.asarray(shapely.dwithin(shapely.points(nodes), drain.geometry, cell * math.sqrt(0.5) + 1e-9))


def low_edge(outline: Polygon, downhill: tuple[float, float] | None, stretches: tuple[EdgeStretch, ...]) -> str | None:
    """Return what stands at a pad's low edge: a dam's kind, ``clear``, or None when nobody told.

    Parameters
    ----------
    outline : Polygon
        The pad. [m]
    downhill : tuple of float, shape (2,), or None
        Unit vector of the fall; None when the pad has none that is known: then every edge counts. [-]
    stretches : tuple of EdgeStretch
        What is known of its edge.
    """
    low = low_sides(outline, downhill) if downhill else outline.boundary
    near = low.buffer(1e-6)
    lengths: dict[str, float] = dict.fromkeys((*DAMS, "clear"), 0.0)
    for stretch in stretches:
        name = stretch.dam or ("clear" if stretch.is_clear else None)
        if name:
            lengths[name] += float(stretch.line.intersection(near).length)
    dam = max(DAMS, key=lambda name: lengths[name])
    if lengths[dam] >= tolerances().dam_least:
        return dam
    return "clear" if lengths["clear"] > 0 else None


def low_sides(outline: Polygon, downhill: tuple[float, float]) -> MultiLineString:
    """Return the sides of a pad that face the way it falls. [m]

    Parameters
    ----------
    outline : Polygon
        The pad. [m]
    downhill : tuple of float, shape (2,)
        Unit vector of the fall; turned round, it gives the high sides. [-]
    """
    corners = shapely.get_coordinates(orient(outline).exterior)
    along = np.diff(corners, axis=0)
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    taken = outward @ np.array(downhill) / np.maximum(np.hypot(*along.T), 1e-12)
    sides = taken >= _LOW_SIDE * taken.max()
    return MultiLineString([LineString(corners[i : i + 2]) for i in np.flatnonzero(sides)])
