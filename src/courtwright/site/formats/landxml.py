"""Reads LandXML 1.x: survey points, and the points of surfaces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, BinaryIO

import numpy as np

from courtwright import units
from courtwright.site.complaints import Complaints
from courtwright.site.formats.points_csv import PointList

#: Metres in each linear unit that the standard names (LandXML-1.2, impLinear and metLinear). [m]
_UNITS: Mapping[str, float] = {
    "foot": units.FOOT, "USSurveyFoot": units.US_SURVEY_FOOT, "inch": units.INCH, "mile": 5280 * units.FOOT,
    "meter": 1.0, "millimeter": 0.001, "centimeter": 0.01, "kilometer": 1000.0,
}  # fmt: skip
#: More points than this come from no walk and no court. [-]
_MOST_POINTS = 2_000_000
#: A face with this mark is no part of its surface (LandXML-1.2, F, attribute i).
_INVISIBLE = "1"


@dataclass(slots=True)
class Surface:
    """A surface of triangles: its points by their number, and which of them some visible face uses."""

    name: str
    points: dict[str, tuple[float, float, float]] = field(default_factory=dict[str, tuple[float, float, float]])
    faces: list[tuple[str, str, str]] = field(default_factory=list[tuple[str, str, str]])
    invisible: int = 0


@dataclass(slots=True)
class LandXml:
    """What a LandXML file holds of heights, as written: northing, easting, height. [unit]

    Parameters
    ----------
    unit : float or None
        Metres in its linear unit. [m]
    crs : str or None
        Its coordinate system, as it names it.
    points : list
        Name, northing, easting and height of each survey point; NaN where it has none.
    surfaces : list of Surface
    """

    unit: float | None = None
    crs: str | None = None
    points: list[tuple[str, float, float, float]] = field(default_factory=list[tuple[str, float, float, float]])
    surfaces: list[Surface] = field(default_factory=list[Surface])


def read_landxml(handle: BinaryIO, file: str, complaints: Complaints) -> LandXml | None:
    """Return what a LandXML file holds, or None after saying why it cannot be read.

    Parameters
    ----------
    handle : file
        The file. It is read in parts; entities and document types are refused.
    file : str
        Its name.
    complaints : Complaints
        Takes in what is wrong, with its place.
    """
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    found = LandXml()
    wrong = 0
    try:
        for event, element in iterparse(handle, events=("start", "end"), forbid_dtd=True):
            tag = element.tag.rpartition("}")[2]
            if event == "start":
                if tag == "Surface":
                    found.surfaces.append(Surface(element.get("name") or ""))
                continue
            wrong += not _take(tag, element, found)
            if tag in ("CgPoint", "P", "F", "Surface"):
                element.clear()
            if len(found.points) + sum(len(one.points) for one in found.surfaces) > _MOST_POINTS:
                complaints.error(file, "", "landxml-too-many", most=_MOST_POINTS)
                return None
    except (ParseError, DefusedXmlException, ValueError, LookupError) as error:
        line = getattr(error, "position", (0, 0))[0]
        complaints.error(file, f"line {line}" if line else "", "landxml-damaged")
        return None
    if wrong:
        complaints.error(file, "", "landxml-points-unread", points=wrong)
    return found


def _take(tag: str, element: Any, found: LandXml) -> bool:
    """Take in one element; tell whether it could be read, if it is of those that hold heights."""
    if tag in ("Imperial", "Metric"):
        found.unit = _UNITS.get(element.get("linearUnit") or "")
    elif tag == "CoordinateSystem":
        code = element.get("epsgCode")
        found.crs = f"EPSG:{code}" if code else element.get("name") or element.get("desc") or found.crs
    elif tag == "CgPoint" and element.text and element.text.strip():
        place = _numbers(element.text)
        if place is None:
            return False
        found.points.append((element.get("name") or "", *place))
    elif tag == "P" and found.surfaces and element.get("id"):
        place = _numbers(element.text)
        if place is None:
            return False
        found.surfaces[-1].points[element.get("id")] = place
    elif tag == "F" and found.surfaces:
        corners = (element.text or "").split()
        if element.get("i") == _INVISIBLE:
            found.surfaces[-1].invisible += 1
        elif len(corners) >= 3:
            found.surfaces[-1].faces.append((corners[0], corners[1], corners[2]))
    return True


def _numbers(text: str | None) -> tuple[float, float, float] | None:
    """Return northing, easting and height of a point; NaN for a height that is not there."""
    try:
        given = [float(word) for word in (text or "").split()]
    except ValueError:
        return None
    if len(given) not in (2, 3) or not all(np.isfinite(given)):
        return None
    return given[0], given[1], given[2] if len(given) == 3 else np.nan


def points_of(
    found: LandXml, file: str, system: units.UnitSystem, complaints: Complaints
) -> tuple[PointList, float] | None:
    """Return the points that heights are read from, easting first, and the metres in the file's unit.

    Survey points, else those of a surface; None after saying that there are none.

    Parameters
    ----------
    found : LandXml
        What was read.
    file : str
        Its name.
    system : {"us", "metric"}
        The units of the job, where the file names none.
    complaints : Complaints
        Told which were taken.
    """
    unit = found.unit
    if unit is None:
        unit = units.BARE_LENGTH[system]
        complaints.note(file, "", "landxml-unit", unit=unit)
    if found.points:
        names, rows = tuple(name for name, *_ in found.points), [place for _, *place in found.points]
        if found.surfaces:
            complaints.note(file, "", "landxml-points-taken", points=len(rows), surfaces=len(found.surfaces))
    elif found.surfaces:
        surface = max(found.surfaces, key=lambda one: len(one.points))
        used = {corner for face in surface.faces for corner in face} if surface.faces else set(surface.points)
        names = tuple(name for name in surface.points if name in used)
        rows = [surface.points[name] for name in names]
        complaints.note(file, "", "landxml-surface-taken", name=surface.name, points=len(rows), of=len(found.surfaces))
    else:
        complaints.error(file, "", "landxml-no-heights")
        return None
    northing, easting, height = np.array(rows, dtype=np.float64).reshape(-1, 3).T
    xyz = np.column_stack([easting, northing, height]) * unit
    return PointList(xyz, names, tuple(range(1, len(names) + 1))), unit
