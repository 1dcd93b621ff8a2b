"""Reads and writes height rasters: GeoTIFF, ASCII grids, arrays of numpy."""

from __future__ import annotations

import math
import os
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from courtwright.errors import InputError, OutputError
from courtwright.says import say
from courtwright.site.complaints import Complaints
from courtwright.site.formats import HEAD, kind_of

Heights = NDArray[np.float32] | NDArray[np.float64]

#: A raster with more cells is refused before it is read: two arrays of 8 bytes would be 4 GB. [-]
MOST_CELLS = 250_000_000
#: No height on earth is farther from zero; programs write such numbers for "no data". [m]
_FARTHEST = 12_000.0
#: Numbers that programs write for "no data" without saying so. [m]
_NOTHING = (-9999.0, -32768.0, -32767.0, -3.4028235e38, -1e30)
#: Cells are square when their sides differ by less than this share. [-]
_SQUARE = 1e-6


@dataclass(frozen=True, slots=True)
class Raster:
    """A raster of heights whose values stand at the middles of its cells.

    Parameters
    ----------
    height : ndarray of float32 or float64, shape (rows, cols)
        Heights; NaN where there is no data. [m]
    at_first : tuple of float, shape (2,)
        Place of the node of row 0, column 0. [m]
    per_col, per_row : tuple of float, shape (2,)
        From one node to the next along a row and along a column. [m]
    crs : str or None
        Its reference system as WKT; its own unit may be another than the metre.
    unit : float
        Metres in a unit of that reference system. [m]
    """

    height: Heights
    at_first: tuple[float, float]
    per_col: tuple[float, float]
    per_row: tuple[float, float]
    crs: str | None = None
    unit: float = 1.0

    @property
    def cell_area(self) -> float:
        """Area of a cell. [m²]"""
        return abs(self.per_col[0] * self.per_row[1] - self.per_col[1] * self.per_row[0])

    @property
    def sides(self) -> tuple[float, float]:
        """Lengths of a cell along its row and its column. [m]"""
        return math.hypot(*self.per_col), math.hypot(*self.per_row)

    def place(self, row: float, col: float) -> tuple[float, float]:
        """Return the place of a row and a column, whole or between. [m]"""
        (x, y), (cx, cy), (rx, ry) = self.at_first, self.per_col, self.per_row
        return x + col * cx + row * rx, y + col * cy + row * ry

    def is_square(self) -> bool:
        """Tell whether cells are squares, so that a straightedge may be laid in any direction."""
        along, down = self.sides
        upright = self.per_col[0] * self.per_row[0] + self.per_col[1] * self.per_row[1]
        return abs(along - down) <= _SQUARE * along and abs(upright) <= _SQUARE * along * down


def read_raster(path: Path, cell: float | None, complaints: Complaints) -> Raster:
    """Return a raster of heights.

    Parameters
    ----------
    path : Path
        A GeoTIFF, an ASCII grid, or an array of numpy with two dimensions whose row 0 is y = 0. Known by its content.
    cell : float or None
        Side of a cell where the file does not tell it: always for an array. It wins over what a GeoTIFF tells. [m]
    complaints : Complaints
        Takes in what was chosen.

    Raises
    ------
    InputError
        If the file is none of these, is damaged, holds no height, or does not tell how large its cells are.
    """
    try:
        with path.open("rb") as file:
            head = file.read(HEAD)
    except OSError as error:
        raise _refused(path, "unreadable-path", path=path.name) from error
    kind = kind_of(head)
    if kind == "npy":
        return _checked(_from_array(path, cell), path, complaints)
    if kind == "geotiff":
        return _checked(_from_tiff(path, cell, complaints), path, complaints)
    if head[:64].lstrip().lower().startswith(b"ncols"):
        return _checked(_from_ascii(path), path, complaints)
    raise _refused(path, "no-raster")


def _refused(file: Path, code: str, **values: object) -> InputError:
    return InputError(say(f"site.{code}", **values), where=file.name, fix=say(f"site.{code}-do", **values))


def _from_array(path: Path, cell: float | None) -> Raster:
    if cell is None:
        raise _refused(path, "raster-no-cell")
    try:
        found = np.load(path, mmap_mode="r", allow_pickle=False)
    except (ValueError, OSError, EOFError, SyntaxError, MemoryError) as error:
        raise _refused(path, "raster-damaged") from error
    if found.ndim != 2:
        raise _refused(path, "raster-shape", shape=" x ".join(map(str, found.shape)) or "0")
    _check_size(path, *found.shape)
    if found.dtype.kind not in "fiu":
        raise _refused(path, "raster-no-numbers", kind=str(found.dtype))
    return Raster(_floats(found), (0.0, 0.0), (cell, 0.0), (0.0, cell))


def _check_size(path: Path, rows: int, cols: int) -> None:
    if min(rows, cols) < 1:
        raise _refused(path, "raster-empty")
    if rows * cols > MOST_CELLS:
        raise _refused(path, "raster-too-large", cells=rows * cols, most=MOST_CELLS)


def _floats(values: NDArray[Any]) -> Heights:
    """Return numbers as floats that hold them: what has 16 bits or is a float of 32 stays at 32."""
    if values.dtype.itemsize <= 2 or values.dtype == np.float32:
        return np.array(values, dtype=np.float32)
    return np.array(values, dtype=np.float64)


def _from_ascii(path: Path) -> Raster:
    """Return an ASCII grid; strictly, since a word among the numbers must not pass for a zero."""
    head: dict[str, float] = {}
    try:
        with path.open(encoding="ascii") as file:
            while True:
                at = file.tell()
                words = file.readline().split()
                if len(words) != 2 or not words[0][:1].isalpha():
                    break
                head[words[0].lower()] = float(words[1])
            file.seek(at)
            rows, cols, cell = int(head["nrows"]), int(head["ncols"]), head["cellsize"]
            _check_size(path, rows, cols)
            height = np.loadtxt(file, dtype=np.float64, ndmin=2)
        height = height.reshape(rows, cols)
        x, y = (
            head[f"{axis}llcorner"] + cell / 2 if f"{axis}llcorner" in head else head[f"{axis}llcenter"]
            for axis in "xy"
        )
    except (ValueError, KeyError, OSError, OverflowError, UnicodeDecodeError) as error:
        if isinstance(error, InputError):
            raise
        raise _refused(path, "raster-damaged") from error
    if "nodata_value" in head:
        height[height == head["nodata_value"]] = np.nan
    return Raster(height, (x, y + (rows - 1) * cell), (cell, 0.0), (0.0, -cell))


def _from_tiff(path: Path, cell: float | None, complaints: Complaints) -> Raster:
    """Read by one named driver, so that nothing that opens other files or a network comes near it."""
    import rasterio
    from rasterio.errors import RasterioError, RasterioIOError

    try:
        with warnings.catch_warnings(), rasterio.Env(GDAL_DISABLE_READDIR_ON_OPEN="EMPTY_DIR", GDAL_PAM_ENABLED="NO"):
            warnings.simplefilter("ignore")
            with rasterio.open(path, driver="GTiff") as source:
                return _read(source, path, cell, complaints)
    except (RasterioIOError, RasterioError, ValueError, MemoryError) as error:
        if isinstance(error, InputError):
            raise
        raise _refused(path, "raster-damaged") from error


def _read(source: Any, path: Path, cell: float | None, complaints: Complaints) -> Raster:
    if source.count != 1:
        raise _refused(path, "raster-bands", bands=int(source.count))
    _check_size(path, source.height, source.width)
    if np.dtype(source.dtypes[0]).kind not in "fiu":
        raise _refused(path, "raster-no-numbers", kind=source.dtypes[0])
    height = _floats(source.read(1))
    if source.scales[0] != 1.0 or source.offsets[0] != 0.0:
        height = np.asarray(height, dtype=np.float64) * source.scales[0] + source.offsets[0]
    mask = source.read_masks(1)
    if not mask.all():
        height[mask == 0] = np.nan
    grid, unit = source.transform, 1.0
    if source.crs is not None and cell is None:
        if source.crs.is_geographic:
            raise _refused(path, "raster-degrees")
        unit = float(source.crs.linear_units_factor[1]) if source.crs.is_projected else 1.0
        if unit != 1.0:
            complaints.note(path.name, "", "raster-unit", unit=unit)
    crs = source.crs.to_wkt() if source.crs is not None else None
    if cell is not None:
        size = max(math.hypot(grid.a, grid.d), 1e-300)
        # The file's own directions, the sides that were told.
        per_col, per_row = (grid.a / size * cell, grid.d / size * cell), (grid.b / size * cell, grid.e / size * cell)
        x, y = ((per_col[i] + per_row[i]) / 2 for i in (0, 1))
        return Raster(height, (x, y), per_col, per_row)
    if grid.is_identity:
        raise _refused(path, "raster-no-cell")
    x, y = grid.c + (grid.a + grid.b) / 2, grid.f + (grid.d + grid.e) / 2
    return Raster(
        height, (x * unit, y * unit), (grid.a * unit, grid.d * unit), (grid.b * unit, grid.e * unit), crs, unit
    )


def _checked(raster: Raster, path: Path, complaints: Complaints) -> Raster:
    """Return a raster without numbers that are no heights, telling what was left out."""
    height = raster.height
    if raster.cell_area <= 0 or not math.isfinite(raster.cell_area):
        raise _refused(path, "raster-no-cell")
    for nothing in _NOTHING:
        found = height == height.dtype.type(nothing)
        if found.any():
            height[found] = np.nan
            complaints.note(path.name, "", "raster-nothing", value=nothing, cells=int(found.sum()))
    with np.errstate(invalid="ignore"):
        far = np.abs(height) > _FARTHEST
    if far.any():
        height[far] = np.nan
        complaints.error(path.name, "", "raster-no-height", cells=int(far.sum()))
    if not np.isfinite(height).any():
        raise _refused(path, "raster-empty")
    return raster


def write_levels(raster: Raster, level: Heights, path: Path) -> None:
    """Write levels as a GeoTIFF of one 32-bit float band, in the place and the reference system of a raster.

    Parameters
    ----------
    raster : Raster
        Where its cells are.
    level : ndarray, shape (rows, cols)
        NaN where there is no data. [m]
    path : Path
        The file; replaced only once it is whole.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    import rasterio
    from rasterio.errors import RasterioError
    from rasterio.transform import Affine

    (x, y), (cx, cy), (rx, ry) = raster.place(-0.5, -0.5), raster.per_col, raster.per_row
    grid = Affine(*(value / raster.unit for value in (cx, rx, x, cy, ry, y)))
    rows, cols = level.shape
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with warnings.catch_warnings(), rasterio.Env(GDAL_PAM_ENABLED="NO"):
            warnings.simplefilter("ignore")
            with rasterio.open(
                beside, "w", driver="GTiff", width=cols, height=rows, count=1, dtype="float32", nodata=math.nan,
                transform=grid, crs=raster.crs, compress="deflate", predictor=3, tiled=min(rows, cols) >= 512,
                bigtiff="if_safer",
            ) as file:  # fmt: skip
                file.write(level.astype(np.float32, copy=False), 1)
        beside.replace(path)
    except (OSError, RasterioError) as error:
        beside.unlink(missing_ok=True)
        detail = error.strerror if isinstance(error, OSError) and error.strerror else type(error).__name__
        raise OutputError(
            say("site.raster-unwritten", detail=detail), str(path), say("site.raster-unwritten-do")
        ) from error
