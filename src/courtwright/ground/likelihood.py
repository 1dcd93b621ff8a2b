"""How likely a low spot is: the share of surfaces drawn from what the shots leave open in which it holds water."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from shapely import Polygon

from courtwright.ground.filling import areas, filled
from courtwright.ground.heights import Surface, lattice, lattice_points, nodes_on

Array = NDArray[np.float64]
SURFACES = 40
NODE_LIMIT = 800
CELL_LIMIT = 8_000


def drawn_surfaces(surface: Surface, x: Array, y: Array, frame: Array, generator: np.random.Generator) -> Array:
    """Return surfaces drawn from a kriged one, shape (40, rows, cols). [m]

    Parameters
    ----------
    surface : Surface
        The kriged surface.
    x, y : ndarray
        The lattice's columns and rows. [m]
    frame : ndarray, shape (2, 2)
        Two axes fixed to the survey, by which the draws are ordered: a survey moved, turned or mirrored
        then draws the same surfaces. [-]
    generator : Generator
        Random numbers.

    Notes
    -----
    Drawn jointly at about 800 nodes and carried to the lattice by bicubic splines; what varies over less
    than the nodes' spacing is not drawn.
    """
    coarse_x, coarse_y = _coarse(x, y)
    nodes = lattice_points(coarse_x, coarse_y)
    place = np.round((nodes - surface.centre) @ frame, 4)
    order = np.lexsort((place[:, 1], place[:, 0]))
    joint = surface.joint(nodes[order])
    root = np.linalg.cholesky(joint + np.eye(len(nodes)) * (1e-9 * joint.diagonal().max() + 1e-16))
    off = np.empty((len(nodes), SURFACES))
    off[order] = root @ generator.standard_normal((len(nodes), SURFACES))
    off = off.T.reshape(SURFACES, len(coarse_y), len(coarse_x))
    up, across = _spline_matrix(coarse_y, y), _spline_matrix(coarse_x, x)
    return surface.height_on(x, y) + up @ off @ across.T


def _coarse(x: Array, y: Array) -> tuple[Array, Array]:
    width, depth = x[-1] - x[0], y[-1] - y[0]
    step = max((width * depth / NODE_LIMIT) ** 0.5, (width + depth) / NODE_LIMIT)
    return tuple(np.linspace(axis[0], axis[-1], max(4, int((axis[-1] - axis[0]) / step) + 1)) for axis in (x, y))  # type: ignore[return-value] – two axes in, two out


def _spline_matrix(coarse: Array, fine: Array) -> Array:
    """Return the matrix that carries values at ``coarse`` to ``fine`` by a cubic spline."""
    spline: BSpline = make_interp_spline(coarse, np.eye(len(coarse)), k=3)
    return np.asarray(spline(fine))


def likelihoods(
    surface: Surface,
    outline: Polygon,
    regions: list[Polygon],
    least_depth: float,
    outlets: Callable[[Array, Array, Array], Array],
    frame: Array,
    generator: np.random.Generator,
) -> list[float]:
    """Return, for each region, the share of drawn surfaces in which a deep enough low spot meets it. [-]

    Parameters
    ----------
    surface : Surface
        The kriged surface.
    outline : Polygon
        The pad. [m]
    regions : list of Polygon
        The low spots of the best surface. [m]
    least_depth : float
        Depth from which a low spot counts. [m]
    outlets : callable
        Gives the outlet levels of a lattice's columns, rows and heights.
    frame, generator
        As in ``drawn_surfaces``.
    """
    left, low, right, high = outline.bounds
    cell = max(((right - left) * (high - low) / CELL_LIMIT) ** 0.5, min(right - left, high - low) / 200)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    on_pad = nodes_on(outline, x, y)
    masks = [_nodes_in(region, x, y) for region in regions]
    met = np.zeros(len(regions))
    for height in drawn_surfaces(surface, x, y, frame, generator):
        height[~on_pad] = np.nan
        depth = np.nan_to_num(filled(height, outlets(x, y, height)).level - height)
        label, count = areas(depth > 0)
        deep = np.zeros(count + 1, dtype=np.bool_)
        deep[label[depth > least_depth]] = True
        met += [deep[label[mask]].any() for mask in masks]
    return [float(share) for share in met / SURFACES]


def _nodes_in(region: Polygon, x: Array, y: Array) -> NDArray[np.bool_]:
    """Return the nodes in a region; the nearest one when it lies between nodes."""
    mask = nodes_on(region, x, y)
    if not mask.any():
        place = region.representative_point()
        mask[np.abs(y - place.y).argmin(), np.abs(x - place.x).argmin()] = True
    return mask
