"""Reads the tables of ``site.toml``: job, site, pads with their courts and tallies."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from shapely import Point, Polygon

from courtwright import units
from courtwright.says import Says, say
from courtwright.site.complaints import Complaints, short, suggestion
from courtwright.site.formats.fields import Fields, is_unknown
from courtwright.site.formats.properties import properties_of
from courtwright.site.formats.told_columns import ToldColumns, read_told_columns
from courtwright.site.formats.typed import coordinate
from courtwright.site.outline import UNUSUAL_AREA, outline_of
from courtwright.site.record import Court, Job, Pad, Place, SiteRecord, Tally
from courtwright.trade import tables
from courtwright.trade.load import mark_kinds

_CUSTOMERS = ("home", "club", "school", "municipal", "manager")
_SURFACES = ("asphalt", "concrete", "post-tensioned")
_COATINGS = ("acrylic", "cushioned", "rubberised", "epoxy", "paint", "none")
_PAD = (
    *("id", "outline", "built", "surface", "coating", "last_resurfaced", "asphalt_thickness", "base_thickness"),
    *("shots", "north_deg", "court", "tally", "answers", "place", "columns"),
)
_COURT = ("id", "sport", "centre", "turned_deg")
_TALLY = ("court", "mark", "length", "count", "area")


@dataclass(frozen=True, slots=True)
class PadSheet:
    """One pad as ``site.toml`` tells it.

    Parameters
    ----------
    id : str
        Its id.
    at : str
        Its place in the file.
    pad : Pad or None
        What is good of it; None when its outline cannot be used.
    shots : str or None
        The file that holds its shots.
    answers : Fields
        Its own answers.
    columns : ToldColumns or None
        What was told of the columns of that file, where it is a list.
    """

    id: str
    at: str
    pad: Pad | None
    shots: str | None
    answers: Fields
    columns: ToldColumns | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """What ``site.toml`` tells: a record without pads, the pads, and the answers for the whole site."""

    record: SiteRecord
    pads: tuple[PadSheet, ...]
    answers: Fields


@dataclass
class _Reader:
    file: str
    complaints: Complaints
    system: units.UnitSystem = "us"
    sports: tuple[str, ...] = field(default_factory=lambda: tuple(known_sports()))

    def fields(self, table: Mapping[str, Any], at: str) -> Fields:
        return Fields(table, self.file, at, self.complaints, self.system)

    def wrong(self, at: str, code: str, **values: object) -> None:
        self.complaints.error(self.file, at, code, None, **values)


def known_sports() -> list[str]:
    """Return the sports that ``trade/courts`` holds."""
    return [file.name.removesuffix(".toml") for file in tables.folder("courts")]


def read_sheet(content: Mapping[str, Any], file: str, complaints: Complaints) -> Sheet:
    """Return what the tables of ``site.toml`` tell, and complain of the rest.

    Parameters
    ----------
    content : mapping
        The tables.
    file : str
        Their file.
    complaints : Complaints
        Takes in what is wrong.

    Returns
    -------
    Sheet
        Pads whose outline cannot be used have no ``pad``.
    """
    reader = _Reader(file, complaints)
    top = reader.fields(content, "")
    top.refuse_others(("job", "site", "pad", "answers"))
    job = _job(reader.fields(top.table_of("job"), "job"))
    reader.system = job.units
    top = reader.fields(content, "")
    record = _site(reader.fields(top.table_of("site"), "site"), job)
    pads: list[PadSheet] = []
    for number, table in top.tables("pad"):
        sheet = _pad(reader, table, number)
        if sheet is not None and any(sheet.id == other.id for other in pads):
            reader.wrong(f"pad {number}, id", "pad-twice", id=sheet.id)
        elif sheet is not None:
            pads.append(sheet)
    return Sheet(record, tuple(pads), reader.fields(top.table_of("answers"), "answers"))


def _job(fields: Fields) -> Job:
    fields.refuse_others(("name", "customer", "prevailing_wage", "units"))
    word = fields.word("units", ("us", "metric"))
    system: Literal["us", "metric"] = "metric" if word == "metric" else "us"
    return Job(fields.text("name"), fields.word("customer", _CUSTOMERS), fields.claim("prevailing_wage"), units=system)


def _site(fields: Fields, job: Job) -> SiteRecord:
    fields.refuse_others(("address", "lat", "lon", "walked_on", "walked_by"))
    return SiteRecord(
        job,
        (),
        address=fields.text("address"),
        lat=fields.number("lat", -90, 90),
        lon=fields.number("lon", -180, 180),
        walked_on=fields.date("walked_on"),
        walked_by=fields.text("walked_by"),
    )


def _pad(reader: _Reader, table: Mapping[str, Any], number: int) -> PadSheet | None:
    fields = reader.fields(table, f"pad {number}")
    id = fields.name("id")
    if id is None:
        if is_unknown(table.get("id")) or not table.get("id"):
            reader.wrong(f"pad {number}", "pad-no-id")
        id = f"pad-{number}"
    at = f"pad {id}"
    fields = reader.fields(table, at)
    fields.refuse_others(_PAD)
    outline = _outline(reader, table.get("outline"), f"{at}, outline")
    own = reader.fields(fields.table_of("answers"), f"{at}, answers")
    pad = None if outline is None else _known(reader, fields, Pad(id, outline))
    columns = read_told_columns(reader.fields(fields.table_of("columns"), f"{at}, columns"))
    return PadSheet(id, at, pad, fields.text("shots"), own, columns)


def _known(reader: _Reader, fields: Fields, pad: Pad) -> Pad:
    """Return the pad with all that its table tells besides outline, shots and answers."""
    built, resurfaced = fields.year("built"), fields.year("last_resurfaced")
    if built and resurfaced and resurfaced < built:
        fields.complaints.note(
            fields.file, fields.place("last_resurfaced"), "resurfaced-before-built", year=resurfaced, built=built
        )
    north = fields.number("north_deg", -360, 360)
    courts = _courts(reader, fields, pad.outline)
    return replace(
        pad,
        built=built,
        surface=fields.word("surface", _SURFACES),
        coating=fields.open_word("coating", _COATINGS),
        last_resurfaced=resurfaced,
        asphalt_thickness=fields.quantity("asphalt_thickness", "length"),
        base_thickness=fields.quantity("base_thickness", "length"),
        north=None if north is None else math.radians(north),
        place=_place(reader, fields),
        courts=courts,
        tallies=_tallies(reader, fields, [court.id for court in courts]),
    )


def _outline(reader: _Reader, given: object, at: str) -> Polygon | None:
    if is_unknown(given):
        reader.wrong(at, "no-outline")
        return None
    corners = [_pair(corner, reader.system) for corner in given] if isinstance(given, list) else [None]
    for number, corner in enumerate(corners, 1):
        if corner is None:
            what = given[number - 1] if isinstance(given, list) else given
            reader.wrong(f"{at}, corner {number}" if isinstance(given, list) else at, "bad-corner", given=short(what))
    if any(corner is None for corner in corners):
        return None
    found = outline_of([corner for corner in corners if corner is not None])
    if isinstance(found, Says):
        code = found.id.partition(".")[2]
        reader.complaints.add("error", reader.file, at, code, found, say("site.outline-do"))
        return None
    if found.area > UNUSUAL_AREA:
        reader.complaints.note(reader.file, at, "outline-large", area=found.area)
    return found


def _pair(given: object, system: units.UnitSystem) -> tuple[float, float] | None:
    """Return a place in metres, or None when it is none. Coordinates may be negative, unlike lengths."""
    if not isinstance(given, list) or len(given) != 2:
        return None
    x, y = (coordinate(value, system) for value in given)
    return None if x is None or y is None else (x, y)


def _courts(reader: _Reader, fields: Fields, outline: Polygon) -> tuple[Court, ...]:
    found: list[Court] = []
    given = fields.tables("court")
    for number, table in given:
        court = _court(reader, table, fields.place(f"court {number}"), outline, len(given) == 1, number)
        if court is not None and any(court.id == other.id for other in found):
            reader.wrong(fields.place(f"court {number}, id"), "court-twice", id=court.id)
        elif court is not None:
            found.append(court)
    return tuple(found)


def _court(
    reader: _Reader, table: Mapping[str, Any], at: str, outline: Polygon, is_only: bool, number: int
) -> Court | None:
    fields = reader.fields(table, at)
    fields.refuse_others(_COURT)
    id = fields.name("id") or str(number)
    sport = fields.word("sport", reader.sports)
    if sport is None:
        if is_unknown(table.get("sport")):
            reader.wrong(fields.place("sport"), "court-no-sport", id=id, known=", ".join(reader.sports))
        return None
    turned = fields.number("turned_deg", -360, 360)
    centre = _pair(table.get("centre"), reader.system)
    if centre is None:
        if not is_unknown(table.get("centre")):
            reader.wrong(fields.place("centre"), "bad-corner", given=short(table.get("centre")))
            return None
        if not is_only:
            reader.wrong(fields.place("centre"), "court-no-centre", id=id)
            return None
        reader.complaints.note(reader.file, fields.place("centre"), "court-centred", id=id)
        centre = (outline.centroid.x, outline.centroid.y)
    if not outline.covers(Point(centre)):
        reader.wrong(fields.place("centre"), "court-off-pad", id=id)
        return None
    return Court(id, sport, centre, math.radians(turned or 0.0))


def _tallies(reader: _Reader, fields: Fields, courts: list[str]) -> tuple[Tally, ...]:
    found = (_tally(reader, table, fields.place(f"tally {n}"), courts) for n, table in fields.tables("tally"))
    return tuple(tally for tally in found if tally is not None)


def _tally(reader: _Reader, table: Mapping[str, Any], at: str, courts: list[str]) -> Tally | None:
    fields = reader.fields(table, at)
    kinds = mark_kinds()
    mark = fields.word("mark", kinds)
    if mark is None:
        if is_unknown(table.get("mark")):
            reader.wrong(at, "no-mark", known=", ".join(kinds))
        return None
    court = fields.name("court")
    if court is not None and court not in courts:
        do = suggestion(court, courts) if courts else say("site.unknown-court-do")
        reader.complaints.error(reader.file, fields.place("court"), "unknown-court", do=do, court=short(court))
        return None
    given = [key for key in ("length", "count", "area") if not is_unknown(table.get(key))]
    if len(given) != 1:
        reader.wrong(at, "tally-how-much", mark=mark, given=len(given))
        given = given[:1]
    amount = fields.quantity(given[0], given[0]) if given else None
    properties = properties_of(fields, kinds[mark], _TALLY)
    if amount is None:
        return None
    properties.pop("count", None)
    sizes: dict[str, Any] = {given[0]: round(amount) if given[0] == "count" else amount}
    return Tally(mark, court, properties=properties, place=at, **sizes)


def _place(reader: _Reader, fields: Fields) -> Place | None:
    """Return where on earth the pad lies, as far as it is told."""
    table = fields.table_of("place")
    inner = reader.fields(table, fields.place("place"))
    inner.refuse_others(("crs", "origin", "bearing_deg", "common"))
    if not table:
        return None
    bearing = inner.number("bearing_deg", -360, 360)
    rows = table.get("common")
    common = [_numbers(row, 4) for row in rows] if isinstance(rows, list) else []
    origin = None if is_unknown(table.get("origin")) else _numbers(table.get("origin"), 2)
    if any(row is None for row in common) or (origin is None and not is_unknown(table.get("origin"))):
        reader.wrong(inner.at, "bad-place")
    return Place(
        inner.name("crs"),
        None if origin is None else (origin[0], origin[1]),
        None if bearing is None else math.radians(bearing),
        tuple((row[0], row[1], row[2], row[3]) for row in common if row is not None),
    )


def _numbers(given: object, count: int) -> tuple[float, ...] | None:
    """Return so many finite numbers as given, or None. Their unit is that of the coordinate system."""
    if not isinstance(given, list) or len(given) != count:
        return None
    if any(isinstance(v, bool) or not isinstance(v, int | float) or not math.isfinite(v) for v in given):
        return None
    return tuple(float(v) for v in given)
