"""The pieces that cracks and edges cut a slab into, and which of them nothing holds."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree
from shapely.affinity import translate

from courtwright.ground.network import GRID, SAME, Network
from courtwright.ground.reading import Piece
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

_EDGE, _CRACKED, _UNCRACKED = 0, 1, 2


def pieces(network: Network) -> tuple[Piece, ...]:
    """Return the pieces of a pad, largest first.

    Parameters
    ----------
    network : Network
        Its cracks.

    Returns
    -------
    tuple of Piece
        The largest is the body of the slab and never free. Another is free when no uncracked part of its border
        inside the pad is longer than 0.3 m; the pad's own edge holds nothing. Areas go to the cracks' centre lines.
        A face smaller than 5 by 5 cm is a slip of the pen and left out.
    """
    borders = _borders(network)
    faces = [face for face in shapely.get_parts(shapely.polygonize(borders)) if _is_on_pad(face, network.outline)]
    faces.sort(key=lambda face: (-round(face.area, 6), *_order_of(face, network)))
    kinds = _kinds(borders, network)
    middles = shapely.line_interpolate_point(borders, 0.5, normalized=True)
    tree = STRtree(middles)
    return tuple(
        _piece(ordinal, face, [int(i) for i in tree.query(face.boundary, predicate="dwithin", distance=SAME)],
               borders, kinds, network.origin)
        for ordinal, face in enumerate(faces)
    )  # fmt: skip


def _borders(network: Network) -> list[LineString]:
    """Return outline, cracks and carried-on ends cut at every meeting."""
    merged = shapely.union_all([network.outline.boundary, network.cracks, network.carried_on], grid_size=GRID)
    return [part for part in shapely.get_parts(merged) if isinstance(part, LineString) and part.length > 0]


def _is_on_pad(face: Polygon, outline: Polygon) -> bool:
    return face.area >= tolerances().piece_least ** 2 and outline.contains(face.representative_point())


def _order_of(face: Polygon, network: Network) -> tuple[float, float]:
    """Return what tells equal faces apart whatever the frame: how far they lie along the outline's first side."""
    first, second = shapely.get_coordinates(network.outline.exterior)[:2]
    side = (second - first) / np.hypot(*(second - first))
    off = np.array([face.centroid.x, face.centroid.y]) - first
    return round(float(off @ side), 4), round(abs(float(side[0] * off[1] - side[1] * off[0])), 4)


def _kinds(borders: list[LineString], network: Network) -> NDArray[np.int64]:
    """Return what each stretch of border is: the pad's edge, cracked, or uncracked."""
    middles = shapely.line_interpolate_point(borders, 0.5, normalized=True)
    edge = network.outline.boundary
    shapely.prepare(edge)
    is_edge = shapely.dwithin(edge, middles, SAME)
    is_cracked = np.zeros(len(borders), dtype=np.bool_)
    is_cracked[STRtree(shapely.get_parts(network.cracks)).query(middles, predicate="dwithin", distance=SAME)[0]] = True
    return np.where(is_edge, _EDGE, np.where(is_cracked, _CRACKED, _UNCRACKED))


def _piece(
    ordinal: int,
    face: Polygon,
    around: list[int],
    borders: list[LineString],
    kinds: NDArray[np.int64],
    origin: tuple[float, float],
) -> Piece:
    cracked = sum(borders[i].length for i in around if kinds[i] == _CRACKED)
    uncracked = [borders[i] for i in around if kinds[i] == _UNCRACKED]
    inside = cracked + sum(line.length for line in uncracked)
    return Piece(
        id=f"piece-{ordinal + 1}",
        area=float(face.area),
        free=ordinal > 0 and _longest(uncracked) <= tolerances().free_border + SAME,
        cracked_share=float(cracked / inside) if inside > 0 else 0.0,
        outline=translate(face, *origin),
        is_body=ordinal == 0,
    )


def _longest(lines: list[LineString]) -> float:
    """Return the length of the longest unbroken line among several. [m]"""
    merged = shapely.line_merge(shapely.MultiLineString(lines))
    return max((float(part.length) for part in shapely.get_parts(merged)), default=0.0)
