"""Reads quantities as people write them, into base SI.

Trade notation (``12' 6-1/2"``, ``3/8 in``, ``40 mm``) is read directly; every other unit goes through one
pint registry, built when it is first needed. The international foot (0.3048 m) and the US survey
foot (1200/3937 m) are distinct.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from courtwright.errors import QuantityError
from courtwright.says import say
from courtwright.units.sizes import BARE_LENGTH, CUBIC_YARD, GALLON, LITRE, SHORT_TON, SQUARE_FOOT, TONNE, UnitSystem

if TYPE_CHECKING:
    import pint

#: Longest text read as a quantity; anything longer is prose.
_LONGEST = 60

_VULGAR = {
    **{"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"},
    **{"⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6"},
}
_LIKE = str.maketrans(
    {
        **dict.fromkeys("′’‘´`ʹ", "'"),
        **dict.fromkeys("″“”ʺ", '"'),
        **dict.fromkeys("–—−‐‑‒", "-"),
        **dict.fromkeys("\u00a0\u2009\u202f\u2007\t", " "),
        "⁄": "/",
        "²": "^2",
        "³": "^3",
        "×": "x",
        **{sign: f" {text}" for sign, text in _VULGAR.items()},
    }
)

_DECIMAL = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?|\.\d+)(?:e[+-]?\d{1,2})?"
_NUMBER = rf"(?:(?:\d+(?:\s*-\s*|\s+))?\d+/\d+|{_DECIMAL})"
_FEET = r"(?:'|ft\.?|foot|feet|pies?)"
_INCHES = r'(?:"|\'\'|in\.?|inch(?:es)?|pulg(?:adas?)?\.?)'
_TRADE_LENGTH = re.compile(
    rf"(?:(?P<feet>{_NUMBER})\s*{_FEET}(?:\s*[-,]?\s*(?P<inches>{_NUMBER})\s*{_INCHES}?)?"
    rf"|(?P<only_inches>{_NUMBER})\s*{_INCHES})"
)
_WITH_UNIT = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>[a-zµ%°][a-zµ. ]*?(?:\^|\*\*)?[23]?\.?)?")
_RATIO = re.compile(rf"(?P<rise>{_DECIMAL})\s*(?::| in )\s*(?P<run>{_DECIMAL})")

#: Units as the trade writes them, for pint. Lower case; a full stop is dropped before the look-up.
_UNITS: Mapping[str, str] = {
    **dict.fromkeys(("lf", "lin ft", "linear ft", "linear feet", "ft", "foot", "feet", "pie", "pies"), "foot"),
    **dict.fromkeys(("pies lineales", "pie lineal"), "foot"),
    **dict.fromkeys(("usft", "us ft", "us survey ft", "us survey foot", "us survey feet", "sft"), "survey_foot"),
    **dict.fromkeys(("in", "inch", "inches", "pulg", "pulgada", "pulgadas"), "inch"),
    **dict.fromkeys(("yd", "yard", "yards", "yarda", "yardas"), "yard"),
    **dict.fromkeys(("mil", "mils"), "thou"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "metro", "metros"), "metre"),
    **dict.fromkeys(("sf", "sq ft", "sqft", "square feet", "square foot", "ft2", "pies2", "pie2"), "foot**2"),
    **dict.fromkeys(("pies cuadrados", "pie cuadrado"), "foot**2"),
    **dict.fromkeys(("sy", "sq yd", "sqyd", "square yards", "square yard", "yd2"), "yard**2"),
    **dict.fromkeys(("m2", "sq m", "sqm", "square metres", "square meters", "metros cuadrados"), "metre**2"),
    **dict.fromkeys(("cy", "cu yd", "cuyd", "cubic yards", "cubic yard", "yd3", "yardas3"), "yard**3"),
    **dict.fromkeys(("cf", "cu ft", "cuft", "cubic feet", "cubic foot", "ft3", "pies3", "pie3"), "foot**3"),
    **dict.fromkeys(("m3", "cu m", "cum", "cubic metres", "cubic meters", "metros cubicos"), "metre**3"),
    **dict.fromkeys(("gal", "gals", "gallon", "gallons", "galon", "galones"), "US_liquid_gallon"),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters", "litro", "litros"), "litre"),
    **dict.fromkeys(("ton", "tons", "short ton", "short tons", "ton corta", "ton cortas"), "short_ton"),
    **dict.fromkeys(("t", "tonne", "tonnes", "metric ton", "metric tons", "tonelada", "toneladas"), "metric_ton"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "libra", "libras"), "pound"),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours", "hora", "horas"), "hour"),
    **dict.fromkeys(("d", "day", "days", "dia", "dias", "día", "días"), "day"),
    **dict.fromkeys(("years", "year", "yr", "yrs", "año", "años"), "year"),
    **dict.fromkeys(("deg", "degree", "degrees", "°", "grados"), "degree"),
}
#: Metric lengths are as common as feet in a site folder, and need no registry.
_PER_METRE: Mapping[str, int] = {"m": 1, "cm": 100, "mm": 1000}
_EXACT_INCH = Fraction(254, 10_000)
_TEMPERATURE = re.compile(
    rf"(?P<minus>-\s*)?(?P<number>{_DECIMAL})\s*(?:°\s*|deg(?:rees)?\s+)?(?P<scale>f|c|fahrenheit|celsius)\.?"
)
_ABSOLUTE_ZERO = -273.15
_SPEED = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>[a-z][a-z/]*)")
#: By definition: the mile is 1609.344 m, the nautical mile 1852 m.
_METRES_A_SECOND: Mapping[str, float] = {
    **dict.fromkeys(("mph", "mi/h"), 0.44704),
    **dict.fromkeys(("km/h", "kmh", "kph"), 1 / 3.6),
    "m/s": 1.0,
    "ft/s": 0.3048,
    **dict.fromkeys(("kn", "kt", "kts", "knot", "knots", "nudo", "nudos"), 1852 / 3600),
}


@functools.cache
def registry() -> pint.UnitRegistry[Any]:
    """Return the one pint registry, built on first use and kept in memory only."""
    import pint  # a site written in feet, inches and millimetres never needs it

    return pint.UnitRegistry(cache_folder=None)


def _plain(text: str) -> str:
    """Return ``text`` with one spelling for primes, dashes, blanks and fractions."""
    return re.sub(r"\s+", " ", text.translate(_LIKE)).strip().lower()


def _refusal(id: str, given: object, kind: str) -> QuantityError:
    problem = say(f"units.{id}", given=str(given)[:_LONGEST], kind=say(f"units.kind-{kind}"))
    return QuantityError(problem, fix=say(f"units.write-{kind}"))


def _number(text: str) -> float:
    """Return a decimal or a mixed fraction."""
    return float(_exactly(text))


def _exactly(text: str) -> Fraction:
    """Return a decimal or a mixed fraction as written. A comma parts thousands when three digits follow it.

    Any other comma is a decimal mark.
    """
    if "/" in text:
        whole, _, fraction = text.replace("-", " ").rpartition(" ")
        return Fraction(int(whole or 0)) + Fraction(fraction)
    if "," in text:
        is_thousands = re.fullmatch(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?", text)
        text = text.replace(",", "" if is_thousands else ".")
    return Fraction(text)


def _checked(value: float, given: object, kind: str) -> float:
    if not math.isfinite(value):
        raise _refusal("no-number", given, kind)
    if value < 0:
        raise _refusal("negative", given, kind)
    return _without_noise(value)


def _without_noise(value: float) -> float:
    """Return a value at 12 significant digits: 8 ft and 96 in are the same number, on either side of a limit."""
    return float(f"{value:.12g}")


def _guarded(read: Callable[[str, UnitSystem], float], given: object, kind: str, default: UnitSystem) -> float:
    """Apply ``read`` to a text, refusing what is no text, too long, or unreadable, in one way."""
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        raise _refusal("unreadable", given, kind)
    text = _plain(given) if isinstance(given, str) else repr(float(given))
    if not text or len(text) > _LONGEST:
        raise _refusal("unreadable", given, kind)
    if text.lstrip("-+") in ("nan", "inf", "infinity"):
        raise _refusal("no-number", given, kind)
    if text.startswith("-"):
        raise _refusal("negative", given, kind)
    try:
        value = read(text, default)
    except (ValueError, ArithmeticError) as error:
        raise _refusal("unreadable", given, kind) from error
    return _checked(value, given, kind)


class _UnreadableError(ValueError):
    """Raised within this file for a text that is no quantity of the kind; becomes a ``QuantityError``."""


def _with_unit(text: str, bare: float, dimension: str) -> float:
    """Return number times unit in base SI; ``bare`` is what a number without a unit is counted in."""
    match = _WITH_UNIT.fullmatch(text)
    if match is None:
        raise _UnreadableError(text)
    number, unit = _number(match["number"]), (match["unit"] or "").strip()
    return number * (_si_of(unit, dimension) if unit else bare)


@functools.lru_cache(maxsize=256)
def _si_of(unit: str, dimension: str) -> float:
    """Return how much of base SI one ``unit`` is."""
    import pint  # as in `registry`

    name = unit.replace(".", "").replace("^", "").replace("**", "").strip()
    known = _UNITS.get(name) or re.sub(r"([23])$", r"**\1", name)
    try:
        quantity = registry().Quantity(1.0, known).to(dimension)
    except (pint.PintError, AttributeError, ValueError, TypeError, AssertionError) as error:
        raise _UnreadableError(unit) from error
    return float(quantity.magnitude)


def _length(text: str, default: UnitSystem) -> float:
    if match := _TRADE_LENGTH.fullmatch(text):
        feet, inches = match["feet"], match["inches"] or match["only_inches"]
        return float((12 * _exactly(feet or "0") + _exactly(inches or "0")) * _EXACT_INCH)
    match = _WITH_UNIT.fullmatch(text)
    if match and match["unit"] in _PER_METRE:
        return float(_exactly(match["number"]) / _PER_METRE[match["unit"]])
    return _with_unit(text, BARE_LENGTH[default], "metre")


def _area(text: str, default: UnitSystem) -> float:
    return _with_unit(text, SQUARE_FOOT if default == "us" else 1.0, "metre**2")


def _volume(text: str, default: UnitSystem) -> float:
    return _with_unit(text, CUBIC_YARD if default == "us" else 1.0, "metre**3")


def _liquid(text: str, default: UnitSystem) -> float:
    return _with_unit(text, GALLON if default == "us" else LITRE, "metre**3")


def _mass(text: str, default: UnitSystem) -> float:
    return _with_unit(text, SHORT_TON if default == "us" else TONNE, "kilogram")


def _share(text: str, default: UnitSystem) -> float:
    value = _number(text.rstrip("% ")) * (0.01 if text.endswith("%") else 1.0)
    if value > 1:
        raise _UnreadableError(text)
    return value


def _slope(text: str, default: UnitSystem) -> float:
    if match := _RATIO.fullmatch(text):
        return _gentle(_number(match["rise"]) / _number(match["run"]), text)
    rise, mark, run = text.rpartition(" per ") if " per " in text else text.rpartition("/")
    if mark and re.match(r"[a-z']", run.strip()):
        run = f"1 {run.strip()}"
    if mark and rise and not run.strip().isdigit():
        return _gentle(_length(rise.strip(), default) / _length(run.strip(), default), text)
    percent = text.endswith("%")
    return _gentle(_number(text.rstrip("% ")) * (0.01 if percent else 1.0), text)


def _gentle(slope: float, text: str) -> float:
    """Refuse what rises more than it runs: someone wrote run to rise, or percent as a share."""
    if slope > 1:
        raise _UnreadableError(text)
    return slope


def _count(text: str, default: UnitSystem) -> float:
    value = _number(text)
    if value != round(value):
        raise _UnreadableError(text)
    return value


def _timed(unit: str) -> Callable[[str, UnitSystem], float]:
    """Return a reader of times that are kept in hours or years, not in seconds."""

    def read(text: str, default: UnitSystem) -> float:
        return _with_unit(text, 1.0, unit)

    return read


def _degrees(text: str, default: UnitSystem) -> float:
    return _number(text.removesuffix("degrees").removesuffix("deg").rstrip("° "))


def _anything(text: str, default: UnitSystem) -> float:
    return _number(text)


_READERS: Mapping[str, Callable[[str, UnitSystem], float]] = {
    "length": _length,
    "run": _length,
    "small": _length,
    "area": _area,
    "volume": _volume,
    "liquid": _liquid,
    "mass": _mass,
    "slope": _slope,
    "share": _share,
    "count": _count,
    "hours": _timed("hour"),
    "days": _timed("day"),
    "years": _timed("year"),
    "degrees": _degrees,
    "number": _anything,
}


def parse_quantity(given: object, kind: str, default: UnitSystem = "us") -> float:
    r"""Return what a person wrote, in base SI.

    Parameters
    ----------
    given : str, int or float
        The text as typed, or a number in the default unit of the kind.
    kind : str
        ``length``, ``run``, ``small`` [m], ``area`` [m²], ``volume``, ``liquid`` [m³], ``mass`` [kg],
        ``slope``, ``share`` [-], ``count``, ``number`` [-], ``hours`` [h], ``days`` [d], ``years`` [a],
        ``degrees`` [deg].
    default : {"us", "metric"}
        What a number without a unit is counted in: ft, sf, cy, gal, short tons, or m, m², m³, l, t.

    Returns
    -------
    float
        The quantity. [base SI, or as the kind says]

    Raises
    ------
    QuantityError
        If nobody can read it, or it is negative, not a number or infinite.

    Examples
    --------
    >>> round(parse_quantity("12' 6-1/2\"", "length"), 4)
    3.8227
    >>> parse_quantity("31 %", "share")
    0.31
    """
    return _guarded(_READERS[kind], given, kind, default)


def parse_length(given: object, default: UnitSystem = "us") -> float:
    r"""Return a length. [m]

    Parameters
    ----------
    given : str, int or float
        As typed; a plain number is feet or metres by ``default``. [ft or m]
    default : {"us", "metric"}
        The writer's units.

    Returns
    -------
    float
        Length. [m]

    Raises
    ------
    QuantityError
        If it cannot be read, is negative, not a number or infinite.

    Examples
    --------
    >>> [parse_length(text) for text in ("3' 4-1/2\"", "3/8 in", "2½″", "1 ft 3 in", "40 mm", 10)]
    [1.0287, 0.009525, 0.0635, 0.381, 0.04, 3.048]
    """
    return parse_quantity(given, "length", default)


def parse_area(given: object, default: UnitSystem = "us") -> float:
    """Return an area (sf, sy, m2, acre …). [m²]

    >>> round(parse_area("800 sy"), 2), round(parse_area(7200), 2)
    (668.9, 668.9)
    """
    return parse_quantity(given, "area", default)


def parse_volume(given: object, default: UnitSystem = "us") -> float:
    """Return a volume (cy, cf, gal, l, m3). [m³]

    >>> round(parse_volume("1 cy"), 6), round(parse_volume("264 gal"), 4)
    (0.764555, 0.9993)
    """
    return parse_quantity(given, "volume", default)


def parse_mass(given: object, default: UnitSystem = "us") -> float:
    """Return a mass (ton is the US short ton; t, lb, kg). [kg]

    >>> round(parse_mass("1 ton"), 5), parse_mass("1 t")
    (907.18474, 1000.0)
    """
    return parse_quantity(given, "mass", default)


def parse_slope(given: object) -> float:
    """Return a slope: percent, ``1/8 in/ft``, ``1:120``, or a plain rise over run. [-]

    >>> [round(parse_slope(text), 5) for text in ("0.83 %", "1/8 in/ft", "1:120", "10 mm/m", 0.01)]
    [0.0083, 0.01042, 0.00833, 0.01, 0.01]
    """
    return parse_quantity(given, "slope", "metric")


def parse_temperature(given: object) -> float:
    """Return a temperature; its scale has to be written, since 30 is a mild day on one and a frost on the other. [°C]

    Parameters
    ----------
    given : str
        As typed: ``70 F``, ``21 °C``, ``-5 C``.

    Raises
    ------
    QuantityError
        If it cannot be read, names no scale, or is below absolute zero.

    Examples
    --------
    >>> [round(parse_temperature(text), 2) for text in ("70 F", "21 °C", "-5 C", "-40 °F")]
    [21.11, 21.0, -5.0, -40.0]
    """
    match = _TEMPERATURE.fullmatch(_plain(given)) if isinstance(given, str) and len(given) <= _LONGEST else None
    if match is None:
        raise _refusal("unreadable", given, "temperature")
    value = _number(match["number"]) * (-1 if match["minus"] else 1)
    celsius = _without_noise((value - 32) * 5 / 9) if match["scale"].startswith("f") else value
    if celsius < _ABSOLUTE_ZERO:
        raise _refusal("no-number", given, "temperature")
    return celsius


def parse_speed(given: object) -> float:
    """Return a speed; its unit has to be written. [m/s]

    Parameters
    ----------
    given : str
        As typed: ``5 mph``, ``10 km/h``, ``2 m/s``, ``6 knots``.

    Raises
    ------
    QuantityError
        If it cannot be read, names no unit, or is negative.

    Examples
    --------
    >>> [round(parse_speed(text), 3) for text in ("5 mph", "18 km/h", "2 m/s")]
    [2.235, 5.0, 2.0]
    """
    return _guarded(_speed, given, "speed", "metric")


def _speed(text: str, default: UnitSystem) -> float:
    match = _SPEED.fullmatch(text)
    if match is None or match["unit"] not in _METRES_A_SECOND:
        raise _UnreadableError(text)
    return _number(match["number"]) * _METRES_A_SECOND[match["unit"]]
