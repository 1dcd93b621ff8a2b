"""How long standing water takes to dry in a given weather."""

from __future__ import annotations

import math
from dataclasses import dataclass

from courtwright.errors import OutOfRangeError
from courtwright.says import say

#: What is estimated may be off by so much either way (Hover 2020). [-]
_OFF = 0.4
_HOUR = 3600.0
#: Density of water; a kilogram a square metre is a millimetre. [kg/m³]
_WATER = 1000.0
#: By definition: lb/ft² in kg/m², mph in m/s, psi in Pa.
_LB_FT2, _MPH, _PSI = 0.45359237 / 0.3048**2, 0.44704, 6894.757293168
#: Weather in which somebody would stand on a court. [°C], [m/s]
_COLDEST, _HOTTEST, _STRONGEST = -60.0, 85.0, 45.0


@dataclass(frozen=True, slots=True)
class Weather:
    """The weather in which water is to dry, as somebody gave it.

    Parameters
    ----------
    air : float
        Temperature of the air. [°C]
    humidity : float
        Relative humidity, 0 to 1. [-]
    wind : float
        Wind at half a metre over the court. [m/s]
    surface : float or None
        Temperature of the water; None: that of the air. In sun it is higher, and drying quicker. [°C]

    Raises
    ------
    OutOfRangeError
        If the humidity is not between 0 and 1, or a temperature or the wind is none that occurs.
    """

    air: float
    humidity: float
    wind: float
    surface: float | None = None

    def __post_init__(self) -> None:
        temperatures = (self.air, self.water)
        if not all(_COLDEST <= degrees <= _HOTTEST for degrees in temperatures):
            raise OutOfRangeError(say("ground.no-temperature", air=self.air, surface=self.water))
        if not (0 <= self.humidity <= 1 and 0 <= self.wind <= _STRONGEST):
            raise OutOfRangeError(say("ground.no-weather", humidity=self.humidity, wind=self.wind))

    @property
    def water(self) -> float:
        """Temperature of the water. [°C]"""
        return self.air if self.surface is None else self.surface

    @property
    def freezes(self) -> bool:
        """Whether the water freezes: then no formula for evaporation holds."""
        return self.water <= 0


def saturation_pressure(temperature: float) -> float:
    """Return the pressure of water vapour over water. [Pa]

    Parameters
    ----------
    temperature : float
        Of the water, 0 to 200 °C; below 0 °C that over undercooled water. [°C]

    References
    ----------
    ASHRAE, "Handbook – Fundamentals", 2017, chapter 1, eq. 6 (Hyland and Wexler 1983); the coefficients from memory.

    Examples
    --------
    >>> round(saturation_pressure(25.0), 0)
    3169.0
    """
    t = temperature + 273.15
    powers = -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3
    return math.exp(powers + 6.5459673 * math.log(t))


def menzel_rate(weather: Weather) -> float:
    r"""Return how fast a water surface sinks, :math:`E = 0.44 (e_0 - r e_a)(0.253 + 0.096 V)`. [m/s]

    Parameters
    ----------
    weather : Weather
        Below nought where dew falls.

    Notes
    -----
    In the formula E is in lb/ft²/h, the vapour pressures at the water :math:`e_0` and in the air in psi, V in mph.

    References
    ----------
    Menzel, "Causes and prevention of crack development in plastic concrete", Portland Cement Association, 1954; as
    ACI 305R gives it; the coefficients from memory.
    """
    lack = (saturation_pressure(weather.water) - weather.humidity * saturation_pressure(weather.air)) / _PSI
    return 0.44 * lack * (0.253 + 0.096 * weather.wind / _MPH) * _LB_FT2 / _WATER / _HOUR


def uno_rate(weather: Weather) -> float:
    r"""Return how fast a water surface sinks, :math:`E = (T_c^{2.5} - r T_a^{2.5})(1 + 0.4 V) 10^{-6}`. [m/s]

    Parameters
    ----------
    weather : Weather
        Below nought where dew falls.

    Notes
    -----
    In the formula E is in lb/ft²/h, temperatures in °F, V in mph. It stands for air and water above 0 °F.

    References
    ----------
    Uno, "Plastic shrinkage cracking and evaporation formulas", ACI Materials Journal 95 (1998).
    """
    water, air = (max(degrees * 9 / 5 + 32, 0.0) for degrees in (weather.water, weather.air))
    lack = water**2.5 - weather.humidity * air**2.5
    return lack * (1 + 0.4 * weather.wind / _MPH) * 1e-6 * _LB_FT2 / _WATER / _HOUR


def hours_to_dry(depth: float, weather: Weather) -> tuple[float, float] | None:
    """Return between how many hours water of a depth dries; None where it freezes or nothing evaporates. [h]

    Parameters
    ----------
    depth : float
        Of the water, where it is deepest. [m]
    weather : Weather
        The weather, taken as lasting so long.

    Notes
    -----
    From the quicker of the two formulas, taken 40 % quicker, to the slower, taken 40 % slower. No sun, no seepage, no
    squeegee; on a pond's edge the water goes sooner.

    References
    ----------
    Hover, "Evaporation of water from concrete surfaces", ACI SP-338, 2020, the abstract: estimates are
    within 40 % of what was measured.

    Examples
    --------
    A nickel's depth on a mild day, and in air that holds no more water:

    >>> [round(hours, 1) for hours in hours_to_dry(1.95e-3, Weather(21.1, 0.5, 2.2)) or ()]
    [4.7, 11.5]
    >>> hours_to_dry(1.95e-3, Weather(21.1, 1.0, 2.2)) is None
    True
    """
    rates = menzel_rate(weather), uno_rate(weather)
    if weather.freezes or min(rates) <= 0:
        return None
    return depth / max(rates) / (1 + _OFF) / _HOUR, depth / min(rates) / (1 - _OFF) / _HOUR
