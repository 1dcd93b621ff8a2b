"""The water that a whole raster of heights holds, whatever lies on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy import ndimage
from shapely import Polygon

from courtwright.ground.ponds import Ponds, outline_of, standing_water
from courtwright.ground.reading import LowSpot
from courtwright.site.formats.raster import Heights, Raster


@dataclass(frozen=True, slots=True)
class RasterWater:
    """A raster filled to where it spills.

    Parameters
    ----------
    level : ndarray, shape (rows, cols)
        The surface with its depressions filled; NaN where there is no data. [m]
    low_spots : tuple of LowSpot
        The deepest of them, deepest first.
    total : int
        How many there are of at least the depth asked for. [-]
    volume : float
        Water in all depressions, however shallow. [m³]
    cells : int
        How many cells are under water, however shallow. [-]
    """

    level: Heights
    low_spots: tuple[LowSpot, ...]
    total: int
    volume: float
    cells: int


def water_on(raster: Raster, least_depth: float = 0.0, limit: int = 1000) -> RasterWater:
    """Return the depressions of a raster, eight-connected, with open edges; cells beside no-data drain.

    Parameters
    ----------
    raster : Raster
        The heights.
    least_depth : float
        Shallower low spots are neither listed nor counted in ``total``. [m]
    limit : int
        At most so many are listed. [-]
    """
    level, found = standing_water(raster.height)
    total = int(np.count_nonzero(found.depth >= least_depth))
    listed = min(total, limit)
    return RasterWater(
        level=level,
        low_spots=_spots(raster, found, listed),
        total=total,
        volume=float(found.depth_sum.sum()) * raster.cell_area,
        cells=int(found.cells.sum()),
    )


def _spots(raster: Raster, found: Ponds, listed: int) -> tuple[LowSpot, ...]:
    within = ndimage.find_objects(np.where(found.number <= listed, found.number, 0), listed) if listed else []
    return tuple(_spot(raster, found, ordinal, box) for ordinal, box in enumerate(within) if box is not None)


def _spot(raster: Raster, found: Ponds, ordinal: int, box: tuple[slice, slice]) -> LowSpot:
    rows, cols = box
    cells = outline_of(found.number[box] == ordinal + 1, float(cols.start), float(rows.start), 1.0)
    return LowSpot(
        id=f"low-{ordinal + 1}",
        area=float(found.cells[ordinal]) * raster.cell_area,
        depth_max=float(found.depth[ordinal]),
        volume=float(found.depth_sum[ordinal]) * raster.cell_area,
        spill=_place(raster, int(found.spill[ordinal])),
        deepest=_place(raster, int(found.deepest[ordinal])),
        likelihood=None,
        outline=_placed(raster, cells),
    )


def _place(raster: Raster, flat: int) -> tuple[float, float]:
    return raster.place(*divmod(flat, raster.height.shape[1]))


def _placed(raster: Raster, cells: Polygon) -> Polygon:
    """Return a polygon of columns and rows as one of metres."""
    (x, y), (cx, cy), (rx, ry) = raster.at_first, raster.per_col, raster.per_row
    turned = np.array([[cx, rx], [cy, ry]])
    return Polygon(shapely.get_coordinates(cells) @ turned.T + (x, y))
