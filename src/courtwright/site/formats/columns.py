"""Works out how a point list is written: what parts its columns, its decimal mark, which column is which."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
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
    ways = [Writing(d, m) for d in (",", ";", "\t", " ") for m in (".", ",") if (d, m) != (",", ",")]
    best = max(ways, key=lambda way: _fit(way, lines))
    return best if _fit(best, lines)[0] else None


def _fit(way: Writing, lines: Sequence[str]) -> tuple[int, int, int]:
    """Return how many rows hold three numbers or more, how many numbers there are, and how many have decimals.

    The last parts ``1,000`` in a list with decimal commas from a thousand: a mark is a decimal mark first.
    """
    rows = [[cell for cell in _cells_or_none(way, line) if way.number(cell) is not None] for line in lines]
    return (
        sum(len(row) >= 3 for row in rows),
        sum(len(row) for row in rows),
        sum(way.decimal in cell for row in rows for cell in row),
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
    word = re.sub(r"[_\s](m|ft|usft|sft|feet|met(re|er)s?|us survey f(ee|oo)t)$", "", word.strip())
    return re.sub(r"[^a-zñáéíóú]", "", word)


def unit_of(texts: Sequence[str]) -> float | None:
    """Return the length of the unit that a header or a remark names, or None when none does. [m]

    Examples
    --------
    >>> unit_of(["N (US survey feet)"]) == 1200 / 3937, unit_of(["Easting [m]"]), unit_of(["x", "y", "z"])
    (True, 1.0, None)
    """
    text = re.sub(r"(?<=[a-z])_(?=[a-z])", " ", " ".join(texts).lower())
    tests: tuple[tuple[Callable[[str], object], float], ...] = (
        (_SURVEY_FOOT.search, units.US_SURVEY_FOOT),
        (_FOOT.search, units.FOOT),
        (_METRE.search, 1.0),
    )
    return next((size for is_in, size in tests if is_in(text)), None)


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
