"""How far a new surface lies above the old one, over all of a pad's sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates
from shapely import LineString, MultiLineString, Polygon, get_coordinates
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import HeightGrid
from courtwright.ground.regrade.read import Surface
from courtwright.offer.canvas import parts
from courtwright.offer.ground.beyond import grid_beyond
from courtwright.offer.plan.contours import contour

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FillMap:
    """Fill on a grid that reaches beyond the pad, so that lines through it end at the pad's edge.

    Parameters
    ----------
    x0, y0, cell : float
        Place of node (0, 0), and the spacing of nodes. [m]
    fill : ndarray, shape (rows, cols)
        How far the new surface lies above the old one; below nought it is cut. Off the pad as at the nearest node. [m]
    sd : ndarray, shape (rows, cols)
        Standard uncertainty of the old surface. [m]
    outline : Polygon
        The pad. [m]
    """

    x0: float
    y0: float
    cell: float
    fill: Array
    sd: Array
    outline: Polygon

    def at(self, places: Array) -> Array:
        """Return the fill at places of shape (n, 2). [m]"""
        index = (places[:, ::-1] - (self.y0, self.x0)) / self.cell
        return np.asarray(map_coordinates(self.fill, index.T, order=1, mode="nearest"))

    def line(self, level: float, off: float = 0.0) -> BaseGeometry:
        """Return where the fill has a value [m], or would if the old surface were off by ``off`` of its sd [-]."""
        return contour(self.fill + off * self.sd, level, self.x0, self.y0, self.cell).intersection(self.outline)

    def fold(self, surface: Surface) -> BaseGeometry:
        """Return where the planes of a surface meet, on the pad. [m]"""
        rows, cols = self.fill.shape
        x, y = np.meshgrid(self.x0 + self.cell * np.arange(cols), self.y0 + self.cell * np.arange(rows))
        planes = np.array([part.plane.at(x, y) for part in surface.parts])
        lowest = planes.argmin(axis=0)
        found: list[BaseGeometry] = []
        for i in range(len(planes)):
            rest = np.delete(planes, i, axis=0)
            above = rest.min(axis=0) - planes[i]
            # Each fold once: from the side of the plane named first.
            other = np.where(above < 0, lowest, -1)
            above = np.where((other >= 0) & (other < i), np.nan, above)
            found.extend(parts(contour(above, 0.0, self.x0, self.y0, self.cell).intersection(self.outline)))
        return MultiLineString([line for line in found if isinstance(line, LineString)])


def fill_map(surface: Surface, grid: HeightGrid, outline: Polygon) -> FillMap:
    """Return how far a new surface lies above a pad.

    Parameters
    ----------
    surface : Surface
        The new surface.
    grid : HeightGrid
        The pad as it lies.
    outline : Polygon
        The pad. [m]
    """
    rows, cols = grid.height.shape
    x, y = np.meshgrid(grid.x0 + grid.cell * np.arange(cols), grid.y0 + grid.cell * np.arange(rows))
    wider = grid_beyond(replace(grid, height=surface.at(x, y) - grid.height))
    return FillMap(wider.x0, wider.y0, wider.cell, wider.height, wider.sd, outline)


def ruled(lines: BaseGeometry, fill: FillMap, per_metre: float, over: float) -> MultiLineString:
    """Return what of lines on paper [mm] lies where the fill is larger than ``over`` [m].

    Parameters
    ----------
    lines : BaseGeometry
        Straight lines on paper, y down. [mm]
    fill : FillMap
        The fill.
    per_metre : float
        Paper per metre of ground. [mm/m]
    over : float
        The fill from which they are drawn. [m]
    """
    kept: list[Array] = []
    step = max(fill.cell * per_metre / 2, 0.2)
    for line in parts(lines):
        ends = get_coordinates(line)
        count = max(2, int(np.hypot(*(ends[-1] - ends[0])) / step) + 1)
        share = np.linspace(0.0, 1.0, count)
        places = ends[0] + share[:, None] * (ends[-1] - ends[0])
        above = fill.at(places * (1 / per_metre, -1 / per_metre)) - over
        kept += [ends[0] + np.array(run)[:, None] * (ends[-1] - ends[0]) for run in _runs(share, above)]
    return MultiLineString(kept)


def _runs(share: Array, above: Array) -> list[tuple[float, float]]:
    """Return from where to where a sampled value is over zero, straight between samples."""
    inside = above > 0
    turns = np.flatnonzero(inside[1:] != inside[:-1])
    cross = share[turns] + (share[turns + 1] - share[turns]) * above[turns] / (above[turns] - above[turns + 1])
    ends = [0.0] * bool(inside[0]) + [float(c) for c in cross] + [1.0] * bool(inside[-1])
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b > a]
