"""Low spots while the shots are being taken: a quick look that a phone repeats, and no reading of the ground.

It differs from the reading of the office (`heights`, `low_spots`) on purpose, so that it is written twice in few lines:
every shot counts as exact, the surface is the plainest that passes through all of them, every edge lets water off, no
drain works, and nothing is said of how likely a low spot is. ``spec/README.md`` says the same steps in words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial.distance import cdist
from shapely import Polygon

from courtwright.ground.filling import Filled, filled
from courtwright.ground.heights import lattice, lattice_points
from courtwright.ground.ponds import ponds
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Spacing of nodes on a small pad; it is doubled until there are no more nodes than the second says. [m], [-]
CELL = 0.25
MOST_NODES = 20_000
#: More shots are left to the office. [-]
MOST_SHOTS = 600
#: Shots nearer together than this are one. [m]
SAME_PLACE = 0.01
#: Shots that all lie nearer to one line than this tell no surface. [m]
ON_A_LINE = 0.01
#: A node is wet when water stands on it deeper than this: less is the reckoning's own noise. [m]
WET = 1e-4
#: A node this near to the outline lies on the pad. [m]
ON_OUTLINE = 1e-6


@dataclass(frozen=True, slots=True)
class PreviewSpot:
    """A place that would hold water.

    Parameters
    ----------
    deepest : tuple of float, shape (2,)
        Its deepest node. [m]
    depth : float
        Greatest depth. [m]
    area : float
        Its wet nodes times a cell's area. [m²]
    volume : float
        Water in it. [m³]
    """

    deepest: tuple[float, float]
    depth: float
    area: float
    volume: float


def preview_low_spots(xyz: Array, outline: Polygon) -> tuple[PreviewSpot, ...] | None:
    """Return the low spots that some shots show, deepest first; None while they tell no surface.

    Parameters
    ----------
    xyz : ndarray, shape (n, 3)
        Places and heights. [m]
    outline : Polygon
        The pad. [m]

    Notes
    -----
    The surface is a plane and, about each shot, a cone, so weighted that it passes through all shots: kriging with a
    plane drift, a linear variogram and no nugget. The office fits variogram and nugget to the shots; where these are
    rough it smooths them, so that its low spots are fewer and shallower, and dams and drains make others.

    References
    ----------
    Matheron, "The intrinsic random functions and their applications", Advances in Applied Probability 5 (1973).

    Examples
    --------
    >>> shots = [(x, y, -0.01 if x == y == 2 else 0.0) for x in range(5) for y in range(5)]
    >>> [(spot.deepest, round(spot.depth, 3)) for spot in preview_low_spots(np.array(shots), shapely.box(0, 0, 4, 4))]
    [((2.0, 2.0), 0.01)]
    """
    shots = _apart([shot for shot in np.asarray(xyz, dtype=np.float64).reshape(-1, 3) if _counts(shot, outline)])
    if not 3 <= len(shots) <= MOST_SHOTS or _is_on_a_line(shots):
        return None
    left, low, right, high = outline.bounds
    cell = preview_cell(right - left, high - low)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    nodes = lattice_points(x, y)
    height = _surface(shots, nodes)
    height[shapely.distance(shapely.points(nodes), outline) > ON_OUTLINE] = np.nan
    return _spots(height.reshape(len(y), len(x)), nodes, cell)


def preview_cell(width: float, depth: float) -> float:
    """Return the spacing of nodes for a pad of this size. [m]

    Parameters
    ----------
    width, depth : float
        Sides of the pad's bounding box. [m]

    Examples
    --------
    A single court, and a battery of three:

    >>> preview_cell(18.3, 36.6), preview_cell(47.5, 36.6)
    (0.25, 0.5)
    """
    cell = CELL
    while (math.floor(width / cell + 1e-9) + 1) * (math.floor(depth / cell + 1e-9) + 1) > MOST_NODES:
        cell *= 2
    return cell


def _counts(shot: Array, outline: Polygon) -> bool:
    reach = tolerances().shot_reach
    return bool(np.isfinite(shot).all() and shapely.distance(shapely.Point(shot[:2]), outline) <= reach)


def _apart(shots: Sequence[Array]) -> Array:
    """Return the shots, those at one place as one: where the first of them stood, at their mean height."""
    groups: list[list[Array]] = []
    for shot in shots:
        own = next((group for group in groups if math.dist(group[0][:2], shot[:2]) < SAME_PLACE), None)
        if own is None:
            groups.append([shot])
        else:
            own.append(shot)
    return np.array([(*group[0][:2], sum(shot[2] for shot in group) / len(group)) for group in groups])


def _is_on_a_line(shots: Array) -> bool:
    """Tell whether all shots lie near the line from the first to the one farthest from it."""
    off = shots[:, :2] - shots[0, :2]
    far = off[np.argmax(np.hypot(*off.T))]
    return bool((np.abs(off[:, 0] * far[1] - off[:, 1] * far[0]) < ON_A_LINE * math.hypot(*far)).all())


def _surface(shots: Array, nodes: Array) -> Array:
    """Return the height of the surface through some shots at other places, shape (n,). [m]"""
    centre = shots.mean(axis=0)
    scale = float(np.hypot(*(shots[:, :2] - centre[:2]).T).max())
    places, there = (shots[:, :2] - centre[:2]) / scale, (nodes - centre[:2]) / scale
    count = len(shots)
    matrix = np.zeros((count + 3, count + 3))
    matrix[:count, :count] = cdist(places, places)
    matrix[:count, count:] = _plane(places)
    matrix[count:, :count] = _plane(places).T
    weights = np.linalg.solve(matrix, np.append(shots[:, 2] - centre[2], np.zeros(3)))
    return centre[2] + cdist(there, places) @ weights[:count] + _plane(there) @ weights[count:]


def _plane(places: Array) -> Array:
    return np.column_stack([np.ones(len(places)), places])


def _spots(height: Array, nodes: Array, cell: float) -> tuple[PreviewSpot, ...]:
    if min(height.shape) < 3:
        return ()
    water = filled(height)
    is_wet = np.nan_to_num(water.level - height) > WET
    found = ponds(height, Filled(np.where(is_wet, water.level, height), water.next_cell))
    return tuple(
        PreviewSpot(
            deepest=(float(nodes[found.deepest[i], 0]), float(nodes[found.deepest[i], 1])),
            depth=float(found.depth[i]),
            area=float(found.cells[i]) * cell**2,
            volume=float(found.depth_sum[i]) * cell**2,
        )
        for i in np.flatnonzero(found.depth > tolerances().water_test)
    )
