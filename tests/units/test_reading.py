"""Quantities as the trade writes them become SI, or are refused in words."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.trade.words import render

# --- published answers --------------------------------------------------------------------------


@pytest.mark.reference("nist-sp-811")
@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        # Appendix B.8, factors printed in bold there: exact
        ("1 ft", "length", 3.048e-1),
        ("1 in", "length", 2.54e-2),
        ("1 yd", "length", 9.144e-1),
        ("1 mil", "length", 2.54e-5),
        ("1 sf", "area", 9.290304e-2),
        ("1 lb", "mass", 4.5359237e-1),
    ],
)
def test_exact_factors(text: str, kind: str, si: float):
    """International foot, inch, yard, mil and pound are exact by definition."""
    assert units.parse_quantity(text, kind) == pytest.approx(si, rel=1e-14)


@pytest.mark.reference("nist-sp-811")
@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        # Appendix B.8, seven figures printed: within half of the last
        ("1 us survey ft", "length", 3.048006e-1),
        ("1 sy", "area", 8.361274e-1),
        ("1 cf", "volume", 2.831685e-2),
        ("1 cy", "volume", 7.645549e-1),
        ("1 gal", "liquid", 3.785412e-3),
        ("1 ton", "mass", 9.071847e2),
        ("1 acre", "area", 4.046873e3),
    ],
)
def test_printed_factors(text: str, kind: str, si: float):
    """Survey foot, square and cubic units, the US gallon, short ton and survey acre, to the seven figures printed."""
    half_digit = 0.5 * 10 ** (math.floor(math.log10(si)) - 6)
    assert units.parse_quantity(text, kind) == pytest.approx(si, abs=half_digit)


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3' 4-1/2\"", 40.5),
        ("3/8 in", 0.375),
        ('2-1/2"', 2.5),
        ("2 1/2 in", 2.5),
        ("12' 6-1/2\"", 150.5),
        ("12′ 6½″", 150.5),
        ("12’6 1/2”", 150.5),
        ("1 ft 3 in", 15),
        ("1ft-3in", 15),
        ("1' - 3\"", 15),
        ("5' 6", 66),
        ("7 Feet 2 Inches", 86),
        ("0.5 in.", 0.5),
        (".5 in", 0.5),
        ("1,200 ft", 14400),
        ("140 lf", 1680),
        ("2 pies 3 pulg", 27),
        ("⅜ in", 0.375),
        ("10\u00a0ft", 120),
    ],
)
def test_trade_notation_is_read_exactly(text: str, inches: float):
    """Feet and inches in every usual writing; an inch is 0.0254 m."""
    assert units.parse_length(text) == pytest.approx(inches * 0.0254, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("40 mm", 0.04), ("2,5 m", 2.5), ("2.5 m", 2.5), ("12 cm", 0.12), ("0,125 m", 0.125), ("1.5e2 mm", 0.15)],
)
def test_metric_lengths_are_read_exactly(text: str, metres: float):
    """Metres, centimetres and millimetres, with a point or a comma as decimal mark."""
    assert units.parse_length(text) == metres


def test_a_plain_number_is_in_the_writers_unit():
    """Feet or metres, square feet or square metres, as the job says."""
    assert units.parse_length(10, "us") == units.parse_length("10", "us") == units.parse_length("10 ft", "metric")
    assert units.parse_length(10, "metric") == 10.0
    assert units.parse_area(200) == pytest.approx(200 * 0.3048**2)
    assert units.parse_quantity(3, "volume", "metric") == 3.0
    assert units.parse_quantity(3, "volume") == pytest.approx(3 * 0.764554857984)
    assert units.parse_mass(2) == pytest.approx(2 * 907.18474)
    assert units.parse_quantity(2, "mass", "metric") == 2000.0
    assert units.parse_quantity(5, "liquid") == pytest.approx(5 * 3.785411784e-3)
    assert units.parse_quantity(5, "liquid", "metric") == pytest.approx(5e-3)


@pytest.mark.parametrize(
    ("text", "slope"),
    [
        ("0.83 %", 0.0083),
        ("1/8 in/ft", 1 / 96),
        ('1/8" per ft', 1 / 96),
        ("1 in per 10 ft", 1 / 120),
        ("1:120", 1 / 120),
        ("1 in 120", 1 / 120),
        ("10 mm/m", 0.01),
        (0.01, 0.01),
    ],
)
def test_slopes(text: object, slope: float):
    """Percent, inches to the foot, one in so many, or plain rise over run."""
    assert units.parse_slope(text) == pytest.approx(slope, rel=1e-12)


def test_the_two_feet_differ_by_two_parts_in_a_million():
    """1200/3937 m over 0.3048 m is 1.000002 exactly to seven figures: 1200/(3937 × 0.3048) = 1.0000020000."""
    ratio = units.parse_length("1 usft") / units.parse_length("1 ft")
    assert ratio == pytest.approx(1.000002, abs=1e-9)


def test_constants_are_those_of_the_registry():
    """What is printed without the registry uses the same sizes as what is read through it."""
    sizes = {
        "foot": units.FOOT,
        "inch": units.INCH,
        "survey_foot": units.US_SURVEY_FOOT,
        "foot**2": units.SQUARE_FOOT,
        "foot**3": units.CUBIC_FOOT,
        "yard**3": units.CUBIC_YARD,
        "US_liquid_gallon": units.GALLON,
        "litre": units.LITRE,
        "pound": units.POUND,
        "short_ton": units.SHORT_TON,
        "metric_ton": units.TONNE,
    }
    for name, size in sizes.items():
        dimension = next(d for d in ("metre", "metre**2", "metre**3", "kilogram") if _fits(name, d))
        assert units.registry().Quantity(1.0, name).to(dimension).magnitude == pytest.approx(size, rel=1e-12), name


def _fits(name: str, dimension: str) -> bool:
    return units.registry().Quantity(1.0, name).is_compatible_with(dimension)


@given(feet=st.integers(0, 500), sixteenths=st.integers(0, 191))
def test_feet_and_inches_add_up(feet: int, sixteenths: int):
    """``F' I-n/16"`` is F feet and I n/16 inches."""
    whole, rest = divmod(sixteenths, 16)
    text = f"{feet}' {whole}-{rest}/16\"" if rest else f"{feet}' {whole}\""
    assert units.parse_length(text) == pytest.approx((feet * 12 + sixteenths / 16) * 0.0254, rel=1e-14, abs=1e-15)


def test_reading_trade_notation_needs_no_registry():
    """A site in feet, inches and millimetres is read without loading pint."""
    code = (
        "import sys, courtwright.site, courtwright.units as u;"
        "u.parse_length('3 1/2 in'); u.parse_length('40 mm'); u.show(2.0, 'area');"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "given_value",
    [
        *("abc", "", "ft", "3 kg", "1/0 in", "1 2 3", "3 in in", "5 ft * 3", "9**9**9**9", "9" * 70, "-3 ft", "−3 ft"),
        *("nan", "inf", "1e999", "3 sf", "1.2.3 ft", "__import__('os')", "3 ft; 4 in", "twelve feet"),
        *(True, False, None, [1], {"a": 1}, float("nan"), float("inf"), -1, -0.5),
    ],
)
def test_what_is_no_length_is_refused_with_what_was_typed(given_value: object):
    """A refusal repeats the text, says what was expected and what to write, in both languages."""
    with pytest.raises(QuantityError) as caught:
        units.parse_length(given_value)
    assert caught.value.fix is not None
    for language in ("en", "es"):
        assert str(given_value)[:20] in render(caught.value.problem, language)
        assert "12' 6-1/2\"" in render(caught.value.fix, language)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("30", "share"), ("2:1", "slope"), ("80", "slope"), ("2.5", "count"), ("3 ft", "area"), ("x", "hours")],
)
def test_other_kinds_are_refused_too(text: str, kind: str):
    """A share over 1, a slope steeper than 1, half a thing, an area in feet."""
    with pytest.raises(QuantityError):
        units.parse_quantity(text, kind)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("32 F", 0.0), ("212 °F", 100.0), ("-40 F", -40.0), ("−40 °C", -40.0), ("21,5 C", 21.5), ("70 deg F", 190 / 9)],
)
def test_temperatures_are_read_on_both_scales(text: str, celsius: float):
    """Ice, steam, and where the scales meet; the degree sign may lack."""
    assert units.parse_temperature(text) == pytest.approx(celsius)


@pytest.mark.parametrize(
    ("text", "speed"),
    [("1 mph", 0.44704), ("36 km/h", 10.0), ("2 m/s", 2.0), ("10 ft/s", 3.048), ("1 kn", 1852 / 3600)],
)
def test_speeds_are_read_in_the_units_of_wind(text: str, speed: float):
    """By definition of mile, foot and nautical mile."""
    assert units.parse_speed(text) == pytest.approx(speed)


@pytest.mark.parametrize(
    "text", ["70", "", "F", "70 K", "seventy F", "-300 C", "1e999 F", "9" * 70 + " F", None, 70, True]
)
def test_a_temperature_without_its_scale_is_refused(text: object):
    """A bare 30 may be a mild day or a frost; nothing is colder than absolute zero."""
    with pytest.raises(QuantityError) as caught:
        units.parse_temperature(text)
    assert "70 F" in render(caught.value.fix, "es")


@pytest.mark.parametrize("text", ["5", "", "mph", "5 miles", "-5 mph", "nan mph", "5 m", None, 5])
def test_a_speed_without_its_unit_is_refused(text: object):
    """Miles of nothing are no wind."""
    with pytest.raises(QuantityError) as caught:
        units.parse_speed(text)
    assert "5 mph" in render(caught.value.fix, "en")
