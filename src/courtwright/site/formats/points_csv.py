"""Reads a point list: one shot a row, in any order of columns, parted and written in any usual way."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from courtwright import units
from courtwright.site.complaints import Complaints, short
from courtwright.site.formats.columns import (
    Column,
    Writing,
    column_unit_of,
    header_of,
    order_of,
    unit_of,
    writing_of,
)
from courtwright.site.formats.seen import Seen
from courtwright.site.formats.text import decoded
from courtwright.site.formats.told_columns import ToldColumns

#: Rows looked at to work out how a list is written.
_SAMPLE = 200
#: More unreadable rows than this are told in one complaint.
_MOST_ROWS_TOLD = 1000
#: What a column of readings of a rotating laser's rod is called; a larger reading is lower.
_RODS = frozenset({"rod", "staff", "mira"})
_REMARKS = ("#", "//", "!")
_NO_ELEVATION = frozenset({"", "-", "--", "n/a", "na", "none", "null", "*"})
#: No coordinate on earth is larger. [m or ft]
_FARTHEST = 1e9
#: A list without a header counts as lying on the pad when so much of it does. [-]
_MOSTLY = 0.5
#: One order of columns is taken by place when so much more of the list lies on the pad than by the other. [-]
_CLEARLY = 0.1


@dataclass(frozen=True, slots=True)
class PointList:
    """The points of a list, in metres, easting first.

    Parameters
    ----------
    xyz : ndarray, shape (n, 3)
        Easting, northing, height; NaN where a point has no height. [m]
    names : tuple of str
        Point names; empty texts where the list has none.
    lines : tuple of int
        The line of each point in its file. [-]
    """

    xyz: NDArray[np.float64]
    names: tuple[str, ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Layout:
    way: Writing
    columns: dict[Column, int]
    scale: tuple[float, float, float]
    has_header: bool
    skip: int


def read_points(
    data: bytes,
    file: str,
    system: units.UnitSystem,
    outline: Polygon,
    complaints: Complaints,
    told: ToldColumns | None = None,
    seen: Seen | None = None,
) -> PointList | None:
    """Return the points of a list, or None when it holds none.

    Parameters
    ----------
    data : bytes
        The file.
    file : str
        Its name.
    system : {"us", "metric"}
        The units of the job, where the list names none.
    outline : Polygon
        The pad, by which northing and easting are told apart in a list without a header. [m]
    complaints : Complaints
        Takes in every row that cannot be read, and what was chosen.
    told : ToldColumns or None
        What a person told of the columns; the heading does not count then.
    seen : Seen or None
        Takes in how many points there are, and in which units.

    Returns
    -------
    PointList or None
        In the file's order.
    """
    text = decoded(data)
    if text is None:
        complaints.error(file, "", "no-points")
        return None
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip(" \t,;")]
    remarks = [line for _, line in lines if line.lstrip().startswith(_REMARKS)]
    lines = [(number, line) for number, line in lines if not line.lstrip().startswith(_REMARKS)]
    layout = _told_layout(lines, told, system) if told else _layout(lines, remarks, file, system, complaints)
    if layout is None:
        return None
    if told is None:
        _tell_what_stands_before(lines[: layout.skip - layout.has_header], file, complaints)
    points = _points(lines[layout.skip :], layout, file, complaints)
    if points is not None and not layout.has_header:
        points = _by_place(points, outline, file, complaints)
    if points is not None and seen is not None:
        seen.take(points.xyz, layout.scale[0], abs(layout.scale[2]))
    return points


def _told_layout(lines: Sequence[tuple[int, str]], told: ToldColumns, system: units.UnitSystem) -> _Layout:
    """Return how a list is written as a person told it; what was not told is as most rows have it."""
    skip = sum(number <= told.heading_lines for number, _ in lines)
    own = writing_of([line for _, line in lines[skip : skip + _SAMPLE]]) or Writing(",", ".")
    way = Writing(told.delimiter or own.delimiter, told.decimal or own.decimal)
    columns: dict[Column, int] = {
        "easting": told.easting,
        "northing": told.northing,
        "elevation": told.elevation,
        **({} if told.point is None else {"point": told.point}),
    }
    unit = told.unit or units.BARE_LENGTH[system]
    return _Layout(way, columns, (unit, unit, told.height_unit or unit), has_header=True, skip=skip)


def _layout(
    lines: Sequence[tuple[int, str]],
    remarks: Sequence[str],
    file: str,
    system: units.UnitSystem,
    complaints: Complaints,
) -> _Layout | None:
    sample = [line for _, line in lines[:_SAMPLE]]
    way = writing_of(sample)
    if way is None:
        complaints.error(file, "", "no-points")
        return None
    rows = [_cells(way, line) for line in sample]
    first = next(i for i, row in enumerate(rows) if sum(way.number(c) is not None for c in row) >= 3)
    at = next((i for i in range(first) if header_of(rows[i])), None)
    header = rows[at] if at is not None else []
    scale = unit_of([*header, *remarks]) or units.BARE_LENGTH[system]
    if at is None:
        columns = order_of(rows[first:], way)
        if columns is None:
            complaints.error(file, "", "no-points")
        return None if columns is None else _Layout(way, columns, (scale, scale, scale), has_header=False, skip=first)
    columns = header_of(header) or {}
    rod = next((i for i, cell in enumerate(header) if _is_rod(cell)), None)
    is_rod = rod is not None and "elevation" not in columns
    if rod is not None and is_rod:
        columns["elevation"] = rod
    missing = [name for name in ("northing", "easting", "elevation") if name not in columns]
    if missing:
        complaints.error(file, f"line {lines[at][0]}", "header-lacks", missing=", ".join(missing))
        return None
    scales = (column_unit_of(header[columns[name]]) or scale for name in ("easting", "northing", "elevation"))
    east, north, up = scales
    return _Layout(way, columns, (east, north, -up if is_rod else up), has_header=True, skip=at + 1)


def _is_rod(heading: str) -> bool:
    """Whether a column holds rods; its unit may stand behind the word."""
    return re.split(r"[\s_(\[]", heading.strip().lower(), maxsplit=1)[0] in _RODS


def _cells(way: Writing, line: str) -> list[str]:
    try:
        return way.cells(line)
    except csv.Error:
        return []


def _tell_what_stands_before(lines: Sequence[tuple[int, str]], file: str, complaints: Complaints) -> None:
    for number, line in lines:
        complaints.note(file, f"line {number}", "row-passed-over", given=short(line))


def _points(lines: Sequence[tuple[int, str]], layout: _Layout, file: str, complaints: Complaints) -> PointList | None:
    places: list[tuple[float, float, float]] = []
    names: list[str] = []
    numbers: list[int] = []
    unread: list[int] = []
    for number, line in lines:
        row = _row(_cells(layout.way, line), layout)
        if isinstance(row, str):
            unread.append(number)
            if len(unread) <= _MOST_ROWS_TOLD:
                complaints.error(file, f"line {number}", row, given=short(line))
            continue
        place, name = row
        places.append(place)
        names.append(name)
        numbers.append(number)
    if len(unread) > _MOST_ROWS_TOLD:
        rest = unread[_MOST_ROWS_TOLD:]
        complaints.error(file, f"lines {rest[0]} to {rest[-1]}", "rows-unread", rows=len(rest))
    if not places:
        complaints.error(file, "", "no-points")
        return None
    return PointList(np.array(places, dtype=np.float64) * np.array(layout.scale), tuple(names), tuple(numbers))


def _row(cells: list[str], layout: _Layout) -> tuple[tuple[float, float, float], str] | str:
    """Return a row's place and name, or the code of what is wrong with it."""
    columns = layout.columns
    if len(cells) <= max(columns["northing"], columns["easting"]):
        return "row-short"
    x, y = (layout.way.number(cells[columns[name]]) for name in ("easting", "northing"))
    height = cells[columns["elevation"]] if len(cells) > columns["elevation"] else None
    if height is None:
        return "row-short"
    z = np.nan if height.lower() in _NO_ELEVATION else layout.way.number(height)
    if x is None or y is None or z is None or abs(x) > _FARTHEST or abs(y) > _FARTHEST or abs(z) > _FARTHEST:
        return "row-unread"
    point = columns.get("point")
    return (x, y, z), cells[point] if point is not None and point < len(cells) else ""


def _by_place(points: PointList, outline: Polygon, file: str, complaints: Complaints) -> PointList:
    """Tell northing from easting by where the pad is, and ask when that does not settle it."""
    swapped = points.xyz[:, [1, 0, 2]]
    as_is, other = _share_on(outline, points.xyz), _share_on(outline, swapped)
    if other > max(as_is + _CLEARLY, _MOSTLY):
        complaints.note(file, "", "order-by-place", share=other)
        return PointList(swapped, points.names, points.lines)
    if other > max(as_is - _CLEARLY, _MOSTLY) and not np.allclose(swapped, points.xyz, equal_nan=True):
        complaints.note(file, "", "order-not-told")
    return points


def _share_on(outline: Polygon, xyz: NDArray[np.float64]) -> float:
    """Return the share of points on the pad or within reach of it."""
    return float(np.mean(shapely.dwithin(outline, shapely.points(xyz[:, :2]), 0.6)))
