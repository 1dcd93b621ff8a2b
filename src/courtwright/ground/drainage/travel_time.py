"""How long water takes to the outlet: sheet flow, shallow concentrated flow, channel, as TR-55 adds them."""

from __future__ import annotations

import math

_FOOT, _INCH, _HOUR = 0.3048, 0.0254, 3600.0
#: TR-55's velocities of shallow concentrated flow for a slope of 1. [ft/s]
_UNPAVED, _PAVED = 16.1345, 20.3282


def sheet_flow_time(roughness: float, length: float, rain_2_year: float, slope: float) -> float:
    """Return how long sheet flow takes by TR-55, ``0.007 (n L)^0.8 / (P2^0.5 s^0.4)`` in hours, feet, inches. [s]

    Parameters
    ----------
    roughness : float
        Manning's n of sheet flow. [-]
    length : float
        Of the flow; TR-55 of 1986 allows 300 ft, NRCS today 100 ft. [m]
    rain_2_year : float
        Rain of 24 hours that comes every second year. [m]
    slope : float
        Along the flow. [m/m]
    """
    spread = (roughness * length / _FOOT) ** 0.8
    return 0.007 * spread / (math.sqrt(rain_2_year / _INCH) * slope**0.4) * _HOUR


def kinematic_time(roughness: float, length: float, intensity: float, slope: float) -> float:
    """Return how long sheet flow takes by HEC-22, ``0.933 (n L / √S)^0.6 / i^0.4`` in minutes, feet, in/h. [s]

    Parameters
    ----------
    roughness : float
        Manning's n of sheet flow. [-]
    length : float
        Of the flow. [m]
    intensity : float
        Of the rain. [m/s]
    slope : float
        Along the flow. [m/m]
    """
    inches_an_hour = intensity / _INCH * _HOUR
    return 0.933 * (roughness * length / _FOOT / math.sqrt(slope)) ** 0.6 / inches_an_hour**0.4 * 60.0


def shallow_velocity(slope: float, is_paved: bool) -> float:
    """Return how fast shallow concentrated flow runs by TR-55. ``slope`` is along it [m/m]. [m/s]"""
    return (_PAVED if is_paved else _UNPAVED) * math.sqrt(slope) * _FOOT


def concentration_time(*times: float) -> float:
    """Return the time of concentration: that of every stretch, one after another. [s]

    Parameters
    ----------
    times : float
        Of sheet flow, shallow concentrated flow and channel. [s]
    """
    return math.fsum(times)
