"""Reads ``[pad.columns]``: what a person told of the columns of a point list whose heading nobody knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from courtwright import units
from courtwright.site.formats.fields import Fields

#: What may part columns, and what may mark decimals, by the words of ``site.toml``.
DELIMITERS: Mapping[str, str] = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "blank": " "}
DECIMALS: Mapping[str, Literal[".", ","]] = {"point": ".", "comma": ","}
#: Length of each unit that a column may be told in. [m]
UNITS: Mapping[str, float] = {
    "ft": units.FOOT,
    "us-survey-ft": units.US_SURVEY_FOOT,
    "m": 1.0,
    "in": units.INCH,
    "cm": 0.01,
    "mm": 0.001,
}
#: No list has more columns, nor so long a heading. [-]
MOST_COLUMNS, MOST_LINES = 200, 1000
_KEYS = (
    *("easting", "northing", "elevation", "point", "heading_lines"),
    *("delimiter", "decimal", "unit", "height_unit", "frame"),
)


@dataclass(frozen=True, slots=True)
class ToldColumns:
    """What was told of a list; None where its writing speaks for itself.

    Parameters
    ----------
    easting, northing, elevation, point : int or None
        Which column, from 0. [-]
    heading_lines : int
        So many lines stand before the first point. [-]
    delimiter : str or None
        What parts columns; a blank stands for any run of blanks.
    decimal : {".", ","} or None
        The decimal mark.
    unit, height_unit : float or None
        Length of the unit of places and of heights. [m]
    is_survey : bool
        Whether the places are those of a survey, in which ``[pad.place]`` tells where the pad lies.
    """

    easting: int
    northing: int
    elevation: int
    point: int | None = None
    heading_lines: int = 0
    delimiter: str | None = None
    decimal: Literal[".", ","] | None = None
    unit: float | None = None
    height_unit: float | None = None
    is_survey: bool = False


def read_told_columns(fields: Fields) -> ToldColumns | None:
    """Return what a table tells of the columns of a list, or None after saying what it lacks.

    Parameters
    ----------
    fields : Fields
        The table ``[pad.columns]``; an empty one tells nothing.
    """
    if not fields.table:
        return None
    fields.refuse_others(_KEYS)
    numbers = {key: fields.number(key, 1, MOST_COLUMNS) for key in ("easting", "northing", "elevation", "point")}
    lines = fields.number("heading_lines", 0, MOST_LINES)
    easting, northing, elevation = (numbers[key] for key in ("easting", "northing", "elevation"))
    needed = (easting, northing, elevation)
    if easting is None or northing is None or elevation is None or len(set(needed)) < len(needed):
        fields.complaints.error(fields.file, fields.at, "columns-lack")
        return None
    delimiter, decimal = fields.word("delimiter", DELIMITERS), fields.word("decimal", DECIMALS)
    unit, height_unit = fields.word("unit", UNITS), fields.word("height_unit", UNITS)
    point = numbers["point"]
    return ToldColumns(
        int(easting) - 1,
        int(northing) - 1,
        int(elevation) - 1,
        None if point is None else int(point) - 1,
        int(lines or 0),
        None if delimiter is None else DELIMITERS[delimiter],
        None if decimal is None else DECIMALS[decimal],
        None if unit is None else UNITS[unit],
        None if height_unit is None else UNITS[height_unit],
        fields.word("frame", ("pad", "survey")) == "survey",
    )
