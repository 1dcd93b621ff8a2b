"""The plane of each court: how steep, which way, how sure, and how far the surface lies off it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.affinity import rotate, translate

from courtwright.ground.heights import Heights, Surface, lattice, lattice_points
from courtwright.ground.reading import CourtPlane, HeightGrid
from courtwright.site.record import Court
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: A plane's uncertainty is taken from the joint one of about this many places.
_PLACES_FOR_DOUBT = 150
#: No node is trusted beyond this when planes are weighted. [m]
_LEAST_SD = 1e-4


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane fitted to part of a surface: ``height = level + gradient · (place − centre)``.

    Parameters
    ----------
    centre : ndarray, shape (2,)
        Weighted middle of the nodes. [m]
    level : float
        Height there. [m]
    gradient : ndarray, shape (2,)
        Rise along x and y. [m/m]
    gradient_covariance : ndarray, shape (2, 2)
        Its uncertainty. [m²/m²]
    off_max : float
        Largest departure of the surface from it. [m]
    off_rms : float
        Root mean square of the departures. [m]
    """

    centre: Array
    level: float
    gradient: Array
    gradient_covariance: Array
    off_max: float
    off_rms: float

    @property
    def slope(self) -> float:
        """Fall along the steepest line. [m/m]"""
        return float(np.hypot(*self.gradient))

    @property
    def slope_sd(self) -> float:
        """Standard uncertainty of the slope, to first order along the fall. [m/m]"""
        along = self.gradient / self.slope if self.slope > 0 else np.array([math.sqrt(0.5), math.sqrt(0.5)])
        return math.sqrt(max(0.0, float(along @ self.gradient_covariance @ along)))

    @property
    def bearing(self) -> float:
        """Direction of fall, clockwise from +y. [rad]"""
        return math.atan2(-self.gradient[0], -self.gradient[1]) % (2 * math.pi)


def court_area(court: Court, size: tuple[float, float]) -> Polygon:
    """Return the area within a court's lines, its long axis turned clockwise from +y.

    Parameters
    ----------
    court : Court
        Where it lies.
    size : tuple of float, shape (2,)
        Its length and width. [m]
    """
    length, width = size
    upright = shapely.box(-width / 2, -length / 2, width / 2, length / 2)
    return translate(rotate(upright, -court.turned, origin=(0, 0), use_radians=True), *court.centre)


def court_planes(
    heights: Heights, courts: tuple[Court, ...], sizes: Mapping[str, tuple[float, float]]
) -> tuple[CourtPlane, ...]:
    """Return the plane of each court whose sport has a known size and which lies on the pad.

    Parameters
    ----------
    heights : Heights
        The pad's heights.
    courts : tuple of Court
        Its courts.
    sizes : mapping of str to tuple of float
        Length and width of a court, by sport. [m]
    """
    found = (_court_plane(heights, court, sizes[court.sport]) for court in courts if court.sport in sizes)
    return tuple(plane for plane in found if plane is not None)


def _court_plane(heights: Heights, court: Court, size: tuple[float, float]) -> CourtPlane | None:
    area = court_area(court, size)
    plane = fitted_plane(heights, area)
    if plane is None:
        return None
    axis = np.array([math.sin(court.turned), math.cos(court.turned)])
    along = float(plane.gradient @ axis / plane.slope) ** 2 if plane.slope > 0 else 0.0
    crown = max(_turn_between_halves(heights, court, size, lengthwise) for lengthwise in (True, False))
    return CourtPlane(
        court.id, court.sport, plane.slope, plane.slope_sd, plane.bearing, plane.off_max, along, crown, plane.off_rms
    )


def fitted_plane(heights: Heights, area: Polygon) -> Plane | None:
    """Return the plane through the nodes of an area, weighted by how well each is known; None when it has none.

    Parameters
    ----------
    heights : Heights
        The pad's heights.
    area : Polygon
        The part of the pad. [m]
    """
    places, height, sd = _nodes_within(heights.grid, area)
    if len(places) < 3:
        return None
    weight = 1 / np.maximum(sd, _LEAST_SD) ** 2
    centre = np.average(places, axis=0, weights=weight)
    terms = np.column_stack([np.ones(len(places)), places - centre])
    scaled = terms * np.sqrt(weight)[:, None]
    if np.linalg.matrix_rank(scaled) < 3:
        return None
    level, *gradient = np.linalg.lstsq(scaled, height * np.sqrt(weight), rcond=None)[0]
    off = height - terms @ np.array([level, *gradient])
    doubt = _gradient_covariance(heights.surface, area)
    rms = float(np.sqrt(np.mean(off**2)))
    return Plane(centre, float(level), np.array(gradient), doubt, float(np.abs(off).max()), rms)


def _nodes_within(grid: HeightGrid, area: Polygon) -> tuple[Array, Array, Array]:
    x = grid.x0 + grid.cell * np.arange(grid.height.shape[1])
    y = grid.y0 + grid.cell * np.arange(grid.height.shape[0])
    places = lattice_points(x, y)
    widened = area.buffer(1e-7, join_style="mitre")
    inside = shapely.intersects_xy(widened, places[:, 0], places[:, 1]) & np.isfinite(grid.height.ravel())
    return places[inside], grid.height.ravel()[inside], grid.sd.ravel()[inside]


def _gradient_covariance(surface: Surface, area: Polygon) -> Array:
    """Return the covariance of the fitted gradient, from the joint uncertainty of places spread over the area."""
    left, low, right, high = area.bounds
    spacing = math.sqrt(area.area / _PLACES_FOR_DOUBT)
    places = lattice_points(lattice(left, right, spacing), lattice(low, high, spacing))
    places = places[shapely.intersects_xy(area, places[:, 0], places[:, 1])]
    terms = np.column_stack([np.ones(len(places)), places - places.mean(axis=0)])
    weighted = terms.T / np.maximum(surface.variance(places), _LEAST_SD**2)
    if np.linalg.matrix_rank(terms) < 3:
        return np.full((2, 2), np.inf)
    solver = np.linalg.solve(weighted @ terms, weighted)
    return (solver @ surface.joint(places) @ solver.T)[1:, 1:]


def _turn_between_halves(heights: Heights, court: Court, size: tuple[float, float], lengthwise: bool) -> float:
    """Return the angle between the falls of a court's two halves; 0 when either has no fall that is known. [rad]"""
    length, width = size
    half = (length / 2, width) if lengthwise else (length, width / 2)
    axis = (math.sin(court.turned), math.cos(court.turned)) if lengthwise else (
        math.cos(court.turned), -math.sin(court.turned)
    )  # fmt: skip
    offset = (length if lengthwise else width) / 4
    falls: list[float] = []
    for side in (-1, 1):
        centre = (court.centre[0] + side * offset * axis[0], court.centre[1] + side * offset * axis[1])
        plane = fitted_plane(heights, court_area(Court(court.id, court.sport, centre, court.turned), half))
        if plane is None or plane.slope < max(tolerances().level_slope, 2 * plane.slope_sd):
            return 0.0
        falls.append(plane.bearing)
    turn = abs(falls[0] - falls[1]) % (2 * math.pi)
    return min(turn, 2 * math.pi - turn)
