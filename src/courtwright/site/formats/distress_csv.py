"""Reads a list of distresses: ``distress,severity,quantity,unit``, columns in any order."""

from __future__ import annotations

import csv
import functools
import io
import math
import re
from collections.abc import Mapping
from typing import Literal

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.says import say
from courtwright.site.complaints import Complaints, nearest, short
from courtwright.site.distress import Distress, merged
from courtwright.site.formats.text import decoded
from courtwright.site.record import Complaint
from courtwright.trade.condition_records import DistressSpec
from courtwright.trade.load import deduct_curves, distresses

Measured = Literal["area", "length", "count"]

_COLUMNS = ("distress", "severity", "quantity", "unit")
_DELIMITERS = (",", ";", "\t", "|")
#: A longer file is no list of distresses of one sample unit. [bytes]
_LONGEST = 4_000_000
#: Leaves room for rounding when a distress covers all of its unit.
_ALL = 1 + 1e-9
_SEVERITIES = {
    **dict.fromkeys(("l", "low", "baja", "bajo"), "L"),
    **dict.fromkeys(("m", "medium", "med", "moderate", "media", "medio"), "M"),
    **dict.fromkeys(("h", "high", "alta", "alto"), "H"),
    **dict.fromkeys(("", "-", "n/a", "none"), "-"),
}
_UNITS: Mapping[str, Measured] = {
    **dict.fromkeys(("sf", "ft2", "sqft", "sq ft", "sy", "yd2", "sq yd", "m2", "sqm", "sq m"), "area"),
    **dict.fromkeys(("lf", "ft", "feet", "m", "metre", "metres", "meter", "meters"), "length"),
    **dict.fromkeys(("ea", "each", "count", "no", "nr", "pcs"), "count"),
}
_EXPECTED: Mapping[Measured, str] = {"area": "sf, m2", "length": "lf, m", "count": "ea"}


def read_distresses(
    data: bytes, name: str, area: float = math.inf
) -> tuple[tuple[Distress, ...], tuple[Complaint, ...]]:
    r"""Return the distresses of a file and what is wrong with its other rows.

    Parameters
    ----------
    data : bytes
        The file's content.
    name : str
        The file's name, for complaints.
    area : float
        Area of the sample unit, which no distress can exceed; without it that is not checked. [m²]

    Returns
    -------
    tuple
        Distresses in SI, rows of one distress and severity added up; and complaints, one a wrong row.

    Examples
    --------
    >>> rows, complaints = read_distresses(b"distress,severity,quantity,unit\n10,L,100,lf\n", "d.csv")
    >>> rows[0].number, round(rows[0].quantity, 2), complaints
    (10, 30.48, ())
    """
    complaints = Complaints()
    text = decoded(data) if len(data) <= _LONGEST else None
    if text is None or not text.strip():
        _complain(complaints, name, "", "no-list" if data.strip() else "empty-list")
        return (), complaints.found()
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), skipinitialspace=True)
    found: list[Distress] = []
    places: dict[str, int] | None = None
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if places is None:
                places = _places(cells)
                lacking = [column for column in _COLUMNS if column not in places]
                if lacking:
                    _complain(complaints, name, f"line {reader.line_num}", "no-columns", columns=tuple(lacking))
                    break
            elif (one := _row(cells, places, name, at := f"line {reader.line_num}", complaints)) is None:
                continue
            elif _covered(one, found) > area * _ALL:
                covers = _covered(one, found)
                _complain(
                    complaints, name, at, "over-unit", given=distresses()[one.number].name.en, covers=covers, area=area
                )
            else:
                found.append(one)
    except csv.Error as error:
        _complain(complaints, name, f"line {reader.line_num}", "no-row", detail=str(error))
    if places is not None and not found and not complaints.found():
        _complain(complaints, name, "", "no-rows")
    return merged(tuple(found)), complaints.found()


def _covered(one: Distress, found: list[Distress]) -> float:
    """Return how much of the unit a distress covers with the rows before it; nothing when it has no area. [m²]"""
    if distresses()[one.number].measured != "area":
        return 0.0
    return one.quantity + sum(other.quantity for other in found if _key(other) == _key(one))


def _key(one: Distress) -> tuple[int, str]:
    return one.number, one.severity


def _complain(
    complaints: Complaints, name: str, at: str, code: str, weight: Literal["error", "note"] = "error", **values: object
) -> None:
    complaints.add(weight, name, at, code, say(f"condition.{code}", **values), say(f"condition.{code}-do", **values))


def _delimiter(text: str) -> str:
    head = next(line for line in text.splitlines() if line.strip())
    return max(_DELIMITERS, key=head.count)


def _places(cells: list[str]) -> dict[str, int]:
    """Return where each column stands, by its name in the heading."""
    return {cell.strip().lower(): i for i, cell in reversed(list(enumerate(cells)))}


def _row(cells: list[str], places: dict[str, int], name: str, at: str, complaints: Complaints) -> Distress | None:
    given = {column: cells[places[column]].strip() if places[column] < len(cells) else "" for column in _COLUMNS}
    spec = _distress(given["distress"])
    if spec is None:
        near = nearest(given["distress"], _by_name())
        if near is None:
            _complain(complaints, name, at, "unknown-distress", given=short(given["distress"]))
        else:
            _complain(complaints, name, at, "unknown-distress-near", given=short(given["distress"]), near=near)
        return None
    severity = _severity(given["severity"], spec)
    if severity is None:
        _complain(complaints, name, at, "unknown-severity", given=short(given["severity"]), distress=spec.name.en)
        return None
    quantity = _quantity(given["quantity"], given["unit"], spec, name, at, complaints)
    if quantity is None:
        return None
    number = spec.counted_as or spec.number
    if (number, severity) not in deduct_curves().deduct:
        _complain(complaints, name, at, "curve-missing", distress=spec.name.en, severity=severity)
        return None
    if number != spec.number:
        together = distresses()[number].name.en
        _complain(complaints, name, at, "counted-as", "note", distress=spec.name.en, together=together)
    return Distress(number, severity, quantity)


def _distress(given: str) -> DistressSpec | None:
    text = given.strip().removesuffix(".0")
    if text.isdecimal() and len(text) < 4:
        return distresses().get(int(text))
    numbered = re.match(r"(\d{1,2})[.):\s-]+(?=\D)", text)
    number = _by_name().get(_plain(text[numbered.end() :] if numbered else text))
    return distresses()[number] if number is not None else None


@functools.cache
def _by_name() -> Mapping[str, int]:
    found: dict[str, int] = {}
    for spec in distresses().values():
        for name in (spec.name.en, spec.name.es, *spec.also):
            found[_plain(name)] = spec.number
    return found


def _plain(name: str) -> str:
    """Return a name with one spelling: lower case, "and" for the sign, single blanks.

    Examples
    --------
    >>> _plain(" L & T  Cracking."), _plain("Weathering_and-Raveling")
    ('l and t cracking', 'weathering and raveling')
    """
    words = re.sub(r"[&+]", " and ", name.lower())
    return " ".join(re.sub(r"[_\-./]", " ", words).split())


def _severity(given: str, spec: DistressSpec) -> str | None:
    """Return the severity; a distress without severities takes whatever is written."""
    without = (spec.number, "-") in deduct_curves().deduct
    word = _SEVERITIES.get(given.lower())
    return "-" if without else None if word == "-" else word


def _quantity(text: str, unit: str, spec: DistressSpec, name: str, at: str, complaints: Complaints) -> float | None:
    plain = unit.lower().replace("²", "2").replace("^", "").replace(".", "").strip()
    measured = _UNITS.get(plain)
    if measured is None or measured != spec.measured:
        code = "unknown-unit" if measured is None else "wrong-unit"
        expected = _EXPECTED[spec.measured]
        _complain(complaints, name, at, code, unit=short(unit), distress=spec.name.en, expected=expected)
        return None
    try:
        quantity = _in_si(text, plain, measured)
    except QuantityError:
        _complain(complaints, name, at, "unread-quantity", given=short(text))
        return None
    if quantity <= 0:
        _complain(complaints, name, at, "no-amount", given=short(text))
        return None
    return quantity


def _in_si(text: str, unit: str, measured: Measured) -> float:
    amount = units.parse_quantity(text, "number")
    if measured == "count":
        return amount
    return amount * (units.parse_area(f"1 {unit}") if measured == "area" else units.parse_length(f"1 {unit}"))
