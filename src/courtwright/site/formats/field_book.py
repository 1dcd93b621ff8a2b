"""Reads a level field book, rods of a rotating laser, and known elevations."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.site.complaints import Complaints
from courtwright.site.formats.table_csv import Row, Table, note, read_table, tell
from courtwright.site.levelling import Sight
from courtwright.site.rods import Rod
from courtwright.units import UnitSystem

_WORDS = {
    "station": "station sta point pt name estación estacion punto",
    "bs": "bs backsight back atrás atras",
    "is": "is ifs intermediate between intermedia",
    "fs": "fs foresight fore adelante",
    "distance": "distance dist length distancia",
    "remark": "remark remarks note notes nota",
    "x": "x easting e este",
    "y": "y northing n norte",
    "rod": "rod staff reading mira lectura",
    "elevation": "elevation elev el z height cota elevación elevacion",
}
_KNOWN = {word: column for column, words in _WORDS.items() for word in words.split()}


@dataclass(frozen=True, slots=True)
class Book:
    """What was read: the sights of a run, or the rods of a laser."""

    sights: tuple[Sight, ...] = ()
    rods: tuple[Rod, ...] = ()


def read_book(data: bytes, file: str, system: UnitSystem, complaints: Complaints) -> Book | None:
    """Return a field book, or None after saying why there is none.

    Parameters
    ----------
    data, file
        The file's content and its name.
    system : {"us", "metric"}
        What a number without a unit is counted in.
    complaints : Complaints
        Takes in every row that cannot be read.
    """
    table = read_table(data, file, _KNOWN, ("station",), system, complaints)
    if table is None:
        return None
    columns = table.rows[0].cells
    has_rods = {"x", "y", "rod"} <= columns.keys()
    if not has_rods and not {"bs", "fs"} <= columns.keys():
        tell(complaints, file, "", "columns", columns="station, bs, is, fs")
        return None
    if not table.has_unit and system == "us":
        note(complaints, file, "", "unit-feet")
    if has_rods:
        rods = tuple(rod for row in table.rows if (rod := _rod(table, row, complaints)))
        return Book(rods=rods) if rods else None
    return _sights(table, complaints)


def _sights(table: Table, complaints: Complaints) -> Book | None:
    sights: list[Sight] = []
    is_whole, has_instrument = True, False
    for row in table.rows:
        one = _sight(table, row, complaints)
        if one is None:
            # Elevations cannot be carried over a turning point that was not read; one point less breaks nothing.
            is_whole = is_whole and not (row.cells["bs"] or row.cells["fs"])
        elif not has_instrument and one.back is None:
            tell(complaints, table.file, f"line {row.line}", "no-backsight", station=one.station)
        elif has_instrument and _starts_anew(one) and all(one.station != before.station for before in sights):
            tell(complaints, table.file, f"line {row.line}", "no-foresight", station=one.station)
            is_whole = False
        else:
            has_instrument = True
            sights.append(one)
    return Book(sights=tuple(sights)) if is_whole and len(sights) > 1 else None


def _starts_anew(one: Sight) -> bool:
    """Whether only a backsight was taken, so that the station's elevation has to be known from before."""
    return one.back is not None and one.fore is None


def _sight(table: Table, row: Row, complaints: Complaints) -> Sight | None:
    before = len(complaints.found())
    back, between, fore, distance = (table.length(row, name, complaints) for name in ("bs", "is", "fs", "distance"))
    station, at = row.cells["station"], f"line {row.line}"
    if len(complaints.found()) > before:
        return None
    if not station:
        tell(complaints, table.file, at, "no-station")
    elif back is None and between is None and fore is None:
        tell(complaints, table.file, at, "no-sight", station=station)
    elif between is not None and (back is not None or fore is not None):
        tell(complaints, table.file, at, "two-sights", station=station)
    else:
        return Sight(station, back, between, fore, row.line, distance)
    return None


def _rod(table: Table, row: Row, complaints: Complaints) -> Rod | None:
    x, y, rod = (table.length(row, name, complaints) for name in ("x", "y", "rod"))
    if x is None or y is None or rod is None:
        tell(complaints, table.file, f"line {row.line}", "rod-short")
        return None
    return Rod(row.cells["station"] or str(row.line), x, y, rod)


def read_known_elevations(data: bytes, file: str, system: UnitSystem, complaints: Complaints) -> dict[str, float]:
    """Return the elevation of each known station [m]; what cannot be read is told."""
    table = read_table(data, file, _KNOWN, ("station", "elevation"), system, complaints)
    found: dict[str, float] = {}
    for row in table.rows if table else ():
        value = table.length(row, "elevation", complaints) if table else None
        name = row.cells["station"]
        if value is None or not name:
            tell(complaints, file, f"line {row.line}", "known-short")
        elif name in found and found[name] != value:
            tell(complaints, file, f"line {row.line}", "known-twice", station=name)
        else:
            found[name] = value
    return found
