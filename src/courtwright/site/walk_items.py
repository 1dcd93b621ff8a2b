"""Reads the document of a walk in plain values: its maps and items, as far as they have the shape of one."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from courtwright.site.complaints import Complaints, short, suggestion

#: The file that complaints about the document itself name.
FILE = "walk"
SHAPE = 1
ITEMS = ("pads", "courts", "marks", "tallies", "shots", "photos", "files")
ROOTS = ("walk", *ITEMS, "answers")
#: Longer texts are told and left out of the projection; they stay in the document. [characters]
LONGEST = 20_000
#: Lists within lists deeper than a polygon's rings are no outline and no geometry. [-]
_DEEPEST = 5
_LARGEST = 10**15
_YES = ("true", "yes", "si", "sí", "1")
_PLAIN_NUMBER = re.compile(r"[+-]?(\d{1,15}(\.\d{0,15})?|\.\d{1,15})")

Values = dict[str, object]


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a map: what is good of it.

    Parameters
    ----------
    id : str
        Its UUID.
    at : str
        Its place for complaints.
    values : dict
        By key; texts, numbers, claims and the lists and tables that its kind has.
    """

    id: str
    at: str
    values: Values


def items(plain: Mapping[str, object], root: str, nested: Collection[str], complaints: Complaints) -> Iterator[Item]:
    """Yield the items of a map that are not withdrawn, by their order and then their UUID.

    Parameters
    ----------
    plain : mapping
        The document.
    root : str
        Name of the map.
    nested : collection of str
        Keys whose values may be lists or tables.
    complaints : Complaints
        Takes in what has not the shape of an item.
    """
    found: list[Item] = []
    for id, given in table_of(plain, root, complaints).items():
        at = f"{root} {short(id)}"
        if not isinstance(given, Mapping) or not _is_writable(id):
            complaints.error(FILE, at, "walk-not-a-map", given=short(given))
            continue
        if is_withdrawn(given):
            continue
        found.append(Item(id, at, values_of(given, at, nested, complaints)))
    yield from sorted(found, key=lambda item: (_order(item.values.pop("order", None)), item.id))


def withdrawn(plain: Mapping[str, object], root: str) -> set[str]:
    """Return the UUIDs of the items of a map that are withdrawn."""
    table = plain.get(root)
    given = table.items() if isinstance(table, Mapping) else ()
    return {str(id) for id, item in given if isinstance(item, Mapping) and is_withdrawn(item)}


def table_of(plain: Mapping[str, object], root: str, complaints: Complaints) -> Mapping[str, object]:
    """Return one of the maps of a document; empty when it is missing or none."""
    given = plain.get(root, {})
    if isinstance(given, Mapping):
        return {str(key): value for key, value in given.items()}
    complaints.error(FILE, root, "walk-not-a-map", given=short(given))
    return {}


def tell_other_roots(plain: Mapping[str, object], complaints: Complaints) -> None:
    """Complain of maps that no walk has."""
    for name in plain:
        if name not in ROOTS:
            complaints.error(FILE, short(name), "unknown-key", do=suggestion(str(name), ROOTS), key=short(name))


def values_of(given: Mapping[str, object], at: str, nested: Collection[str], complaints: Complaints) -> Values:
    """Return the values of a flat map that can be written and read again, and complain of the others.

    What says nothing (null, an empty text) is left out.
    """
    found: Values = {}
    for key, value in given.items():
        place = f"{at}, {short(key)}"
        if value is None or value == "" or key == "withdrawn":
            continue
        if isinstance(value, str) and len(value) > LONGEST:
            complaints.error(FILE, place, "walk-too-long", length=len(value), most=LONGEST)
        elif not _is_writable(key) or not (_is_scalar(value) or (key in nested and _is_nested(value, 0))):
            complaints.error(FILE, place, "walk-not-plain", key=short(key), given=short(_kind(value)))
        else:
            found[key] = str(value) if isinstance(value, int) and abs(value) > _LARGEST else value
    return found


def is_withdrawn(item: Mapping[str, object]) -> bool:
    """Tell whether an item is taken away."""
    return str(item.get("withdrawn", "")).strip().lower() in _YES


def number_or_text(value: object) -> object:
    """Return a text that is a plain number as that number, so that it counts as one without a unit.

    Examples
    --------
    >>> number_or_text(" 30 "), number_or_text("0.5"), number_or_text("3/8 in"), number_or_text(True)
    (30, 0.5, '3/8 in', True)
    """
    if not isinstance(value, str) or not _PLAIN_NUMBER.fullmatch(value.strip()):
        return value
    text = value.strip()
    return float(text) if "." in text else int(text)


def _order(given: object) -> float:
    number = number_or_text(given)
    is_number = isinstance(number, int | float) and not isinstance(number, bool) and math.isfinite(number)
    return float(number) if is_number else math.inf  # type: ignore[arg-type]  # narrowed above


def _kind(value: object) -> object:
    """Return what a complaint says a value is."""
    return value.get("not plain", value) if isinstance(value, Mapping) else value


def _is_writable(text: object) -> bool:
    """Tell whether a text can be written to a file: half a surrogate pair cannot."""
    try:
        return isinstance(text, str) and bool(text.encode()) and len(text) <= LONGEST
    except UnicodeEncodeError:
        return False


def _is_scalar(value: object) -> bool:
    return _is_writable(value) if isinstance(value, str) else isinstance(value, bool | int | float)


def _is_nested(value: object, depth: int) -> bool:
    """Tell whether lists and tables hold nothing but plain values, and not too deep."""
    if depth > _DEEPEST:
        return False
    if isinstance(value, Mapping):
        return "not plain" not in value and all(
            _is_writable(key) and _is_nested(inner, depth + 1) for key, inner in value.items()
        )
    if isinstance(value, list | tuple):
        return all(_is_nested(inner, depth + 1) for inner in value)
    return value is None or _is_scalar(value)
