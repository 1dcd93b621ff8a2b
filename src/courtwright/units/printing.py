"""Prints SI in the reader's units and language, without false digits."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from fractions import Fraction

from courtwright.errors import QuantityError
from courtwright.says import say
from courtwright.units.sizes import (
    CUBIC_FOOT,
    CUBIC_YARD,
    FOOT,
    GALLON,
    INCH,
    LITRE,
    POUND,
    SHORT_TON,
    SQUARE_FOOT,
    TONNE,
    Language,
    UnitSystem,
)


def _significant(value: float, digits: int = 3) -> str:
    """Return ``value`` to so many significant digits, thousands parted, no trailing zeros.

    >>> _significant(14404.0), _significant(42.672), _significant(0.5), _significant(0.0)
    ('14,400', '42.7', '0.5', '0')
    """
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:,.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _places(value: float, places: int) -> str:
    text = f"{value:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _mixed(inches: float, denominator: int) -> str:
    """Return inches as the trade writes them, ``6-1/2``, to one part in ``denominator``."""
    parts = round(inches * denominator)
    whole, rest = divmod(parts, denominator)
    if rest == 0:
        return f"{whole:,}"
    fraction = Fraction(rest, denominator)
    return f"{whole:,}-{fraction}" if whole else str(fraction)


def _feet_and_inches(value: float) -> str:
    """Return a dimension to the half inch, or to the inch from 100 ft on."""
    denominator = 2 if value < 100 * FOOT else 1
    parts = round(value / INCH * denominator)
    feet, rest = divmod(parts, 12 * denominator)
    inches = _mixed(rest / denominator, denominator)
    if feet == 0:
        return f'{inches}"'
    return f"{feet:,}'" if rest == 0 else f"{feet:,}' {inches}\""


def _length_text(value: float, units: UnitSystem, language: Language) -> str:
    if units == "us":
        return _feet_and_inches(value)
    if value < 0.5:
        return f"{_places(value * 1000, 0)} mm"
    return f"{_places(value, 2 if value < 30 else 1)} m"


def _run_text(value: float, units: UnitSystem, language: Language, digits: int = 3) -> str:
    if units == "us":
        return f"{_significant(value / FOOT, digits)} {'lf' if language == 'en' else 'pies'}"
    return f"{_significant(value, digits)} m"


def _small_text(value: float, units: UnitSystem, language: Language) -> str:
    if units == "metric":
        millimetres = value * 1000
        return f"{_places(millimetres, 1) if millimetres < 10 else _places(millimetres, 0)} mm"
    inches = value / INCH
    text = _significant(inches, 1) if 0 < inches < 1 / 32 else _mixed(inches, 16 if inches < 24 else 4)
    return f"{text} {'in' if language == 'en' else 'pulg'}"


def _area_text(value: float, units: UnitSystem, language: Language, digits: int = 3) -> str:
    if units == "us":
        return f"{_significant(value / SQUARE_FOOT, digits)} {'sf' if language == 'en' else 'pies²'}"
    return f"{_significant(value, digits)} m²"


def _volume_text(value: float, units: UnitSystem, language: Language) -> str:
    if units == "metric":
        return f"{_significant(value)} m³"
    if value < 0.5 * CUBIC_YARD:
        return f"{_significant(value / CUBIC_FOOT)} {'cf' if language == 'en' else 'pies³'}"
    return f"{_significant(value / CUBIC_YARD)} {'cy' if language == 'en' else 'yd³'}"


def _liquid_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_significant(value / GALLON)} gal" if units == "us" else f"{_significant(value / LITRE)} l"


def _mass_text(value: float, units: UnitSystem, language: Language) -> str:
    if units == "metric":
        return f"{_significant(value / TONNE)} t" if value >= 0.5 * TONNE else f"{_significant(value)} kg"
    if value < 0.5 * SHORT_TON:
        return f"{_significant(value / POUND)} lb"
    text = _significant(value / SHORT_TON)
    names = ("ton", "tons") if language == "en" else ("ton corta", "ton cortas")
    return f"{text} {names[text != '1']}"


def _percent_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_places(value, 0) if abs(value) >= 10 else _significant(value, 2)} %"


def _share_text(value: float, units: UnitSystem, language: Language) -> str:
    return _percent_text(value * 100, units, language)


def _slope_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_places(value * 100, 2 if abs(value) < 0.1 else 1)} %"


def _money_text(value: float, units: UnitSystem, language: Language) -> str:
    """Whole dollars; cents for what costs under 1,000 and is not whole."""
    amount = abs(value)
    has_cents = amount < 1000 and round(amount, 2) != round(amount)
    return f"{'-' if value < 0 and round(amount, 2) else ''}${amount:,.{2 if has_cents else 0}f}"


def _number_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 or value == round(value) else _significant(value)


def _count_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{round(value):,}"


def _year_text(value: float, units: UnitSystem, language: Language) -> str:
    return str(round(value))


def _spell_of(en: tuple[str, str], es: tuple[str, str]) -> Callable[[float, UnitSystem, Language], str]:
    def text(value: float, units: UnitSystem, language: Language) -> str:
        number = _places(value, 1 if value < 10 else 0)
        return f"{number} {(en if language == 'en' else es)[number != '1']}"

    return text


def _hours_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_places(value, 1 if value < 10 else 0)} h"


def _angle_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_places(math.degrees(value), 0)}°"


def _temperature_text(value: float, units: UnitSystem, language: Language) -> str:
    return f"{_places(value * 9 / 5 + 32, 0)} °F" if units == "us" else f"{_places(value, 0)} °C"


_PRINTERS: Mapping[str, Callable[[float, UnitSystem, Language], str]] = {
    "length": _length_text,
    "run": _run_text,
    "about_run": functools.partial(_run_text, digits=2),
    "small": _small_text,
    "area": _area_text,
    "about_area": functools.partial(_area_text, digits=2),
    "volume": _volume_text,
    "liquid": _liquid_text,
    "mass": _mass_text,
    "slope": _slope_text,
    "share": _share_text,
    "percent": _percent_text,
    "money": _money_text,
    "number": _number_text,
    "count": _count_text,
    "year": _year_text,
    "years": _spell_of(("year", "years"), ("año", "años")),
    "days": _spell_of(("day", "days"), ("día", "días")),
    "hours": _hours_text,
    "angle": _angle_text,
    "temperature": _temperature_text,
}
#: Kinds that `show` prints.
KINDS: tuple[str, ...] = tuple(_PRINTERS)
_SIGNED_BY_THEMSELVES = ("money", "year", "temperature")


def show(value: float, kind: str, units: UnitSystem = "us", language: Language = "en") -> str:
    r"""Return an SI value as a reader of these units and this language writes it, without false digits.

    Parameters
    ----------
    value : float
        In base SI; money in US dollars, times in the unit of their kind. [by kind]
    kind : str
        One of ``KINDS``: ``length`` (feet and inches to the half inch; m), ``run`` (lf; m),
        ``about_run`` and ``about_area`` (to two figures, after the word "about"), ``small`` (inches to
        the sixteenth; mm), ``area`` (sf; m²), ``volume`` (cy; m³), ``liquid`` (gal; l), ``mass`` (short tons; t),
        ``slope``, ``share`` (0 to 1 as percent), ``percent`` (percent already), ``money``, ``number``, ``count``,
        ``year``, ``years``, ``days``, ``hours``, ``angle`` (radians as degrees), ``temperature`` (°C; °F, °C).
    units : {"us", "metric"}
        The reader's units.
    language : {"en", "es"}
        The reader's language. Spanish numbers follow the usage of the United States: ``12,300.5``.

    Returns
    -------
    str
        Number and unit.

    Raises
    ------
    QuantityError
        If the value is NaN.

    Examples
    --------
    >>> show(3.8227, "length"), show(0.009525, "small"), show(668.9, "area"), show(0.0083, "slope")
    ('12\' 6-1/2"', '3/8 in', '7,200 sf', '0.83 %')
    >>> show(10, "temperature"), show(10, "temperature", "metric"), show(-10, "temperature")
    ('50 °F', '10 °C', '14 °F')
    >>> show(42.672, "run"), show(42.672, "run", "metric"), show(12300, "money"), show(1973, "year")
    ('140 lf', '42.7 m', '$12,300', '1973')
    """
    if math.isnan(value):
        raise QuantityError(say("units.no-number", given="NaN", kind=say(f"units.kind-{kind}")))
    if math.isinf(value):
        return "∞" if value > 0 else "-∞"
    if value < 0 and kind not in _SIGNED_BY_THEMSELVES:
        return "-" + _PRINTERS[kind](-value, units, language)
    return _PRINTERS[kind](value, units, language)
