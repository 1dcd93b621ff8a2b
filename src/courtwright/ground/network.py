"""The cracks of a pad joined into one network: small gaps closed, every crossing a node."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree
from shapely import Geometry, LineString, MultiLineString, Point, Polygon, STRtree
from shapely.affinity import translate
from shapely.ops import substring

from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]
Geometries = NDArray[np.object_]

#: Lines are noded on a grid this fine, so that an end laid on a line meets it. [m]
GRID = 1e-7
#: Two things closer than this are in one place. [m]
SAME = 1e-5
#: The direction of a crack's end is that of its last stretch of this length, not of its last wiggle. [m]
_END_STRETCH = 0.3
#: A crack that points past what lies before it is still carried on to it within this angle. [rad]
_FORWARD = math.radians(45)


@dataclass(frozen=True, slots=True)
class Network:
    """Cracks as a planar network, in a frame moved so that the pad's middle is the origin.

    Parameters
    ----------
    origin : tuple of float, shape (2,)
        The pad's middle. [m]
    outline : Polygon
        The pad, moved.
    cracks : MultiLineString
        The drawn cracks with gaps up to the snapping distance closed, noded.
    carried_on : MultiLineString
        What was added to carry dangling ends on to the next crack or edge; counts as uncracked.
    nodes : ndarray, shape (n, 2)
        Where cracks end or meet, those closer than the snapping distance as one. [m]
    degree : ndarray of int, shape (n,)
        How many stretches of crack meet there. [-]
    on_edge : ndarray of bool, shape (n,)
        Whether the node lies at the pad's edge or off the pad.
    """

    origin: tuple[float, float]
    outline: Polygon
    cracks: MultiLineString
    carried_on: MultiLineString
    nodes: Array
    degree: NDArray[np.int64]
    on_edge: NDArray[np.bool_]

    def degrees_at(self, places: Array) -> NDArray[np.int64]:
        """Return how many stretches of crack meet at places of the moved frame, 0 where no node is, shape (n,)."""
        if not len(self.nodes):
            return np.zeros(len(places), dtype=np.int64)
        off, nearest = KDTree(self.nodes).query(places)
        return np.where(off <= 2 * tolerances().snap, self.degree[nearest], 0)


def lines_of(mark: Mark) -> list[LineString]:
    """Return the lines of a mark that have a length."""
    return [part for part in shapely.get_parts(mark.geometry) if isinstance(part, LineString) and part.length > 0]


def crack_network(pad: Pad) -> Network:
    """Return the network of a pad's drawn cracks.

    Parameters
    ----------
    pad : Pad
        With its cracks.

    Notes
    -----
    An end within 5 cm of another crack, of its own other end or of the outline is joined to it, and the join
    counts as cracked. An end that still dangles is carried on, straight ahead, up to 1 m to the next crack or
    edge; where nothing lies straight ahead, to the nearest crack within 45° of it.
    """
    middle = shapely.box(*pad.outline.bounds).centroid
    outline = translate(pad.outline, -middle.x, -middle.y)
    drawn = _different(
        translate(line, -middle.x, -middle.y) for mark in pad.of_kind("crack") for line in lines_of(mark)
    )
    joined = _noded([*drawn, *_joins(drawn, outline)])
    nodes, degree, on_edge = _nodes(joined, outline)
    dangling = nodes[(degree == 1) & ~on_edge]
    carried_on = _all_carried_on(dangling, shapely.get_parts(joined), outline)
    return Network((middle.x, middle.y), outline, joined, MultiLineString(carried_on), nodes, degree, on_edge)


def _different(lines: Iterable[LineString]) -> list[LineString]:
    """Return lines without those that were drawn before: one crack is one crack."""
    return list({line.normalize().wkb: line for line in lines}.values())


def _noded(lines: list[LineString]) -> MultiLineString:
    merged = shapely.union_all(lines, grid_size=GRID) if lines else MultiLineString()
    return MultiLineString(
        [part for part in shapely.get_parts(merged) if isinstance(part, LineString) and part.length > 0]
    )


def _joins(drawn: list[LineString], outline: Polygon) -> list[LineString]:
    """Return the short lines that join ends to what they were meant to meet."""
    snap = tolerances().snap
    if not drawn:
        return []
    ends = np.array([[Point(line.coords[0]), Point(line.coords[-1])] for line in drawn]).ravel()
    own = np.repeat(np.arange(len(drawn)), 2)
    end, near = STRtree(drawn).query(ends, predicate="dwithin", distance=snap)
    is_other = near != own[end]
    targets: dict[int, list[Geometry]] = {}
    for i, j in sorted(zip(end[is_other].tolist(), near[is_other].tolist(), strict=True)):
        targets.setdefault(i, []).append(drawn[j])
    for i, rest in _own_rests(drawn, snap):
        if rest.distance(ends[i]) <= snap:
            targets.setdefault(i, []).append(rest)
    boundary = outline.boundary
    shapely.prepare(boundary)
    for i in np.flatnonzero(shapely.dwithin(boundary, ends, snap)).tolist():
        targets.setdefault(i, []).append(boundary)
    return [join for i in sorted(targets) for to in targets[i] if (join := _to_nearest(ends[i], to, snap)).length > 0]


def _own_rests(drawn: list[LineString], snap: float) -> Iterator[tuple[int, LineString]]:
    """Yield the ordinal of each end that may meet its own line again, and the line without what lies next to it."""
    for i, line in enumerate(drawn):
        if shapely.get_num_coordinates(line) > 2:
            for which, at_start in enumerate((True, False)):
                rest = _beyond_end(line, at_start, 4 * snap)
                if rest is not None:
                    yield 2 * i + which, rest


def _ends(line: LineString) -> tuple[Point, Point]:
    return Point(line.coords[0]), Point(line.coords[-1])


def _beyond_end(line: LineString, at_start: bool, length: float) -> LineString | None:
    """Return a line without its first or last ``length`` [m], None when nothing is left: what an end may meet again."""
    if line.length <= length:
        return None
    rest = substring(line, length, line.length) if at_start else substring(line, 0.0, line.length - length)
    return rest if isinstance(rest, LineString) else None


def _to_nearest(end: Point, target: Geometry, snap: float) -> LineString:
    """Return the line from an end to the nearest end of a line within reach, else to its nearest point."""
    if isinstance(target, LineString) and not target.is_ring:
        for other in _ends(target):
            if end.distance(other) <= snap:
                return LineString([end, other])
    return shapely.shortest_line(end, target)


def _nodes(cracks: MultiLineString, outline: Polygon) -> tuple[Array, NDArray[np.int64], NDArray[np.bool_]]:
    """Return the nodes of noded cracks, how many stretches meet at each, and which lie at the edge."""
    snap = tolerances().snap
    stretches = [line for line in cracks.geoms if line.length > 0]
    if not stretches:
        return np.empty((0, 2)), np.empty(0, dtype=np.int64), np.empty(0, dtype=np.bool_)
    ends = np.array([place for line in stretches for place in (line.coords[0], line.coords[-1])])
    pairs = KDTree(ends).query_pairs(snap, output_type="ndarray")
    count = len(ends)
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    number, cluster = connected_components(links, directed=False)
    one_place = cluster[0::2] == cluster[1::2]
    is_join = one_place & (np.array([line.length for line in stretches]) <= 2 * snap)
    degree = np.bincount(cluster[np.repeat(~is_join, 2)], minlength=number)
    places = np.column_stack([np.bincount(cluster, ends[:, k], number) / np.bincount(cluster) for k in (0, 1)])
    points = shapely.points(places)
    on_edge = np.asarray(shapely.dwithin(points, outline.boundary, snap) | ~shapely.contains(outline, points))
    return places, degree.astype(np.int64), on_edge


def _all_carried_on(ends: Array, stretches: Geometries, outline: Polygon) -> list[LineString]:
    """Return the lines that carry dangling ends, shape (n, 2) [m], on to the next crack or edge within reach."""
    if not len(ends):
        return []
    reach = tolerances().end_reach + SAME
    which, near = STRtree(stretches).query(
        shapely.points(ends), predicate="dwithin", distance=reach + tolerances().snap
    )
    order = np.lexsort((near, which))
    starts = np.searchsorted(which[order], np.arange(len(ends) + 1))
    edge = np.array([outline.boundary], dtype=np.object_)
    found = [
        _carried_on(end, stretches[near[order[low:high]]], edge, reach)
        for end, low, high in zip(ends, starts[:-1], starts[1:], strict=True)
    ]
    return [line for line in found if line is not None]


def _carried_on(end: Array, near: Geometries, edge: Geometries, reach: float) -> LineString | None:
    """Return the line that carries a dangling end on, among the stretches near it; None where nothing is in reach."""
    tips = _tips(near)
    away = np.where(shapely.is_ring(near), math.inf, np.hypot(*(tips - end).T).min(axis=0))
    own = int(away.argmin())
    tip, ahead = _tip(near[own], Point(end))
    ray = LineString([tip + ahead * 10 * GRID, tip + ahead * reach])
    hits = shapely.intersection(ray, np.concatenate([near, edge]))
    met = hits[~shapely.is_empty(hits)]
    if len(met):
        steps = _nearest_of(tip, met) - tip
        target = tip + steps[np.hypot(*steps.T).argmin()]
        return LineString([tip, target + ahead * 2 * GRID])
    return _to_nearest_ahead(tip, ahead, np.delete(near, own), reach)


def _tips(lines: Geometries) -> Array:
    """Return both ends of each line, shape (n, 2, 2). [m]"""
    ends = [shapely.get_coordinates(shapely.get_point(lines, which)) for which in (0, -1)]
    return np.stack(ends, axis=1)


def _nearest_of(tip: Array, shapes: Geometries) -> Array:
    """Return the nearest place of each shape to a place, shape (n, 2). [m]"""
    return shapely.get_coordinates(shapely.get_point(shapely.shortest_line(Point(tip), shapes), 1))


def _tip(stretch: LineString, end: Point) -> tuple[Array, Array]:
    """Return the very end of a stretch of crack, and the direction in which it points."""
    at_start = Point(stretch.coords[0]).distance(end) <= Point(stretch.coords[-1]).distance(end)
    tip = np.array(stretch.coords[0 if at_start else -1])
    back = min(_END_STRETCH, stretch.length)
    behind = stretch.interpolate(back if at_start else stretch.length - back)
    ahead = tip - np.array([behind.x, behind.y])
    return tip, ahead / np.hypot(*ahead)


def _to_nearest_ahead(tip: Array, ahead: Array, others: Geometries, reach: float) -> LineString | None:
    others = others[shapely.distance(Point(tip), others) <= reach]
    if not len(others):
        return None
    steps = np.concatenate([_nearest_of(tip, others), _tips(others).reshape(-1, 2)]) - tip
    away = np.hypot(*steps.T)
    is_ahead = (away > SAME) & (away <= reach) & (steps @ ahead >= math.cos(_FORWARD) * away)
    if not is_ahead.any():
        return None
    return LineString([tip, tip + steps[np.where(is_ahead, away, math.inf).argmin()]])
