"""Makes the points of a pad from a scan of it: a robust height for each small block, whatever stood on the court."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from shapely import Polygon

from courtwright.site.complaints import Complaints
from courtwright.site.formats.las import Bytes, Scan, Whole
from courtwright.site.formats.points_csv import PointList
from courtwright.site.frames import Frame

Array = NDArray[np.float64]

#: Cells in which the lowest point is sought; larger on a large pad, so that there are no more of them. [m], [-]
CELL, MOST_CELLS = 0.02, 8_000_000
#: The middle of the lowest points over so wide a square is the ground: what stands there covers less than half. [m]
GROUND = 0.5
#: Blocks whose height is told; on a large pad so much larger that there are no more of them. [m], [-]
BLOCK, MOST_BLOCKS = 0.1, 40_000
#: Heights are counted in steps, so many about the ground. [m], [-]
STEP, STEPS = 0.001, 101
#: So many points of a compressed scan are held, at 13 bytes each; of a larger one they are decoded twice. [-]
MOST_KEPT = 60_000_000
#: A block with fewer points tells nothing. [-]
LEAST_POINTS = 5
#: Points farther from a block's median than so many of its usual deviations, or this, are none of the surface. [-], [m]
_DEVIATIONS, _LEAST_OFF = 3.0, 0.002
#: So much ground around the pad is read. [m]
_MARGIN = 0.3
#: The pad's own frame: no shift, no turn.
_OWN = np.array([0.0, 0.0, 0.0, 1.0])
#: The usual deviation of normal errors, in median deviations. [-]
_USUAL = 1.4826


@dataclass(frozen=True, slots=True)
class _Lattice:
    """Cells over the box of a pad: where they begin, how large they are, how many rows and columns."""

    left: float
    low: float
    cell: float
    rows: int
    cols: int

    @classmethod
    def over(cls, outline: Polygon, cell: float, most: int) -> _Lattice:
        left, low, right, high = outline.buffer(_MARGIN).bounds
        wide, deep = right - left, high - low
        cell = max(cell, math.sqrt(wide * deep / most))
        return cls(left, low, cell, math.ceil(deep / cell), math.ceil(wide / cell))


def scanned(scan: Scan, frame: Frame | None, outline: Polygon, file: str, complaints: Complaints) -> PointList | None:
    """Return a height for each block of a scan that has one, or None after saying why there is none.

    Parameters
    ----------
    scan : Scan
        The point cloud; it is read twice, in parts, or held after the first time where it is compressed.
    frame : Frame or None
        Where the pad lies in it; None: it is in the pad's own frame.
    outline : Polygon
        The pad. [m]
    file : str
        The scan's name.
    complaints : Complaints
        Told how many points were taken and how many were not of the surface.

    Notes
    -----
    First the lowest point of each 2 cm cell, and of these the median over half a metre: the ground, as long as what
    stands on it covers less than half of any such square. Then the heights of each block within 5 cm of that, counted
    in steps of 1 mm: their median and median deviation, and the mean of what lies within three deviations. Points that
    were classed as ground are taken alone where there are any.

    References
    ----------
    Huber and Ronchetti, "Robust Statistics", 2nd ed., 2009, section 1.3, for median and median absolute deviation.
    """
    from courtwright.site.kernels.binning import take_lowest, take_spread

    turn = _turned(frame) if frame else _OWN
    fine = _Lattice.over(outline, CELL, MOST_CELLS)
    lowest = np.full((2, fine.rows, fine.cols), np.inf)
    kept: list[tuple[tuple[Whole, Whole, Whole], Bytes, Array]] = []
    for raw, kind, scale in scan.raw():
        take_lowest(raw, kind, scale, turn, fine.left, fine.low, fine.cell, lowest)
        if scan.is_packed and scan.points <= MOST_KEPT:
            counts = kind > 0
            x, y, z = (numbers[counts] for numbers in raw)
            kept.append(((x, y, z), kind[counts], scale))
    if not np.isfinite(lowest[0]).any():
        complaints.error(file, "", "scan-off-pad", points=scan.points)
        return None
    least = 2 if np.isfinite(lowest[1]).any() else 1
    ground, spacing = _ground(lowest[least - 1], fine.cell)
    blocks = _Lattice.over(outline, BLOCK, MOST_BLOCKS)
    count = np.zeros((blocks.rows, blocks.cols, STEPS), dtype=np.int32)
    total = np.zeros(count.shape)
    place = np.zeros((blocks.rows, blocks.cols, 2))
    outside = 0
    at = (blocks.left, blocks.low, blocks.cell, ground, spacing, STEP)
    for raw, kind, scale in kept or scan.raw():
        outside += int(take_spread(raw, kind, least, scale, turn, *at, count, total, place))
    points = _heights(blocks, count, total, place, ground, spacing)
    taken = int(count.sum())
    if not len(points):
        complaints.error(file, "", "scan-too-thin", points=taken)
        return None
    complaints.note(
        file, "", "scan-read", points=taken, of=scan.points, left_out=outside, blocks=len(points), block=blocks.cell
    )
    return PointList(points, ("",) * len(points), tuple(range(1, len(points) + 1)))


def _turned(frame: Frame) -> Array:
    return np.array([frame.easting, frame.northing, math.sin(frame.bearing), math.cos(frame.bearing)])


def _ground(lowest: Array, cell: float) -> tuple[Array, float]:
    """Return the ground at the middles of squares, holes filled by the nearest, and how far apart these are. [m]"""
    from courtwright.site.kernels.medians import square_medians

    times = max(1, round(GROUND / cell))
    ground = np.empty((math.ceil(lowest.shape[0] / times), math.ceil(lowest.shape[1] / times)))
    square_medians(lowest, times, ground)
    known = np.isfinite(ground)
    nearest = np.asarray(ndimage.distance_transform_edt(~known, return_distances=False, return_indices=True))
    return ground[nearest[0], nearest[1]], times * cell


def _heights(
    blocks: _Lattice, count: NDArray[np.int32], total: Array, place: Array, ground: Array, spacing: float
) -> Array:
    """Return place and height of every block that has enough points, shape (n, 3). [m]"""
    from courtwright.site.kernels.medians import robust_means

    number = count.sum(axis=2)
    row, col = np.nonzero(number >= LEAST_POINTS)
    above = np.empty(len(row))
    robust_means(count[row, col], total[row, col], STEP, _DEVIATIONS * _USUAL, _LEAST_OFF, above)
    number = number[row, col]
    x, y = (place[row, col] / number[:, None]).T
    base = ndimage.map_coordinates(ground, [y / spacing - 0.5, x / spacing - 0.5], order=1, mode="nearest")
    return np.column_stack([x + blocks.left, y + blocks.low, base + above])
