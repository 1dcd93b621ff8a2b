"""Cracks counted and measured: how long, how wide, how they meet, and what they follow."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, STRtree
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

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
        edge_length=edge_length(pad, lines),
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
    lanes = [[line.coords[0], line.coords[-1]] for line in lines if _is_lane_like(line, limits.lane_crack)]
    chords = np.array(lanes, dtype=np.float64).reshape(-1, 2, 2)
    chords = chords[np.argsort(-_lengths(chords), kind="stable")]
    return sum(
        int(np.count_nonzero(_are_lane_apart(chords[i], chords[i + 1 :], limits.lane_min, limits.lane_max)))
        for i in range(len(chords))
    )


def _lengths(chords: Array) -> Array:
    return np.hypot(*(chords[:, 1] - chords[:, 0]).T)


def _is_lane_like(line: LineString, least: float) -> bool:
    chord = math.dist(line.coords[0], line.coords[-1])
    return chord >= least and chord >= _STRAIGHT * line.length


def _are_lane_apart(longer: Array, others: Array, least: float, most: float) -> NDArray[np.bool_]:
    """Tell which of other chords, shape (n, 2, 2), none of them longer, lie a lane's width beside a chord. [m]"""
    length = float(np.hypot(*(longer[1] - longer[0])))
    along = (longer[1] - longer[0]) / length
    lengths = _lengths(others)
    is_parallel = np.abs((others[:, 1] - others[:, 0]) @ along) >= math.cos(_PARALLEL) * lengths
    reach = np.sort((others - longer[0]) @ along, axis=1)
    shared = np.minimum(reach[:, 1], length) - np.maximum(reach[:, 0], 0.0)
    off = np.abs((others.mean(axis=1) - longer[0]) @ np.array([-along[1], along[0]]))
    return is_parallel & (shared >= _SIDE_BY_SIDE * lengths) & (least <= off) & (off <= most)


def edge_length(pad: Pad, lines: list[LineString]) -> float:
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
    shift = (-network.origin[0], -network.origin[1])
    lines = [
        translate(line, *shift)
        for mark in pad.of_kind("crack")
        if (width := _greatest_width(mark)) is not None and width > tolerances().fine_crack + _HAIR
        for line in lines_of(mark)
    ]
    if not lines:
        return 0.0
    ends = np.array([place for line in lines for place in (line.coords[0], line.coords[-1])])
    is_joined = np.atleast_1d(np.all(network.degrees_at(ends[:, :2]).reshape(-1, 2) >= 3, axis=1)).tolist()
    whole = math.fsum(line.length for line, both_ends in zip(lines, is_joined, strict=True) if both_ends)
    apart = [line for line, both_ends in zip(lines, is_joined, strict=True) if not both_ends]
    free = [translate(piece.outline.boundary, *shift) for piece in pieces if piece.free]
    return whole + _along(apart, free, shapely.get_parts(network.cracks))


def _along(lines: list[LineString], borders: Sequence[BaseGeometry], stretches: NDArray[np.object_]) -> float:
    """Return the length of lines that runs along borders, by the noded stretches of which both are made. [m]"""
    middles = shapely.line_interpolate_point(stretches, 0.5, normalized=True)
    on_border = np.unique(STRtree(shapely.get_parts(shapely.union_all(borders))).query(middles, "dwithin", SAME)[0])
    on_line = STRtree(lines).query(middles[on_border], "dwithin", SAME)[0]
    return float(shapely.length(stretches[on_border[on_line]]).sum())
