"""The cracks of a pad joined into one network: small gaps closed, every crossing a node."""

from __future__ import annotations

import math
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

    def node_at(self, place: Point) -> int | None:
        """Return the ordinal of the node at a place of the moved frame, None where there is none."""
        if not len(self.nodes):
            return None
        off = np.hypot(self.nodes[:, 0] - place.x, self.nodes[:, 1] - place.y)
        nearest = int(off.argmin())
        return nearest if off[nearest] <= 2 * tolerances().snap else None


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
    drawn = [translate(line, -middle.x, -middle.y) for mark in pad.of_kind("crack") for line in lines_of(mark)]
    joined = _noded([*drawn, *_joins(drawn, outline)])
    nodes, degree, on_edge = _nodes(joined, outline)
    dangling = nodes[(degree == 1) & ~on_edge]
    carried_on = [line for end in dangling if (line := _carried_on(Point(end), joined, outline)) is not None]
    return Network((middle.x, middle.y), outline, joined, MultiLineString(carried_on), nodes, degree, on_edge)


def _noded(lines: list[LineString]) -> MultiLineString:
    merged = shapely.union_all(lines, grid_size=GRID) if lines else MultiLineString()
    return MultiLineString(
        [part for part in shapely.get_parts(merged) if isinstance(part, LineString) and part.length > 0]
    )


def _joins(drawn: list[LineString], outline: Polygon) -> list[LineString]:
    """Return the short lines that join ends to what they were meant to meet."""
    snap = tolerances().snap
    tree = STRtree(drawn)
    joins: list[LineString] = []
    for i, line in enumerate(drawn):
        for at_start, end in zip((True, False), _ends(line), strict=True):
            near = [int(j) for j in tree.query(end, predicate="dwithin", distance=snap) if j != i]
            targets: list[Geometry] = [drawn[j] for j in near]
            rest = _beyond_end(line, at_start, 4 * snap)
            if rest is not None and rest.distance(end) <= snap:
                targets.append(rest)
            if outline.boundary.distance(end) <= snap:
                targets.append(outline.boundary)
            joins += [join for target in targets if (join := _to_nearest(end, target, snap)).length > 0]
    return joins


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


def _carried_on(end: Point, cracks: MultiLineString, outline: Polygon) -> LineString | None:
    """Return the line that carries a dangling end on to the next crack or edge, None where none is in reach."""
    stretch = min(cracks.geoms, key=lambda line: line.boundary.distance(end) if not line.is_ring else math.inf)
    tip, ahead = _tip(stretch, end)
    reach = tolerances().end_reach
    everything = shapely.union_all([cracks, outline.boundary])
    ray = LineString([tip + ahead * 10 * GRID, tip + ahead * reach])
    hit = ray.intersection(everything)
    if not hit.is_empty:
        target = shapely.get_coordinates(shapely.shortest_line(Point(tip), hit))[1]
        return LineString([tip, target + ahead * 2 * GRID])
    return _to_nearest_ahead(tip, ahead, stretch, cracks, reach)


def _tip(stretch: LineString, end: Point) -> tuple[Array, Array]:
    """Return the very end of a stretch of crack, and the direction in which it points."""
    at_start = Point(stretch.coords[0]).distance(end) <= Point(stretch.coords[-1]).distance(end)
    tip = np.array(stretch.coords[0 if at_start else -1])
    back = min(_END_STRETCH, stretch.length)
    behind = stretch.interpolate(back if at_start else stretch.length - back)
    ahead = tip - np.array([behind.x, behind.y])
    return tip, ahead / np.hypot(*ahead)


def _to_nearest_ahead(
    tip: Array, ahead: Array, stretch: LineString, cracks: MultiLineString, reach: float
) -> LineString | None:
    others = [line for line in cracks.geoms if line is not stretch and line.distance(Point(tip)) <= reach]
    targets = [shapely.get_coordinates(shapely.shortest_line(Point(tip), line))[1] for line in others]
    targets += [np.array(place) for line in others for place in (line.coords[0], line.coords[-1])]
    off = [(target - tip, float(np.hypot(*(target - tip)))) for target in targets]
    forward = [(away, step) for step, away in off if SAME < away <= reach and step @ ahead >= math.cos(_FORWARD) * away]
    if not forward:
        return None
    step = min(forward, key=lambda item: item[0])[1]
    return LineString([tip, tip + step])
