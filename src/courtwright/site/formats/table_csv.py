"""Reads a small table of a walk: a heading, columns in any order, lengths with or without their unit."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.says import say
from courtwright.site.complaints import Complaints, short
from courtwright.site.formats.columns import column_unit_of, unit_of
from courtwright.site.formats.text import decoded

_DELIMITERS = (",", ";", "\t", "|")
#: A longer file is no book that anybody wrote by hand. [bytes]
_LONGEST = 4_000_000
#: No length of a walk, and no coordinate on earth, is larger. [m]
_FARTHEST = 1e9


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its cells by column, and its line in the file."""

    cells: Mapping[str, str]
    line: int


@dataclass(frozen=True, slots=True)
class Table:
    """A table as read.

    Parameters
    ----------
    file : str
        Its name.
    rows : tuple of Row
        In the file's order.
    scale : mapping of str to float
        Length of the unit of each column. [m]
    has_unit : bool
        Whether the heading or a remark names its unit.
    comma : bool
        Whether the comma is the decimal mark.
    """

    file: str
    rows: tuple[Row, ...]
    scale: Mapping[str, float]
    has_unit: bool
    comma: bool

    def length(self, row: Row, column: str, complaints: Complaints) -> float | None:
        """Return a length of a row, with its sign, or None where there is none or nobody can read it. [m]"""
        given = row.cells.get(column, "")
        if given in ("", "-", "--"):
            return None
        text = given.replace("−", "-")
        text = text.replace(",", ".") if self.comma else text
        try:
            plain = text.lstrip("+-").strip()
            value = _length(plain, self.scale[column])
        except QuantityError:
            value = math.inf
        if value > _FARTHEST:
            tell(complaints, self.file, f"line {row.line}", "length-unread", given=short(given), column=column)
            return None
        return -value if text.startswith("-") else value


def _length(text: str, scale: float) -> float:
    try:
        bare = float(text)
    except ValueError:
        return units.parse_length(text)
    return units.parse_quantity(bare, "number") * scale


def tell(complaints: Complaints, file: str, at: str, code: str, **values: object) -> None:
    """Take in an error in the words of the field book."""
    complaints.add("error", file, at, code, say(f"book.{code}", **values), say(f"book.{code}-do", **values))


def note(complaints: Complaints, file: str, at: str, code: str, **values: object) -> None:
    """Take in a note in the words of the field book."""
    complaints.add("note", file, at, code, say(f"book.{code}", **values), say(f"book.{code}-do", **values))


def read_table(
    data: bytes,
    file: str,
    known: Mapping[str, str],
    needed: tuple[str, ...],
    system: units.UnitSystem,
    complaints: Complaints,
) -> Table | None:
    """Return a table, or None after saying why there is none.

    Parameters
    ----------
    data, file
        The file's content and its name.
    known : mapping of str to str
        The column that each word of a heading means.
    needed : tuple of str
        Columns without which nothing can be read.
    system : {"us", "metric"}
        What a number without a unit is counted in.
    complaints : Complaints
        Takes in what is wrong.
    """
    text = decoded(data) if len(data) <= _LONGEST else None
    lines = [] if text is None else text.splitlines()
    remarks = [line for line in lines if line.lstrip().startswith("#")]
    body = "\n".join("" if line.lstrip().startswith("#") else line for line in lines)
    head = next((line for line in body.splitlines() if line.strip()), "")
    delimiter = max(_DELIMITERS, key=head.count)
    rows: list[Row] = []
    places: dict[str, int] | None = None
    heading: list[str] = []
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=delimiter, skipinitialspace=True)
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if places is None:
                heading, places = cells, _places(cells, known)
                continue
            found = {name: cells[i].strip() if i < len(cells) else "" for name, i in places.items()}
            rows.append(Row(found, reader.line_num))
    except csv.Error:
        tell(complaints, file, f"line {reader.line_num}", "row-unread")
    lacking = [name for name in needed if name not in (places or {})]
    if lacking or not places:
        tell(complaints, file, "", "columns", columns=", ".join(needed))
        return None
    if not rows:
        tell(complaints, file, "", "no-rows")
        return None
    named = unit_of(remarks)
    bare = named or units.BARE_LENGTH[system]
    own = {name: column_unit_of(heading[i]) for name, i in places.items()}
    has_unit = named is not None or any(own.values())
    return Table(file, tuple(rows), {name: size or bare for name, size in own.items()}, has_unit, delimiter != ",")


def _places(cells: list[str], known: Mapping[str, str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for i, cell in enumerate(cells):
        word = cell.lower().strip().split("(")[0].split("[")[0].strip()
        name = known.get(word) or known.get(word.rsplit("_", 1)[0])
        if name and name not in found:
            found[name] = i
    return found
