"""Reads the heights of a DXF drawing: points first, else the corners of lines, polylines and faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from courtwright import units
from courtwright.site.complaints import Complaints
from courtwright.site.formats.points_csv import PointList

#: Metres in each unit of a drawing ($INSUNITS, DXF reference, header variables). [m]
_UNITS: Mapping[int, float] = {
    1: units.INCH, 2: units.FOOT, 4: 0.001, 5: 0.01, 6: 1.0, 21: units.US_SURVEY_FOOT,
}  # fmt: skip
_MOST_POINTS = 500_000
#: What holds heights, in the order in which it is taken: what stands first wins.
_POINTS = ("POINT", "INSERT")
_CORNERS = ("3DFACE", "POLYLINE", "LWPOLYLINE", "LINE", "MESH")


def read_dxf(path: Path, file: str, system: units.UnitSystem, complaints: Complaints) -> tuple[PointList, float] | None:
    """Return the points of a drawing and the metres in its unit, or None after saying why there are none.

    Parameters
    ----------
    path : Path
        A DXF file, text or binary, of any release; a damaged one is mended where that can be done.
    file : str
        Its name.
    system : {"us", "metric"}
        The units of the job, where the drawing names none.
    complaints : Complaints
        Takes in what is wrong, and what was taken.
    """
    from ezdxf.lldxf.const import DXFError

    try:
        drawing, mended = _opened(path)
        space = drawing.modelspace()
        counted = {kind: len(space.query(kind)) for kind in (*_POINTS, *_CORNERS)}
        kinds = next((group for group in (_POINTS, _CORNERS) if any(counted[kind] for kind in group)), ())
        points = np.array(list(_corners(space, kinds)), dtype=np.float64).reshape(-1, 3)
        code = int(drawing.header.get("$INSUNITS", 0) or 0)
    except (DXFError, OSError, ValueError, LookupError, TypeError, AttributeError) as error:
        del error
        complaints.error(file, "", "dxf-damaged")
        return None
    if mended:
        complaints.note(file, "", "dxf-mended", places=mended)
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) > _MOST_POINTS:
        complaints.error(file, "", "dxf-too-many", points=len(points), most=_MOST_POINTS)
        return None
    if not len(points) or not points[:, 2].any():
        complaints.error(file, "", "dxf-no-heights", points=len(points))
        return None
    unit = _UNITS.get(code)
    if unit is None:
        unit = units.BARE_LENGTH[system]
        complaints.note(file, "", "dxf-unit", unit=unit)
    xyz = np.unique(points, axis=0) * unit
    complaints.note(file, "", "dxf-taken", points=len(xyz), kinds=", ".join(kind for kind in kinds if counted[kind]))
    return PointList(xyz, ("",) * len(xyz), tuple(range(1, len(xyz) + 1))), unit


def _opened(path: Path) -> tuple[Any, int]:
    """Return a drawing and in how many places it was mended; a binary one is read as it is or not at all."""
    import ezdxf
    from ezdxf import recover

    with path.open("rb") as file:
        is_binary = file.read(18) == b"AutoCAD Binary DXF"
    if is_binary:
        return ezdxf.readfile(path), 0  # type: ignore[reportPrivateImportUsage] – ezdxf gives it away at its top
    drawing, auditor = recover.readfile(path)
    return drawing, len(auditor.errors) + len(auditor.fixes)


def _corners(space: Any, kinds: tuple[str, ...]) -> Iterator[tuple[float, float, float]]:
    for kind in kinds:
        for entity in space.query(kind):
            yield from _places(kind, entity)


def _places(kind: str, entity: Any) -> Iterator[tuple[float, float, float]]:
    if kind == "POINT":
        yield tuple(entity.dxf.location)
    elif kind == "INSERT":
        yield tuple(entity.dxf.insert)
    elif kind == "LINE":
        yield tuple(entity.dxf.start)
        yield tuple(entity.dxf.end)
    elif kind == "3DFACE":
        yield from (tuple(corner) for corner in entity.wcs_vertices())
    elif kind == "LWPOLYLINE":
        yield from (tuple(corner) for corner in entity.vertices_in_wcs())
    elif kind == "MESH":
        yield from (tuple(corner) for corner in entity.vertices)
    else:
        yield from (tuple(corner) for corner in entity.points_in_wcs())
