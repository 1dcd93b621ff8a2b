"""How long water takes to dry: the published rates, and what no formula holds for."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import OutOfRangeError
from courtwright.ground.drying import Weather, hours_to_dry, menzel_rate, saturation_pressure, uno_rate

#: A pound a square foot and hour, in metres of water a second; a mile an hour; a nickel.
LB_FT2_H = 0.45359237 / 0.3048**2 / 1000 / 3600
MPH, NICKEL = 0.44704, 1.95e-3


def _weather(water_f: float, air_f: float, humidity: float, mph: float) -> Weather:
    return Weather((air_f - 32) / 1.8, humidity, mph * MPH, (water_f - 32) / 1.8)


@pytest.mark.reference("psychrolib-saturation")
@pytest.mark.parametrize(("celsius", "pascal"), [(5, 872.6), (25, 3169.7), (50, 12351.3)])
def test_saturation_pressure_is_that_of_the_handbook(celsius: float, pascal: float):
    """ASHRAE Fundamentals 2017, chapter 1, table 3, to 3 in 10,000."""
    assert saturation_pressure(celsius) == pytest.approx(pascal, rel=3e-4)


@pytest.mark.reference("evaporation-formulas")
@pytest.mark.parametrize(
    ("at", "uno", "menzel", "hours"),
    [
        ((87, 80, 0.5, 12), 0.2435, 0.2362, 1.69),
        ((70, 70, 0.5, 5), 0.0615, 0.0586, 6.82),
        ((90, 90, 0.3, 10), 0.2690, 0.2611, 1.53),
        ((60, 55, 0.7, 3), 0.0268, 0.0253, 15.8),
        ((55, 55, 0.8, 2), 0.0081, 0.0084, 47.6),
    ],
)
def test_rates_are_those_of_the_formulas(at: tuple, uno: float, menzel: float, hours: float):
    """Water and air in °F, humidity, wind in mph: lb/ft²/h to half the last digit; hours for a nickel's depth."""
    weather = _weather(*at)
    assert uno_rate(weather) / LB_FT2_H == pytest.approx(uno, abs=6e-5)
    assert menzel_rate(weather) / LB_FT2_H == pytest.approx(menzel, abs=6e-5)
    assert NICKEL / menzel_rate(weather) / 3600 == pytest.approx(hours, rel=6e-3)


def test_hours_lie_between_the_quicker_less_and_the_slower_more():
    """70 °F, 50 %, 5 mph: 1.95 mm at 0.3002 mm/h (Uno) 40 % quicker; 6.82 h (Menzel) 40 % slower."""
    low, high = hours_to_dry(NICKEL, _weather(70, 70, 0.5, 5))
    assert low == pytest.approx(1.95 / 0.3002 / 1.4, rel=2e-3)
    assert high == pytest.approx(6.82 / 0.6, rel=2e-3)


@given(st.floats(1, 40), st.floats(0, 0.95), st.floats(0, 15), st.floats(1e-4, 0.05))
def test_more_water_dampness_or_calm_dries_no_sooner(air: float, humidity: float, wind: float, depth: float):
    """Twice the depth takes twice as long; damper air and less wind no less than dry and windy."""
    low, high = hours_to_dry(depth, Weather(air, humidity, wind))
    assert low < high
    assert hours_to_dry(2 * depth, Weather(air, humidity, wind)) == pytest.approx((2 * low, 2 * high))
    damper = hours_to_dry(depth, Weather(air, humidity + 0.04, wind))
    calmer = hours_to_dry(depth, Weather(air, humidity, wind / 2))
    assert damper is None or damper[0] > low
    assert calmer[1] >= high


def test_a_calm_still_dries():
    """No wind is slow and not never: a 70 °F day at 50 %."""
    assert hours_to_dry(NICKEL, _weather(70, 70, 0.5, 0))[1] > 24


def test_full_air_and_frost_dry_nothing():
    """At 100 % nothing evaporates from water as warm as the air; dew falls on colder water; ice stays."""
    assert hours_to_dry(NICKEL, Weather(20, 1.0, 3)) is None
    assert hours_to_dry(NICKEL, Weather(25, 0.9, 3, surface=10)) is None
    assert hours_to_dry(NICKEL, Weather(20, 1.0, 3, surface=35)) is not None
    frost = Weather(-3, 0.4, 3)
    assert frost.freezes
    assert hours_to_dry(NICKEL, frost) is None


@pytest.mark.parametrize("wrong", [(20, 1.2, 1), (20, -0.1, 1), (20, 0.5, -1), (200, 0.5, 1), (float("nan"), 0.5, 1)])
def test_what_no_weather_is_is_refused(wrong: tuple):
    """Humidity beyond 100 %, wind below nought, heat beyond any."""
    with pytest.raises(OutOfRangeError):
        Weather(*wrong)
