"""How likely a low spot is: the share of surfaces drawn from what the shots leave open in which it holds water."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.ground.filling import filled
from courtwright.ground.heights import SHOT_LIMIT, Surface, lattice, nodes_on
from courtwright.ground.ponds import Ponds, ponds

Array = NDArray[np.float64]
SURFACES = 40
#: Nodes of the lattice that water is looked for on; a scan's dips are narrower. [-]
CELL_LIMIT, SCAN_CELL_LIMIT = 8_000, 40_000


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
        As for ``Surface.drawn_on``.
    """
    left, low, right, high = outline.bounds
    most = SCAN_CELL_LIMIT if len(surface.places) > SHOT_LIMIT else CELL_LIMIT
    cell = max(((right - left) * (high - low) / most) ** 0.5, min(right - left, high - low) / 200)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    on_pad = nodes_on(outline, x, y)
    found: list[Ponds] = []
    for height in surface.drawn_on(x, y, frame, generator, SURFACES):
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
