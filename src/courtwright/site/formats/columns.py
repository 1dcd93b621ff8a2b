"""Works out how a point list is written: what parts its columns, its decimal mark, which column is which."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from courtwright import units

Column = Literal["point", "northing", "easting", "elevation", "description"]
#: The order of the contract, which a list without a header is taken to have.
ORDER: tuple[Column, ...] = ("point", "northing", "easting", "elevation", "description")

_WORDS: dict[Column, str] = {
    "point": "point points pnt pt p id no num number name nr station pointid pointno pointnumber pointname punto",
    "northing": "northing north n y ycoord ycoordinate norte",
    "easting": "easting east e x xcoord xcoordinate este",
    "elevation": "elevation elev el z height h level rl alt altitude zcoord cota elevacion elevación altura",
    "description": "description descriptor desc descr code d remark note feature comment descripcion descripción",
}
_SYNONYMS: dict[Column, frozenset[str]] = {column: frozenset(words.split()) for column, words in _WORDS.items()}
_SURVEY_FOOT = re.compile(r"(?i)\b(us[\s_-]*)?survey[\s_-]*f(ee|oo)?t\b|\bus[\s_-]?ft\b|\busft\b|\bftus\b|\bsft\b")
_FOOT = re.compile(r"(?i)(?<![a-z])(ft|feet|foot|pies?)(?![a-z])")
_METRE = re.compile(r"(?i)(?<![a-z])(m|met(re|er)s?|metros?)(?![a-z])")
_MILLIMETRE = re.compile(r"(?i)(?<![a-z])(mm|millimet(re|er)s?|mil[ií]metros?)(?![a-z])")
_CENTIMETRE = re.compile(r"(?i)(?<![a-z])(cm|centimet(re|er)s?|cent[ií]metros?)(?![a-z])")
_INCH = re.compile(r"(?i)(?<![a-z])(in|inch(es)?|pulgadas?)(?![a-z])")
_Units = tuple[tuple[re.Pattern[str], float], ...]
#: Places are surveyed in these; heights alone may also stand in the smaller ones. [m]
_SURVEY_UNITS: _Units = ((_SURVEY_FOOT, units.US_SURVEY_FOOT), (_FOOT, units.FOOT), (_METRE, 1.0))
_SMALL_UNITS: _Units = ((_MILLIMETRE, 1e-3), (_CENTIMETRE, 1e-2), (_INCH, units.INCH))
_NUMBER_DOT = re.compile(r"[+-]?(\d+|\d{1,3}(,\d{3})+)?(\.\d*)?(?<=[\d.])(e[+-]?\d+)?", re.IGNORECASE)
_NUMBER_COMMA = re.compile(r"[+-]?(\d+|\d{1,3}(\.\d{3})+)?(,\d+)?(?<=\d)(e[+-]?\d+)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Writing:
    """How the rows of a list are written.

    Parameters
    ----------
    delimiter : str
        What parts columns; a blank stands for any run of blanks.
    decimal : {".", ","}
        The decimal mark.
    """

    delimiter: str
    decimal: Literal[".", ","]

    def cells(self, line: str) -> list[str]:
        """Return the cells of one row, trimmed."""
        if self.delimiter == " ":
            return line.split()
        cells = (
            line.split(self.delimiter) if '"' not in line else next(csv.reader([line], delimiter=self.delimiter), [])
        )
        return [cell.strip() for cell in cells]

    def number(self, cell: str) -> float | None:
        """Return the number in a cell, or None."""
        pattern = _NUMBER_DOT if self.decimal == "." else _NUMBER_COMMA
        if not cell or cell == "." or not pattern.fullmatch(cell):
            return None
        plain = cell.replace(",", "") if self.decimal == "." else cell.replace(".", "").replace(",", ".")
        return float(plain)


def writing_of(lines: Sequence[str]) -> Writing | None:
    """Return the way of writing in which most rows hold three numbers, or None when none is.

    Examples
    --------
    >>> writing_of(["1;10,5;20,25;100,1;a", "2;11,5;20,25;100,2;b"])
    Writing(delimiter=';', decimal=',')
    """
    ways = [Writing(d, m) for d in (",", ";", "\t", "|", " ") for m in (".", ",")]
    best = max(ways, key=lambda way: _fit(way, lines))
    return best if _fit(best, lines)[0] else None


def _fit(way: Writing, lines: Sequence[str]) -> tuple[int, int, int]:
    """Return how many rows hold three numbers or more, how many numbers there are, and how many have decimals.

    The last parts ``1,000`` in a list with decimal commas from a thousand: a mark is a decimal mark first, unless it
    parts the columns as well and so stands in quotes.
    """
    rows = [[cell for cell in _cells_or_none(way, line) if way.number(cell) is not None] for line in lines]
    return (
        sum(len(row) >= 3 for row in rows),
        sum(len(row) for row in rows),
        0 if way.delimiter == way.decimal else sum(way.decimal in cell for row in rows for cell in row),
    )


def _cells_or_none(way: Writing, line: str) -> list[str]:
    try:
        return way.cells(line)
    except csv.Error:
        return []


def header_of(cells: Sequence[str]) -> dict[Column, int] | None:
    """Return which column is which by a header row, or None when the row is no header.

    Examples
    --------
    >>> header_of(["Pnt", "E (ft)", "N (ft)", "Elev."])
    {'point': 0, 'easting': 1, 'northing': 2, 'elevation': 3}
    >>> header_of(["1", "10.0", "20.0", "100.0"]) is None
    True
    """
    found: dict[Column, int] = {}
    for index, cell in enumerate(cells):
        plain = _plain(cell)
        for column, words in _SYNONYMS.items():
            if plain in words and column not in found:
                found[column] = index
    return found if len(found.keys() & {"northing", "easting", "elevation"}) >= 2 else None


def _plain(cell: str) -> str:
    """Return a header's word without its unit, blanks and marks."""
    word = re.sub(r"[\(\[].*?[\)\]]", "", cell.lower())
    word = re.sub(r"[_\s](mm|cm|m|in|ft|usft|sft|feet|inches|met(re|er)s?|us survey f(ee|oo)t)$", "", word.strip())
    return re.sub(r"[^a-zñáéíóú]", "", word)


def unit_of(texts: Sequence[str]) -> float | None:
    """Return the length of the unit of a survey that a header or a remark names, or None when none does. [m]

    Examples
    --------
    >>> unit_of(["N (US survey feet)"]) == 1200 / 3937, unit_of(["Easting [m]"]), unit_of(["x", "y", "z (mm)"])
    (True, 1.0, None)
    """
    return _first_named(" ".join(texts), _SURVEY_UNITS)


def column_unit_of(header: str) -> float | None:
    """Return the length of the unit that one column's header names for itself, or None when it names none. [m]

    Examples
    --------
    >>> column_unit_of("Elevation (mm)"), column_unit_of("z_in"), column_unit_of("Elevation")
    (0.001, 0.0254, None)
    """
    return _first_named(header, (*_SURVEY_UNITS, *_SMALL_UNITS))


def _first_named(text: str, known: _Units) -> float | None:
    plain = re.sub(r"(?<=[a-z])_(?=[a-z])", " ", text.lower())
    return next((size for unit, size in known if unit.search(plain)), None)


def order_of(rows: Sequence[Sequence[str]], way: Writing) -> dict[Column, int] | None:
    """Return which column is which in a list without a header, in the contract's order.

    Parameters
    ----------
    rows : sequence of sequence of str
        The first rows.
    way : Writing
        How they are written.

    Returns
    -------
    dict or None
        None when there are not three columns of numbers. Northing stands before easting; see `points_csv` for when
        the other way round is taken.
    """
    widths = [len(row) for row in rows]
    width = max(set(widths), key=lambda w: (widths.count(w), w))
    sample = [row for row in rows if len(row) == width]
    numeric = [sum(way.number(row[i]) is not None for row in sample) * 2 > len(sample) for i in range(width)]
    first = next((i for i in range(width - 2) if all(numeric[i : i + 3])), None)
    if first is None:
        return None
    if first == 0 and width > 3 and numeric[3]:
        first = 1  # four columns of numbers: the first is the point's
    found: dict[Column, int] = {"northing": first, "easting": first + 1, "elevation": first + 2}
    if first:
        found["point"] = 0
    if width > first + 3:
        found["description"] = first + 3
    return found
