"""Cracks counted and measured: how long, how wide, how they meet, and what they follow."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, Point
from shapely.affinity import translate

from courtwright.ground.network import SAME, Network, lines_of
from courtwright.ground.reading import CrackReading, Piece, WidthClass
from courtwright.site.record import Mark, Pad, Tally
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Widths at which remedies change, a twentieth of a hair below so that a width of just that counts above. [m]
WIDTH_EDGES = (0.0, *(inches * 0.0254 for inches in (1 / 8, 1 / 4, 1 / 2, 1.0, 1.5)), math.inf)
_HAIR = 1e-6
#: Two directions closer than this are about parallel. [rad]
_PARALLEL = math.radians(10)
#: A crack along an edge wanders more than one at a lane.
_ALONG_EDGE = math.radians(30)
#: A crack is about straight when its ends are at least this share of its length apart.
_STRAIGHT = 0.9
#: Lanes run side by side over at least this share of the shorter.
_SIDE_BY_SIDE = 0.5
_STEP = 0.1


def crack_reading(pad: Pad, tallies: tuple[Tally, ...], network: Network, pieces: tuple[Piece, ...]) -> CrackReading:
    """Return the reading of a pad's cracks.

    Parameters
    ----------
    pad : Pad
        With its drawn cracks.
    tallies : tuple of Tally
        What was counted beyond the drawn marks.
    network : Network
        The drawn cracks joined.
    pieces : tuple of Piece
        What they cut the pad into.
    """
    drawn = [(mark, math.fsum(line.length for line in lines_of(mark))) for mark in pad.of_kind("crack")]
    counted = [(_as_mark(tally), tally.length) for tally in tallies if tally.mark == "crack" and tally.length]
    both = [*drawn, *counted]
    lengths = [(_width(mark), length) for mark, length in both]
    lines = [line for mark in pad.of_kind("crack") for line in lines_of(mark)]
    inside = (network.degree > 0) & ~network.on_edge
    return CrackReading(
        length=math.fsum(length for _, length in both),
        tallied=math.fsum(length for _, length in counted),
        by_width=tuple(
            WidthClass(low, high, math.fsum(n for w, n in lengths if w is not None and _is_within(w, low, high)))
            for low, high in itertools.pairwise(WIDTH_EDGES)
        ),
        unknown_width=math.fsum(length for width, length in lengths if width is None),
        width_max=max((w for mark, _ in both if (w := _greatest_width(mark)) is not None), default=None),
        step_max=max((step for mark, _ in both if (step := mark.number("step")) is not None), default=None),
        junctions=int(np.count_nonzero(network.degree >= 3)),
        ends=int(np.count_nonzero(inside & (network.degree == 1))),
        parallels=_parallels(lines),
        edge_length=_edge_length(pad, lines),
        joined_wide=_joined_wide(pad, network, pieces),
    )


def _as_mark(tally: Tally) -> Mark:
    return Mark("", "crack", MultiLineString(), tally.properties)


def _width(mark: Mark) -> float | None:
    width = mark.number("width")
    return mark.number("width_max") if width is None else width


def _greatest_width(mark: Mark) -> float | None:
    widest = mark.number("width_max")
    return mark.number("width") if widest is None else widest


def _is_within(width: float, low: float, high: float) -> bool:
    return low - _HAIR <= width < high - _HAIR


def _parallels(lines: list[LineString]) -> int:
    """Return how many pairs of cracks run side by side at the width of a paving lane."""
    limits = tolerances()
    chords = [np.array([line.coords[0], line.coords[-1]]) for line in lines if _is_lane_like(line, limits.lane_crack)]
    return sum(_are_lane_apart(a, b, limits.lane_min, limits.lane_max) for a, b in itertools.combinations(chords, 2))


def _is_lane_like(line: LineString, least: float) -> bool:
    chord = math.dist(line.coords[0], line.coords[-1])
    return chord >= least and chord >= _STRAIGHT * line.length


def _are_lane_apart(a: Array, b: Array, least: float, most: float) -> bool:
    if np.hypot(*np.diff(a, axis=0)[0]) < np.hypot(*np.diff(b, axis=0)[0]):
        a, b = b, a
    along = (a[1] - a[0]) / np.hypot(*(a[1] - a[0]))
    shorter = b[1] - b[0]
    length = np.hypot(*shorter)
    if abs(shorter @ along) < math.cos(_PARALLEL) * length:
        return False
    reach = np.sort((b - a[0]) @ along)
    shared = min(reach[1], np.hypot(*(a[1] - a[0]))) - max(reach[0], 0.0)
    off = (b.mean(axis=0) - a[0]) @ np.array([-along[1], along[0]])
    return bool(shared >= _SIDE_BY_SIDE * length and least <= abs(off) <= most)


def _edge_length(pad: Pad, lines: list[LineString]) -> float:
    """Return the length of crack within a foot of the outline and about parallel to it. [m]"""
    corners = shapely.get_coordinates(pad.outline.exterior)
    sides = shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1))
    tree = shapely.STRtree(list(np.atleast_1d(np.asarray(sides))))
    found = 0.0
    for line in lines:
        places = shapely.get_coordinates(shapely.segmentize(line, _STEP))
        steps = np.diff(places, axis=0)
        middles = shapely.points((places[:-1] + places[1:]) / 2)
        point, side = tree.query_nearest(middles, max_distance=tolerances().edge_distance, all_matches=True)
        beside = corners[side + 1] - corners[side]
        length = np.hypot(*steps[point].T)
        across = np.abs(steps[point, 0] * beside[:, 1] - steps[point, 1] * beside[:, 0])
        is_along = across <= math.sin(_ALONG_EDGE) * length * np.hypot(*beside.T)
        found += float(np.hypot(*steps[np.unique(point[is_along])].T).sum())
    return found


def _joined_wide(pad: Pad, network: Network, pieces: tuple[Piece, ...]) -> float:
    """Return the length of cracks wider than a hairline that meet others at both ends or cut a piece free. [m]"""
    free = [translate(piece.outline.boundary, -network.origin[0], -network.origin[1]) for piece in pieces if piece.free]
    cut = shapely.union_all(free).buffer(SAME) if free else None
    found = 0.0
    for mark in pad.of_kind("crack"):
        width = _greatest_width(mark)
        if width is None or width <= tolerances().fine_crack + _HAIR:
            continue
        for line in lines_of(mark):
            moved = translate(line, -network.origin[0], -network.origin[1])
            if all(_meets(network, Point(place)) for place in (moved.coords[0], moved.coords[-1])):
                found += line.length
            elif cut is not None:
                found += float(moved.intersection(cut).length)
    return found


def _meets(network: Network, end: Point) -> bool:
    """Tell whether other cracks meet a crack at its end."""
    node = network.node_at(end)
    return node is not None and network.degree[node] >= 3
