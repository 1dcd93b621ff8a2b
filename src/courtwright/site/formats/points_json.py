"""Reads the heights of GeoJSON and JSON-FG: features whose places have a third coordinate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from courtwright import units
from courtwright.site.complaints import Complaints
from courtwright.site.formats.json_text import Broken, read
from courtwright.site.formats.points_csv import PointList
from courtwright.site.formats.text import decoded

_UNITS = {"us": units.FOOT, "metric": 1.0}


def read_json_points(
    data: bytes, file: str, system: units.UnitSystem, complaints: Complaints
) -> tuple[PointList, str | None, float] | None:
    """Return the points of a feature collection, its coordinate system and the metres in its unit.

    Parameters
    ----------
    data : bytes
        The file.
    file : str
        Its name.
    system : {"us", "metric"}
        The units of the job, where the file names none.
    complaints : Complaints
        Takes in what is wrong.

    Notes
    -----
    Without a coordinate system places are those of the pad's frame, as those of marks are, in the file's ``units``.
    JSON-FG (OGC 21-045) tells its system in ``coordRefSys`` and its places in ``place``.
    """
    content: Any = read(decoded(data) or "")
    if isinstance(content, Broken):
        complaints.error(file, f"line {content.line}", "json-points-cut", features=len(content.features))
        content = {"features": list(content.features), "units": content.units or system}
    features = content.get("features") if isinstance(content, dict) else None
    if not isinstance(features, list):
        complaints.error(file, "", "json-no-features")
        return None
    crs = content.get("coordRefSys")
    unit, name = _UNITS.get(content.get("units", system), units.FOOT), None
    if crs is not None:
        known = _crs(crs)
        if known is None or known.is_geographic:
            complaints.error(file, "coordRefSys", "scan-degrees" if known is not None else "json-crs-unknown")
            return None
        unit, name = float(known.axis_info[0].unit_conversion_factor), str(known.name)
    rows: list[tuple[float, float, float]] = []
    names: list[str] = []
    flat: list[int] = []
    for number, feature in enumerate(features, 1):
        shape = feature.get("place") or feature.get("geometry") if isinstance(feature, dict) else None
        places = list(_places(shape.get("coordinates"))) if isinstance(shape, dict) else []
        if not places:
            flat.append(number)
            continue
        told = feature.get("properties")
        own = told.get("point") if isinstance(told, dict) else None
        rows += places
        names += [str(own or feature.get("id") or "")] * len(places)
    if flat:
        complaints.error(file, f"feature {flat[0]}", "json-no-height", features=len(flat))
    if not rows:
        complaints.error(file, "", "json-no-features")
        return None
    xyz = np.array(rows, dtype=np.float64) * unit
    return PointList(xyz, tuple(names), tuple(range(1, len(xyz) + 1))), name, unit


def _crs(given: Any) -> Any:
    """Return the coordinate system that ``coordRefSys`` names by a URI, a CURIE or a list of one; None: unknown."""
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    text = given[0] if isinstance(given, list) and given else given
    if not isinstance(text, str):
        return None
    try:
        code = text.strip("[]").removeprefix("http://www.opengis.net/def/crs/").replace("/0/", ":").replace("/", ":")
        return CRS.from_user_input(code)
    except CRSError:
        return None


def _places(given: Any) -> Iterator[tuple[float, float, float]]:
    """Yield the places with a height among coordinates of any depth."""
    if not isinstance(given, list):
        return
    if given and all(isinstance(value, int | float) and not isinstance(value, bool) for value in given):
        if len(given) >= 3 and all(np.isfinite(given[:3])):
            yield float(given[0]), float(given[1]), float(given[2])
        return
    for part in given:
        yield from _places(part)
