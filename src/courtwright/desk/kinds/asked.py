"""What a worker is asked about a site: made at the desk, read again in the worker, by one record each.

The payload is a `parcel` of ``ask.json``, one JSON object with the record's fields, and the site: either
``site.zip``, or each of its files as ``site/NAME``; for an offer also ``logo.png``, where the contractor has one.
Nothing of the rooms is imported here, so that the desk may.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar, get_args

from courtwright.desk.kinds import parcel
from courtwright.errors import CallError
from courtwright.says import say

ASK, ZIP, FOLDER, LOGO = "ask.json", "site.zip", "site/", "logo.png"
#: What the sheet of an accepted offer is made of.
RECORD = "accepted.json"

#: A site: the bytes of a zip, or its files by name.
Site = bytes | Mapping[str, bytes]
What = Literal["check", "ground", "verdict", "price", "maps"]
Language = Literal["en", "es"]
UnitSystem = Literal["us", "metric"]
A = TypeVar("A", "AnswerAsked", "OfferAsked", "StakesAsked", "SurveyAsked")

_ONE_OF: Mapping[str, tuple[object, ...]] = {
    "what": get_args(What),
    "language": get_args(Language),
    "units": (*get_args(UnitSystem), None),
    "layout": ("one", "courts", "least"),
    "grading": ("fine", "coarse"),
}
_NUMBERS = ("slope_min", "slope_max", "least", "stone")
_KINDS: Mapping[str, type | tuple[type, ...]] = {
    "seed": int,
    "budget": bool,
    "name": str,
    "issued_on": str,
    "start": (str, type(None)),
    "contractor": (dict, type(None)),
    "options": (dict, type(None)),
    "reasons": (dict, type(None)),
    "prices": (dict, type(None)),
    "texts": (dict, type(None)),
    "hashes": (dict, type(None)),
    "house": (dict, type(None)),
    "terms": (dict, type(None)),
    "pad": str,
    "file": str,
    "points": list,
    **dict.fromkeys(_NUMBERS, (int, float, type(None))),
}
_SHA256 = re.compile(r"[0-9a-f]{64}")
_CONTRACTOR = {"name", "licence", "address", "phone"}
_TEXTS = {"greeting", "note", "closing", "options"}
_LANGUAGES = set(get_args(Language))


@dataclass(frozen=True, slots=True)
class AnswerAsked:
    """A question about a site.

    Parameters
    ----------
    what : {"check", "ground", "verdict", "price", "maps"}
        Which answer.
    language : {"en", "es"}
        Of its sentences.
    units : {"us", "metric"} or None
        Of its sentences; None for the job's own.
    seed : int
        Of everything drawn at random. [-]
    name : str
        What the site is called in a complaint about the whole.
    house : mapping of str to mapping or None
        The contractor's own rates by id: ``value``, ``unit``, ``date`` and ``note``, as `trade.house_rates.HouseRate`.
    """

    what: What
    language: Language = "en"
    units: UnitSystem | None = None
    seed: int = 1
    name: str = "site"
    house: Mapping[str, Mapping[str, Any]] | None = None


@dataclass(frozen=True, slots=True)
class OfferAsked:
    """An offer to be written.

    Parameters
    ----------
    issued_on : str
        The date on the paper, ISO.
    start : str or None
        First day of work, ISO, when it is agreed.
    budget : bool
        A letter with ranges instead of an offer.
    language : {"en", "es"}
        Of the paper.
    seed : int
        Of everything drawn at random. [-]
    contractor : mapping or None
        Who offers: ``name``, ``licence``, ``address``, ``phone``; None for the one of the trade's data.
    options : mapping of str to list of str or None
        The options to show, by pad; of a pad that is not named, and where it is None, those that a paper shows.
    reasons : mapping of str to mapping of str to str or None
        Why a choice of options differs from what a paper shows, by pad and option.
    prices : mapping of str to mapping of str to mapping or None
        Firm prices set by hand, by pad and option: ``firm_price`` [money], whole, and ``because``.
    texts : mapping or None
        What is written by hand: ``greeting``, ``note``, ``closing``, and ``options``, a note by pad and option.
    hashes : mapping of str to str or None
        SHA-256 by name of files that are handed over in part only.
    name : str
        What the site is called in a complaint about the whole.
    house : mapping of str to mapping or None
        The contractor's own rates, as in `AnswerAsked`.
    terms : mapping of str to mapping of str to str or None
        What the contractor says in words of its own, by subject (one of `trade.papers.SUBJECTS`) and language.
    """

    issued_on: str
    start: str | None = None
    budget: bool = False
    language: Language = "en"
    seed: int = 1
    contractor: Mapping[str, str] | None = None
    options: Mapping[str, list[str]] | None = None
    reasons: Mapping[str, Mapping[str, str]] | None = None
    prices: Mapping[str, Mapping[str, Mapping[str, Any]]] | None = None
    texts: Mapping[str, Any] | None = None
    hashes: Mapping[str, str] | None = None
    name: str = "site"
    house: Mapping[str, Mapping[str, Any]] | None = None
    terms: Mapping[str, Mapping[str, str]] | None = None


@dataclass(frozen=True, slots=True)
class StakesAsked:
    """A new surface to be staked out on one pad; None: as the trade has it.

    Parameters
    ----------
    pad : str
        Which.
    slope_min, slope_max : float or None
        Least and most slope. [m/m]
    least, stone : float or None
        Least thickness, and largest stone of the mix. [m]
    grading : {"fine", "coarse"}
        Of the mix.
    layout : {"one", "courts", "least"}
        One plane, one a court, or whichever needs less.
    points : list of list of float
        What has to be met: x and y, with a height where it is not that of the ground. [m]
    language : {"en", "es"}
        Of the files.
    units : {"us", "metric"} or None
        Of the files; None for the job's own.
    name : str
        What the site is called in a complaint about the whole.
    """

    pad: str
    slope_min: float | None = None
    slope_max: float | None = None
    least: float | None = None
    stone: float | None = None
    grading: Literal["fine", "coarse"] = "fine"
    layout: Literal["one", "courts", "least"] = "one"
    points: list[list[float]] = dataclasses.field(default_factory=list[list[float]])
    language: Language = "en"
    units: UnitSystem | None = None
    name: str = "site"


@dataclass(frozen=True, slots=True)
class SurveyAsked:
    """A survey file to be looked at, as the heights of the one pad of a site.

    Parameters
    ----------
    file : str
        Its name there.
    language : {"en", "es"}
        Of the sentences.
    units : {"us", "metric"} or None
        Of the sentences; None for the job's own.
    name : str
        What the site is called in a complaint about the whole.
    """

    file: str
    language: Language = "en"
    units: UnitSystem | None = None
    name: str = "site"


def payload(ask: AnswerAsked | OfferAsked | StakesAsked | SurveyAsked, site: Site) -> bytes:
    """Return what a worker is handed: the question and the site. A logo is put beside them by its name.

    Raises
    ------
    InputError
        If the site is too large to be handed over.
    """
    files = {ZIP: site} if isinstance(site, bytes) else {FOLDER + name: content for name, content in site.items()}
    return parcel.pack({ASK: json.dumps(dataclasses.asdict(ask)).encode(), **files})


def asked(kind: type[A], handed: bytes) -> tuple[A, Site]:
    """Return the question and the site that a payload holds.

    Raises
    ------
    InputError
        If the payload is no whole parcel.
    CallError
        If the question is not one of this kind.
    """
    parts = parcel.unpack(handed)
    ask = _read(kind, parts.pop(ASK, b""))
    if ZIP in parts:
        return ask, parts[ZIP]
    return ask, {name.removeprefix(FOLDER): content for name, content in parts.items() if name.startswith(FOLDER)}


def _read(kind: type[A], text: bytes) -> A:
    try:
        values = json.loads(text)
    except ValueError as error:
        raise _wrong(ASK) from error
    fields = {field.name: field for field in dataclasses.fields(kind)}
    if not isinstance(values, dict):
        raise _wrong(ASK)
    for name, value in values.items():
        if name not in fields or not _may_be(name, value):
            raise _wrong(str(name))
    for name, field in fields.items():
        if name not in values and field.default is field.default_factory is dataclasses.MISSING:
            raise _wrong(name)
    return kind(**values)


def _may_be(name: str, value: Any) -> bool:
    if name in _ONE_OF:
        return value in _ONE_OF[name]
    if not isinstance(value, _KINDS[name]) or (name == "seed" and isinstance(value, bool)):
        return False
    if name in _NUMBERS and value is not None:
        return _is_number(value)
    if name == "points":
        return all(isinstance(one, list) and len(one) in (2, 3) and all(map(_is_number, one)) for one in value or ())
    if name == "contractor" and value is not None:
        return value.keys() <= _CONTRACTOR and "name" in value and all(isinstance(v, str) for v in value.values())
    if name == "options" and value is not None:
        return all(isinstance(of, list) and all(isinstance(one, str) for one in of) for of in value.values())
    if name in _BY_HAND and value is not None:
        return _BY_HAND[name](value)
    if name == "house" and value is not None:
        return all(map(_is_house_rate, value.values()))
    if name == "hashes" and value is not None:
        return all(isinstance(v, str) and _SHA256.fullmatch(v) for v in value.values())
    return name not in ("issued_on", "start") or value is None or _is_date(value)


def _are_tables(value: Any, is_one: Callable[[Any], bool]) -> bool:
    """Tell whether a value is a table of tables, as by pad and option."""
    return isinstance(value, dict) and all(
        isinstance(of, dict) and all(map(is_one, of.values())) for of in value.values()
    )


def _are_terms(value: dict[str, Any]) -> bool:
    return _are_tables(value, _is_text) and all(of.keys() <= _LANGUAGES for of in value.values())


def _is_number(value: Any) -> bool:
    return type(value) in (int, float) and math.isfinite(value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_price(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and value.keys() == {"firm_price", "because"}
        and type(value["firm_price"]) is int
        and value["firm_price"] > 0
        and isinstance(value["because"], str)
    )


def _is_house_rate(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and value.keys() == {"value", "unit", "date", "note"}
        and type(value["value"]) in (int, float)
        and 0 <= value["value"] < math.inf
        and all(isinstance(value[name], str) for name in ("unit", "date", "note"))
        and _is_date(value["date"])
    )


def _are_texts(value: dict[str, Any]) -> bool:
    lines = [text for name, text in value.items() if name != "options"]
    return value.keys() <= _TEXTS and all(map(_is_text, lines)) and _are_tables(value.get("options", {}), _is_text)


_BY_HAND: Mapping[str, Callable[[Any], bool]] = {
    "reasons": lambda value: _are_tables(value, _is_text),
    "prices": lambda value: _are_tables(value, _is_price),
    "texts": _are_texts,
    "terms": _are_terms,
}


def _is_date(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _wrong(name: str) -> CallError:
    return CallError(say("desk.asked-wrong", name=name), fix=say("desk.asked-wrong-do"))
