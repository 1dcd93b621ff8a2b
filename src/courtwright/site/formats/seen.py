"""What a reader saw of a survey file besides its points: told to the person who chooses it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(slots=True)
class Seen:
    """Filled in by the reader, as far as it comes.

    Parameters
    ----------
    points : int
        How many the file holds. [-]
    unit, height_unit : float or None
        Length of the unit that was taken for places and for heights. [m]
    crs : str or None
        Name of the file's coordinate system.
    extent : tuple of float or None, shape (4,)
        West, south, east and north of the points, as the file counts them. [unit of the file]
    """

    points: int = 0
    unit: float | None = None
    height_unit: float | None = None
    crs: str | None = None
    extent: tuple[float, float, float, float] | None = None

    def take(
        self, xyz: NDArray[np.float64], unit: float, height_unit: float | None = None, crs: str | None = None
    ) -> None:
        """Take in points, shape (n, 3) [m], with the units [m] and the coordinate system that they are written in."""
        self.points, self.unit, self.height_unit, self.crs = len(xyz), unit, height_unit or unit, crs
        if len(xyz):
            (west, south), (east, north) = xyz[:, :2].min(axis=0) / unit, xyz[:, :2].max(axis=0) / unit
            self.extent = (float(west), float(south), float(east), float(north))
