"""SI is printed as the trade writes it, without false digits, and what is printed can be read again."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright import units
from courtwright.errors import QuantityError

FOOT, INCH = 0.3048, 0.0254

# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "kind", "us", "metric"),
    [
        (150.5 * INCH, "length", "12' 6-1/2\"", "3.82 m"),
        (12 * FOOT, "length", "12'", "3.66 m"),
        (6.5 * INCH, "length", '6-1/2"', "165 mm"),
        (120.3 * FOOT, "length", "120' 4\"", "36.7 m"),
        (140 * FOOT, "run", "140 lf", "42.7 m"),
        (1237 * FOOT, "run", "1,240 lf", "377 m"),
        (0.375 * INCH, "small", "3/8 in", "9.5 mm"),
        (1.5 * INCH, "small", "1-1/2 in", "38 mm"),
        (2 * INCH, "small", "2 in", "51 mm"),
        (0.0, "small", "0 in", "0 mm"),
        (7200 * FOOT**2, "area", "7,200 sf", "669 m²"),
        (4.2 * FOOT**2, "area", "4.2 sf", "0.39 m²"),
        (30.1 * INCH, "small", "30 in", "765 mm"),
        (111 * 27 * FOOT**3, "volume", "111 cy", "84.9 m³"),
        (2 * 27 * FOOT**3, "volume", "2 cy", "1.53 m³"),
        (0.4 * 27 * FOOT**3, "volume", "10.8 cf", "0.306 m³"),
        (60 * 231 * INCH**3, "liquid", "60 gal", "227 l"),
        (66 * 907.18474, "mass", "66 tons", "59.9 t"),
        (1 * 907.18474, "mass", "1 ton", "0.907 t"),
        (0.0083, "slope", "0.83 %", "0.83 %"),
        (0.31, "share", "31 %", "31 %"),
        (0.034, "share", "3.4 %", "3.4 %"),
        (31.4, "percent", "31 %", "31 %"),
        (12300.0, "money", "$12,300", "$12,300"),
        (24.5, "money", "$24.50", "$24.50"),
        (1234.56, "money", "$1,235", "$1,235"),
        (-120.0, "money", "-$120", "-$120"),
        (1973.0, "year", "1973", "1973"),
        (1.0, "years", "1 year", "1 year"),
        (12.4, "years", "12 years", "12 years"),
        (2.5, "days", "2.5 days", "2.5 days"),
        (24.0, "hours", "24 h", "24 h"),
        (14404.0, "count", "14,404", "14,404"),
        (math.pi / 6, "angle", "30°", "30°"),
        (math.inf, "run", "∞", "∞"),
        (-0.01, "slope", "-1 %", "-1 %"),
    ],
)
def test_every_kind_in_both_systems(value: float, kind: str, us: str, metric: str):
    """Three figures of what was measured; fractions of an inch; money to the dollar; years without a comma."""
    assert units.show(value, kind) == us
    assert units.show(value, kind, "metric") == metric


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [
        (140 * FOOT, "run", "140 pies"),
        (0.375 * INCH, "small", "3/8 pulg"),
        (7200 * FOOT**2, "area", "7,200 pies²"),
        (2.0, "years", "2 años"),
        (1.0, "days", "1 día"),
        (12300.0, "money", "$12,300"),
    ],
)
def test_spanish_names_units_and_writes_numbers_as_the_united_states_do(value: float, kind: str, text: str):
    """Units are Spanish; thousands keep their comma."""
    assert units.show(value, kind, "us", "es") == text


#: The largest step between neighbours in print, absolute [SI] or relative.
RESOLUTION = {
    ("length", "us"): (0.5 * INCH, 0),
    ("length", "metric"): (0.05, 0),
    ("small", "us"): (INCH / 32, 0),
    ("small", "metric"): (0.0005, 0),
    ("run", "us"): (0, 0.005),
    ("run", "metric"): (0, 0.005),
    ("area", "us"): (0, 0.005),
    ("area", "metric"): (0, 0.005),
    ("volume", "us"): (0, 0.005),
    ("volume", "metric"): (0, 0.005),
    ("liquid", "us"): (0, 0.005),
    ("liquid", "metric"): (0, 0.005),
    ("mass", "us"): (0, 0.005),
    ("mass", "metric"): (0, 0.005),
    ("slope", "us"): (0.0005, 0),
    ("share", "metric"): (0.005, 0),
}
LARGEST = {"length": 900.0, "small": 0.6, "slope": 1.0, "share": 1.0}


@given(part=st.floats(1e-3, 1.0), how=st.sampled_from(sorted(RESOLUTION)), language=st.sampled_from(("en", "es")))
def test_what_is_printed_reads_back_within_its_resolution(
    part: float, how: tuple[str, units.UnitSystem], language: units.Language
):
    """Print and read is the identity, but for the digits that print leaves out."""
    kind, system = how
    value = part * LARGEST.get(kind, 1e4)
    absolute, relative = RESOLUTION[how]
    again = units.parse_quantity(units.show(value, kind, system, language), kind, system)
    assert again == pytest.approx(value, abs=absolute * 1.0001, rel=relative * 1.0001)


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", units.KINDS)
def test_what_is_not_a_number_is_not_printed(kind: str):
    """NaN is refused for every kind."""
    with pytest.raises(QuantityError):
        units.show(math.nan, kind)
