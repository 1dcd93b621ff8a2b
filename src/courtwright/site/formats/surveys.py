"""Reads the heights of a pad from what surveyors hand over: scans, rasters, LandXML, drawings, layers."""

from __future__ import annotations

import contextlib
import shutil
import struct
import tempfile
from collections.abc import Generator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from courtwright import units
from courtwright.errors import InputError
from courtwright.site.complaints import Complaints
from courtwright.site.files import SiteFiles
from courtwright.site.formats.points_csv import PointList
from courtwright.site.formats.seen import Seen
from courtwright.site.frames import Frame, frame_of
from courtwright.site.record import Pad

if TYPE_CHECKING:
    from courtwright.site.formats.raster import Raster

#: Kinds of file that are read here, by their content.
SURVEYS = ("las", "geotiff", "landxml", "dxf", "geopackage", "shapefile", "json")
SITE = "site.toml"
#: Larger ones are not opened: fifty million points take 1.7 GB. [bytes]
LARGEST = {"las": 4_000_000_000, "geotiff": 2_000_000_000, "landxml": 200_000_000}
_LARGEST_OTHER = 50_000_000
#: Where the head of a scan tells its extent. [bytes]
_EXTENT_AT = 179
#: What lies beside a shapefile and belongs to it.
_BESIDE = (".shx", ".dbf", ".prj", ".cpg")
#: A raster has no more cells on a pad than this; more are thinned evenly. [-]
_MOST_CELLS = 40_000
#: So much ground around the pad counts. [m]
_MARGIN = 0.3


def surveyed(
    files: SiteFiles,
    name: str,
    kind: str,
    pad: Pad,
    at: str,
    system: units.UnitSystem,
    complaints: Complaints,
    seen: Seen | None = None,
) -> PointList | None:
    """Return the points of a survey that lie about a pad, in its frame, or None after saying why there are none.

    Parameters
    ----------
    files : SiteFiles
        The site's files.
    name, kind : str
        The file, and what it is.
    pad : Pad
        The pad: its outline, and where it lies in the survey.
    at : str
        Where ``site.toml`` tells that.
    system : {"us", "metric"}
        The units of the job, where the file names none.
    complaints : Complaints
        Takes in what is wrong and what was chosen.
    seen : Seen or None
        Takes in what the file holds, whether or not it can be placed.

    Notes
    -----
    A file with a coordinate system needs ``[pad.place]``. One without lies in the pad's own frame, unless a place is
    told.
    """
    most = LARGEST.get(kind, _LARGEST_OTHER)
    if files.size(name) > most:
        complaints.error(name, "", "too-large", megabytes=files.size(name) / 1e6, most=most / 1e6)
        return None
    read = {"las": _scan, "geotiff": _raster, "landxml": _landxml, "dxf": _drawing, "json": _features}.get(
        kind, _layers
    )
    try:
        return read(files, name, pad, at, system, complaints, seen or Seen())
    except OSError:
        complaints.error(name, "", "unreadable-file")
        return None


def _scan(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.las import open_scan
    from courtwright.site.scans import scanned

    with files.open(name) as handle:
        scan = open_scan(handle, name, system, complaints)
        if scan is None:
            return None
        seen.points, seen.unit, seen.height_unit, seen.crs = scan.points, scan.unit, scan.height_unit, scan.crs
        seen.extent = _scan_extent(files, name)
        is_placed, frame = _frame(pad, scan.crs, scan.unit, name, at, system, complaints)
        return scanned(scan, frame, pad.outline, name, complaints) if is_placed else None


def _scan_extent(files: SiteFiles, name: str) -> tuple[float, float, float, float] | None:
    """Return west, south, east and north as the head of a scan tells them, or None where it tells none.

    References
    ----------
    ASPRS, "LAS Specification 1.4 - R15", 2019, table 3.
    """
    with files.open(name) as handle:
        head = handle.read(_EXTENT_AT + 32)
    east, west, north, south = struct.unpack_from("<4d", head, _EXTENT_AT)
    return (west, south, east, north) if np.isfinite((west, south, east, north)).all() else None


def _raster(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.raster import read_raster

    with _on_disk(files, name) as path:
        try:
            raster = read_raster(path, None, complaints)
        except InputError as error:
            problem, fix = error.problem, error.fix or error.problem
            complaints.add("error", name, "", problem.id.removeprefix("site."), problem, fix)
            return None
    crs = raster.crs.split('"')[1] if raster.crs else None
    _see(raster, crs, seen)
    is_placed, frame = _frame(pad, crs, raster.unit, name, at, system, complaints)
    if not is_placed:
        return None
    row, col = np.nonzero(np.isfinite(raster.height))
    x, y = raster.place(0, 0)
    xyz = np.column_stack(
        [
            x + col * raster.per_col[0] + row * raster.per_row[0],
            y + col * raster.per_col[1] + row * raster.per_row[1],
            raster.height[row, col].astype(np.float64),
        ]
    )
    points = _about(frame.to_pad(xyz) if frame else xyz, pad.outline)
    if len(points) > _MOST_CELLS:
        kept = points[:: -(-len(points) // _MOST_CELLS)]
        complaints.note(name, "", "raster-thinned", cells=len(points), kept=len(kept))
        points = kept
    if not len(points):
        complaints.error(name, "", "scan-off-pad", points=len(xyz))
        return None
    return PointList(points, ("",) * len(points), tuple(range(1, len(points) + 1)))


def _see(raster: Raster, crs: str | None, seen: Seen) -> None:
    """Tell what a raster holds by its corners, without making a point of each cell."""
    rows, cols = raster.height.shape
    corners = np.array([raster.place(row, col) for row in (0, rows - 1) for col in (0, cols - 1)])
    seen.take(np.column_stack([corners, np.zeros(4)]), raster.unit, 1.0, crs)
    seen.points = int(np.isfinite(raster.height).sum())


def _about(xyz: np.ndarray, outline: Polygon) -> np.ndarray:
    near = outline.buffer(_MARGIN)
    shapely.prepare(near)
    return xyz[shapely.intersects_xy(near, xyz[:, 0], xyz[:, 1])]


def _landxml(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.landxml import points_of, read_landxml

    with files.open(name) as handle:
        found = read_landxml(handle, name, complaints)
    read = points_of(found, name, system, complaints) if found else None
    return _placed(found and read and (read[0], found.crs, read[1]), pad, name, at, system, complaints, seen)


def _drawing(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.points_dxf import read_dxf

    with _on_disk(files, name) as path:
        found = read_dxf(path, name, system, complaints)
    return _placed(found and (found[0], None, found[1]), pad, name, at, system, complaints, seen)


def _features(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.points_json import read_json_points

    with files.open(name) as handle:
        found = read_json_points(handle.read(), name, system, complaints)
    return _placed(found, pad, name, at, system, complaints, seen)


def _layers(
    files: SiteFiles, name: str, pad: Pad, at: str, system: units.UnitSystem, complaints: Complaints, seen: Seen
) -> PointList | None:
    from courtwright.site.formats.points_layers import read_layers

    with _on_disk(files, name) as path:
        found = read_layers(path, name, complaints)
    return _placed(found, pad, name, at, system, complaints, seen)


def placed_list(
    points: PointList, unit: float, pad: Pad, name: str, at: str, system: units.UnitSystem, complaints: Complaints
) -> PointList | None:
    """Return the points of a list [m] that stands in a survey's coordinates, of that unit [m], in the pad's frame.

    None after saying why it cannot be placed.
    """
    if pad.place is None:
        complaints.error(SITE, at, "place-lacks")
        return None
    return _placed((points, None, unit), pad, name, at, system, complaints, Seen())


def _placed(
    found: tuple[PointList, str | None, float] | None,
    pad: Pad,
    name: str,
    at: str,
    system: units.UnitSystem,
    complaints: Complaints,
    seen: Seen,
) -> PointList | None:
    """Return points in the pad's frame; found with the name of their coordinate system and its unit [m]."""
    if found is None:
        return None
    points, crs, unit = found
    seen.take(points.xyz, unit, crs=crs)
    is_placed, frame = _frame(pad, crs, unit, name, at, system, complaints)
    if not is_placed:
        return None
    return PointList(frame.to_pad(points.xyz), points.names, points.lines) if frame else points


def _frame(
    pad: Pad, crs: str | None, unit: float, name: str, at: str, system: units.UnitSystem, complaints: Complaints
) -> tuple[bool, Frame | None]:
    """Return whether a survey can be placed, and where the pad lies in it; None: it is in the pad's own frame."""
    if pad.place is None:
        if crs is not None:
            complaints.error(name, "", "crs-without-place", crs=crs)
        return crs is None, None
    frame = frame_of(pad.place, unit, units.BARE_LENGTH[system], at, SITE, complaints)
    return frame is not None, frame


@contextlib.contextmanager
def _on_disk(files: SiteFiles, name: str) -> Generator[Path]:
    """Give a file a place on the disk, for a library that opens it by its path."""
    with tempfile.TemporaryDirectory(prefix="courtwright-") as folder:
        path = Path(folder, Path(name).name)
        stem = name.rpartition(".")[0]
        beside = {f"{stem}{end}".lower() for end in _BESIDE}
        for one in (name, *(other for other in files.names() if other.lower() in beside)):
            with files.open(one) as handle, Path(folder, Path(one).name).open("wb") as copy:
                shutil.copyfileobj(handle, copy)
        yield path
