"""Reads tape ties and the known points that they begin at."""

from __future__ import annotations

import numpy as np

from courtwright.site.complaints import Complaints, short
from courtwright.site.formats.table_csv import Row, Table, note, read_table, tell
from courtwright.site.ties import Fix, Side, Tie
from courtwright.units import UnitSystem

_WORDS = {
    "point": "point pt name station punto",
    "from": "from known start desde",
    "distance": "distance dist tape distancia",
    "side": "side lado",
    "x": "x easting e este",
    "y": "y northing n norte",
}
_KNOWN = {word: column for column, words in _WORDS.items() for word in words.split()}
_SIDES: dict[str, Side | None] = {
    "": None,
    "-": None,
    **dict.fromkeys(("left", "l", "izquierda", "i"), "left"),
    **dict.fromkeys(("right", "r", "derecha", "d"), "right"),
}


def read_ties(
    data: bytes, file: str, known: dict[str, Fix], system: UnitSystem, complaints: Complaints
) -> tuple[Tie, ...]:
    """Return the ties of a file [m]; what cannot be read is told.

    Parameters
    ----------
    data, file
        The file's content and its name.
    known : dict of str to Fix
        The known points. [m]
    system : {"us", "metric"}
        What a number without a unit is counted in.
    complaints : Complaints
        Takes in every row that cannot be read.
    """
    table = read_table(data, file, _KNOWN, ("point", "from", "distance"), system, complaints)
    if table is None:
        return ()
    if not table.has_unit and system == "us":
        note(complaints, file, "", "unit-feet")
    reachable = {*known, *(row.cells["point"] for row in table.rows)}
    return tuple(tie for row in table.rows if (tie := _tie(table, row, reachable, complaints)))


def _tie(table: Table, row: Row, reachable: set[str], complaints: Complaints) -> Tie | None:
    at = f"line {row.line}"
    point, start, side = row.cells["point"], row.cells["from"], row.cells.get("side", "").lower()
    before = len(complaints.found())
    distance = table.length(row, "distance", complaints)
    if len(complaints.found()) > before:
        return None
    if not point or not start or distance is None:
        tell(complaints, table.file, at, "tie-short")
    elif distance <= 0:
        tell(complaints, table.file, at, "tie-length", given=short(row.cells["distance"]))
    elif start not in reachable:
        tell(complaints, table.file, at, "tie-from", given=short(start))
    elif side not in _SIDES:
        tell(complaints, table.file, at, "tie-side", given=short(side))
    else:
        return Tie(point, start, distance, _SIDES[side], row.line)
    return None


def read_known_points(data: bytes, file: str, system: UnitSystem, complaints: Complaints) -> dict[str, Fix]:
    """Return the known points of a file [m]; what cannot be read is told."""
    table = read_table(data, file, _KNOWN, ("point", "x", "y"), system, complaints)
    found: dict[str, Fix] = {}
    for row in table.rows if table else ():
        x, y = (table.length(row, name, complaints) if table else None for name in ("x", "y"))
        name = row.cells["point"]
        if x is None or y is None or not name:
            tell(complaints, file, f"line {row.line}", "known-short")
        elif name in found and found[name].xy != (x, y):
            tell(complaints, file, f"line {row.line}", "known-twice", station=name)
        else:
            found[name] = Fix((x, y), np.zeros((2, 2)))
    return found
