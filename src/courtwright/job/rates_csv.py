"""Reads the contractor's own rates from a CSV file, row by row, each with what is wrong with it."""

from __future__ import annotations

import csv
import datetime as dt
import functools
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from courtwright.errors import InputError
from courtwright.job.house_rates import own_value, rate_title, usual_rate
from courtwright.says import Says, say
from courtwright.site.complaints import short
from courtwright.site.formats.text import decoded
from courtwright.site.record import Complaint
from courtwright.trade.house_rates import USUAL, HouseRate, HouseRates, UsualRate, usual_rates
from courtwright.trade.words import texts

#: So many rows are read at most; a book has about a hundred rates. [-]
MOST_ROWS = 1000
#: A file of so many rows is not larger. [bytes]
MOST_BYTES = 500_000
_LONGEST_NOTE = 200
_DELIMITERS = (",", ";", "\t")
#: A file of a spreadsheet program: zipped, or of the older form.
_SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "id": ("id",),
    "value": ("value", "own value", "own", "valor", "valor propio", "propio"),
    "unit": ("unit", "per", "unidad", "por"),
    "date": ("date", "fecha"),
    "note": ("note", "nota"),
}
_REQUIRED = ("id", "value")
_MONEY = re.compile(r"(?:us)?\s*\$|\busd\b|%", re.IGNORECASE)
#: Before the unit of a rate, where somebody writes it so: "$/lf".
_PER = re.compile(r"(?:(?:us)?\$|usd)?\s*/\s*", re.IGNORECASE)
_GROUPED = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+")
_TWO_WAYS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_OTHER_NAMES = {"%": "pct", "ea": "each", "pista": "court", "dia": "day"}


@dataclass(frozen=True, slots=True)
class RowRead:
    """One row of the file.

    Parameters
    ----------
    line : int
        Where it stands in the file, the first line is 1. [-]
    id : str
        Of the rate, as it was written.
    usual : UsualRate or None
        The book's figure, where there is one of that id.
    value : float or None
        The own figure in the rate's unit; None where it cannot be used. [money/unit or %]
    was : float or None
        What counts now: the own figure, else the usual one. [money/unit or %]
    date : date or None
        From which it counts, where the row says.
    note : str
        As written.
    complaint : tuple of Says
        What is wrong and what to do; empty where nothing is.
    """

    line: int
    id: str
    usual: UsualRate | None
    value: float | None
    was: float | None
    date: dt.date | None
    note: str
    complaint: tuple[Says, ...] = ()

    @property
    def title(self) -> Says | None:
        """What the rate is for."""
        return None if self.usual is None else rate_title(self.usual.id)


def read_rates(data: bytes, house: HouseRates) -> tuple[RowRead, ...]:
    r"""Return the rows of a file that have a value.

    Columns may stand in any order, with English or Spanish names; ``id`` and ``value`` are needed. Commas, semicolons
    or tabs may part them; a decimal comma is read. A row without a value leaves its rate as it is.

    Parameters
    ----------
    data : bytes
        The file.
    house : HouseRates
        The own figures that count now.

    Raises
    ------
    InputError
        If it is a spreadsheet, no text, without a heading, or far too long.

    Examples
    --------
    >>> row, = read_rates(b"id;valor;unidad\nlines.swale;91,50;m\n", HouseRates())
    >>> row.value, row.was, row.complaint
    (27.8892, 26.0, ())
    """
    text = _text(data)
    head = next(line for line in text.splitlines() if line.strip())
    delimiter = max(_DELIMITERS, key=head.count)
    rows, seen = list[RowRead](), dict[str, int]()
    for line, given in _rows(text, delimiter):
        row = _row(line, given, house, seen, is_comma=delimiter == ",")
        if not row.complaint:
            seen[row.id] = line
        rows.append(row)
    return tuple(rows)


def own_rates(data: bytes, name: str, day: dt.date | None) -> tuple[HouseRates, tuple[Complaint, ...]]:
    """Return the own figures of a file, and a complaint for each row that cannot be used.

    Parameters
    ----------
    data : bytes
        The file.
    name : str
        What it is called.
    day : date or None
        From which figures count whose row does not say.

    Raises
    ------
    InputError
        As `read_rates` does.
    """
    dated = "" if day is None else day.isoformat()
    rates, complaints = dict[str, HouseRate](), list[Complaint]()
    for row in read_rates(data, USUAL):
        if row.usual is None or row.value is None:
            problem, do = row.complaint[0], row.complaint[-1]
            complaints.append(Complaint(name, f"line {row.line}", "own-rate", "error", problem, do))
        else:
            since = dated if row.date is None else row.date.isoformat()
            rates[row.id] = HouseRate(row.value, row.usual.unit, since, row.note)
    return HouseRates(rates), tuple(complaints)


def _text(data: bytes) -> str:
    if data.startswith(_SPREADSHEETS):
        raise InputError(say("cost.rates-spreadsheet"), where="body", fix=say("cost.rates-spreadsheet-do"))
    if len(data) > MOST_BYTES:
        raise _too_many()
    text = decoded(data)
    if text is None:
        raise InputError(say("cost.rates-no-text"), where="body", fix=say("cost.rates-spreadsheet-do"))
    if not text.strip():
        raise InputError(say("cost.rates-empty"), where="body", fix=say("cost.rates-columns-do"))
    return text


def _rows(text: str, delimiter: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield each row with a value: its line, and its cells by column."""
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True)
    places: dict[str, int] | None = None
    count = 0
    try:
        for cells in lines:
            if not any(cell.strip() for cell in cells):
                continue
            if places is None:
                places = _places(cells)
                continue
            count += 1
            if count > MOST_ROWS:
                raise _too_many()
            given = {name: _cell(cells, place) for name, place in places.items()}
            if given["value"]:
                yield lines.line_num, given
    except csv.Error as error:
        raise InputError(
            say("cost.rates-row", line=lines.line_num), where="body", fix=say("cost.rates-row-do")
        ) from error


def _too_many() -> InputError:
    return InputError(say("cost.rates-many", most=MOST_ROWS), where="body", fix=say("cost.rates-many-do"))


def _places(cells: list[str]) -> dict[str, int]:
    named = {cell.strip().lower(): place for place, cell in reversed(list(enumerate(cells)))}
    found = {column: named[name] for column, names in _COLUMNS.items() for name in reversed(names) if name in named}
    lacking = [name for name in _REQUIRED if name not in found]
    if lacking:
        says = say("cost.rates-columns", columns=", ".join(lacking))
        raise InputError(says, where="body", fix=say("cost.rates-columns-do"))
    return found


def _cell(cells: list[str], place: int) -> str:
    text = cells[place] if place < len(cells) else ""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())


def _row(line: int, given: dict[str, str], house: HouseRates, seen: dict[str, int], *, is_comma: bool) -> RowRead:
    id, note = given["id"], given.get("note", "")[:_LONGEST_NOTE]
    usual, own = usual_rates().get(id), house.rates.get(id)
    was = own.value if own is not None else usual.value if usual is not None else None
    try:
        value, date = _read(given, seen, is_comma=is_comma)
    except InputError as error:
        complaint = tuple(says for says in (error.problem, error.fix) if says is not None)
        return RowRead(line, short(id), usual, None, was, None, note, complaint)
    return RowRead(line, id, usual, value, was, date, note)


def _read(given: dict[str, str], seen: dict[str, int], *, is_comma: bool) -> tuple[float, dt.date | None]:
    if not given["id"]:
        raise InputError(say("cost.rate-no-id"), fix=say("cost.rate-unknown-do"))
    usual = usual_rate(given["id"])
    if usual.id in seen:
        raise InputError(say("cost.rate-twice", line=seen[usual.id]), fix=say("cost.rate-twice-do"))
    value = own_value(usual, _figure(given["value"], is_comma=is_comma), _unit(given.get("unit", "")))
    return value, _date(given.get("date", ""))


def _figure(text: str, *, is_comma: bool) -> str:
    """Return a figure without the sign of money; in a file that commas part a point is a decimal mark."""
    figure = _MONEY.sub("", text).strip()
    if not is_comma and _GROUPED.fullmatch(figure):
        return figure.replace(".", "")
    if not is_comma and _TWO_WAYS.fullmatch(figure):
        raise InputError(say("cost.rate-two-ways", given=short(text)), fix=say("cost.rate-two-ways-do"))
    return figure


def _unit(text: str) -> str:
    name = _PER.sub("", text.lower(), count=1).replace("²", "2").replace("³", "3").strip()
    return _unit_names().get(name, name)


@functools.cache
def _unit_names() -> Mapping[str, str]:
    """Return the trade's units by the names that our own papers give them."""
    units = {rate.unit for rate in usual_rates().values()}
    named = {name.lower(): unit for unit in units for name in texts()[f"cost.unit-{unit}"].values()}
    return {**named, **_OTHER_NAMES}


def _date(text: str) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise InputError(say("cost.rate-no-date", given=short(text)), fix=say("cost.rate-no-date-do")) from error
