"""How likely a low spot is: the share of surfaces drawn from what the shots leave open in which it holds water."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from shapely import Polygon

from courtwright.ground.filling import filled
from courtwright.ground.heights import Surface, lattice, lattice_points, nodes_on
from courtwright.ground.ponds import Ponds, ponds

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
    return tuple(np.linspace(axis[0], axis[-1], max(4, int((axis[-1] - axis[0]) / step + 1e-9) + 1)) for axis in (x, y))  # type: ignore[return-value] – two axes in, two out


def _spline_matrix(coarse: Array, fine: Array) -> Array:
    """Return the matrix that carries values at ``coarse`` to ``fine`` by a cubic spline."""
    spline: BSpline = make_interp_spline(coarse, np.eye(len(coarse)), k=3)
    return np.asarray(spline(fine))


@dataclass(frozen=True, slots=True)
class DrawnWater:
    """The ponds of the surfaces drawn from a kriged one.

    Parameters
    ----------
    x, y : ndarray
        Columns and rows of the lattice that the surfaces stand on. [m]
    ponds : tuple of Ponds
        Of each surface.
    """

    x: Array
    y: Array
    ponds: tuple[Ponds, ...]

    def deepest_meeting(self, region: NDArray[np.bool_]) -> NDArray[np.intp]:
        """Return, for each surface, the ordinal of the deepest pond that meets some nodes; -1 where none does. [-]

        Parameters
        ----------
        region : ndarray of bool, shape (rows, cols)
            The nodes.
        """
        # Ponds are numbered from 1, deepest first.
        met = [np.where(found.number[region] > 0, found.number[region], np.inf).min() for found in self.ponds]
        return np.array([int(number) - 1 if math.isfinite(number) else -1 for number in met], dtype=np.intp)

    def nodes_in(self, region: Polygon) -> NDArray[np.bool_]:
        """Return the nodes in a region; the nearest one when it lies between nodes."""
        mask = nodes_on(region, self.x, self.y)
        if not mask.any():
            place = region.representative_point()
            mask[np.abs(self.y - place.y).argmin(), np.abs(self.x - place.x).argmin()] = True
        return mask


def drawn_water(
    surface: Surface,
    outline: Polygon,
    outlets: Callable[[Array, Array, Array], Array],
    frame: Array,
    generator: np.random.Generator,
) -> DrawnWater:
    """Return the ponds of surfaces drawn from a kriged one.

    Parameters
    ----------
    surface : Surface
        The kriged surface.
    outline : Polygon
        The pad. [m]
    outlets : callable
        Gives the outlet levels of a lattice's columns, rows and heights.
    frame, generator
        As in ``drawn_surfaces``.
    """
    left, low, right, high = outline.bounds
    cell = max(((right - left) * (high - low) / CELL_LIMIT) ** 0.5, min(right - left, high - low) / 200)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    on_pad = nodes_on(outline, x, y)
    found: list[Ponds] = []
    for height in drawn_surfaces(surface, x, y, frame, generator):
        height[~on_pad] = np.nan
        found.append(ponds(height, filled(height, outlets(x, y, height))))
    return DrawnWater(x, y, tuple(found))


def likelihoods(water: DrawnWater, regions: list[Polygon], least_depth: float) -> list[float]:
    """Return, for each region, the share of drawn surfaces in which a deep enough low spot meets it. [-]

    Parameters
    ----------
    water : DrawnWater
        The ponds of the surfaces.
    regions : list of Polygon
        The low spots of the best surface. [m]
    least_depth : float
        Depth from which a low spot counts. [m]
    """
    met = (water.deepest_meeting(water.nodes_in(region)) for region in regions)
    return [
        sum(bool(i >= 0 and found.depth[i] > least_depth) for i, found in zip(of, water.ponds, strict=True)) / SURFACES
        for of in met
    ]
