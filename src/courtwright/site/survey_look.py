"""Looks at one survey file as the heights of one pad, before anybody takes it: what it is, and what would be read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from courtwright.site.complaints import Complaints
from courtwright.site.files import SiteFiles
from courtwright.site.folder import SITE, read_heights
from courtwright.site.formats import HEAD, kind_of
from courtwright.site.formats.columns import Column, Writing, header_of, order_of, writing_of
from courtwright.site.formats.seen import Seen
from courtwright.site.formats.sheet import read_sheet
from courtwright.site.formats.site_toml import read_tables
from courtwright.site.formats.text import decoded
from courtwright.site.formats.told_columns import MOST_LINES, ToldColumns
from courtwright.site.record import Complaint, Shots
from courtwright.site.shots import shots_of

#: So much of a list is looked at and shown. [bytes], [-], [-], [characters]
_MOST_SHOWN, _ROWS, _COLUMNS, _LONGEST = 200_000, 8, 30, 40


@dataclass(frozen=True, slots=True)
class ListSeen:
    """How a point list is written, as far as it can be told by looking.

    Parameters
    ----------
    rows : tuple of tuple of str
        The first rows, cell by cell.
    lines : tuple of int
        Their lines in the file. [-]
    way : Writing
        What parts its columns, and its decimal mark.
    heading_lines : int
        So many lines stand before the first row of three numbers. [-]
    columns : mapping of str to int
        Which column is which, from 0, where that can be told. [-]
    """

    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    way: Writing
    heading_lines: int
    columns: dict[Column, int]


@dataclass(frozen=True, slots=True)
class SurveyLook:
    """What a survey file would be as the heights of a pad.

    Parameters
    ----------
    kind : str
        What it is, by its content.
    system : {"us", "metric"}
        The units of the job.
    seen : Seen
        How many points it holds, in which units.
    shots : Shots or None
        The heights of the pad that would be used. [m]
    off : ndarray, shape (n, 3)
        Points that lie off the pad, where none lies on it. [m]
    listed : ListSeen or None
        How it is written, where it is a list.
    complaints : tuple of Complaint
        What is wrong with the file, and what was chosen.
    """

    kind: str
    system: Literal["us", "metric"]
    seen: Seen
    shots: Shots | None
    off: NDArray[np.float64] = field(default_factory=lambda: np.empty((0, 3)))
    listed: ListSeen | None = None
    complaints: tuple[Complaint, ...] = ()


def look_at(files: SiteFiles, name: str) -> SurveyLook | None:
    """Return what a file would be as the heights of the first pad of a site; None where that has no outline.

    Parameters
    ----------
    files : SiteFiles
        The site with the file.
    name : str
        Which of them.
    """
    with files.open(SITE) as handle:
        sheet = read_sheet(read_tables(handle.read(), SITE, Complaints()), SITE, Complaints())
    system = sheet.record.job.units
    told = next((one for one in sheet.pads if one.pad is not None), None)
    if told is None or told.pad is None:
        return None
    with files.open(name) as handle:
        head = handle.read(_MOST_SHOWN)
    kind = kind_of(head[:HEAD])
    complaints, seen = Complaints(), Seen()
    points = read_heights(files, name, told, told.pad, system, complaints, seen)
    shots = None if points is None else shots_of(points, told.pad.outline, name, complaints)
    off = points.xyz if points is not None and shots is None else np.empty((0, 3))
    listed = _listed(head, told.columns) if kind == "text" else None
    return SurveyLook(kind, system, seen, shots, off, listed, complaints.found())


def _listed(head: bytes, told: ToldColumns | None) -> ListSeen | None:
    text = decoded(head) or decoded(head[:-1]) or decoded(head[:-2]) or decoded(head[:-3])
    if text is None:
        return None
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()][:MOST_LINES]
    if not lines:
        return None
    guessed = writing_of([line for _, line in lines[:200]]) or Writing(",", ".")
    if told is not None:
        guessed = Writing(told.delimiter or guessed.delimiter, told.decimal or guessed.decimal)
    rows = [(number, guessed.cells(line)) for number, line in lines[:200]]
    first = next((i for i, (_, row) in enumerate(rows) if _numbers(row, guessed) >= 3), 0)
    heading = next((row for _, row in rows[:first] if header_of(row)), None)
    columns = header_of(heading) if heading else order_of([row for _, row in rows[first:]], guessed)
    shown = rows[max(0, first - 2) : max(0, first - 2) + _ROWS]
    return ListSeen(
        tuple(tuple(cell[:_LONGEST] for cell in row[:_COLUMNS]) for _, row in shown),
        tuple(number for number, _ in shown),
        guessed,
        rows[first][0] - 1,
        columns or {},
    )


def _numbers(row: list[str], way: Writing) -> int:
    return sum(way.number(cell) is not None for cell in row)
