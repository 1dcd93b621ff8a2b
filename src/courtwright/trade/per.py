"""What one trade unit is in SI: exact, from the foot, the pound and the gallon.

References
----------
NIST, "Handbook 44", 2023 ed., Appendix C: foot 0.3048 m, avoirdupois pound 0.45359237 kg, gallon 231 in³.
"""

from __future__ import annotations

from collections.abc import Mapping

_FOOT = 0.3048
_INCH = _FOOT / 12
_POUND = 0.45359237
_GALLON = 231 * _INCH**3 * 1000
_YARD = 3 * _FOOT

#: Trade unit -> (SI unit of a quantity, how many of it one trade unit holds).
#: A ``court`` is 7,200 sf of pad, the area that per-court figures of the trade are for.
SIZES: Mapping[str, tuple[str, float]] = {
    "in": ("m", _INCH),
    "ft": ("m", _FOOT),
    "lf": ("m", _FOOT),
    "m": ("m", 1.0),
    "sf": ("m2", _FOOT**2),
    "sy": ("m2", _YARD**2),
    "court": ("m2", 7200 * _FOOT**2),
    "m2": ("m2", 1.0),
    "cy": ("m3", _YARD**3),
    "m3": ("m3", 1.0),
    "ton": ("t", 2 * _POUND),
    "t": ("t", 1.0),
    "gal": ("l", _GALLON),
    "l": ("l", 1.0),
    "each": ("ea", 1.0),
    "job": ("ea", 1.0),
    "day": ("day", 1.0),
    "year": ("year", 1.0),
    "hour": ("hour", 1.0),
    "degC": ("degC", 1.0),
    "mm": ("m", 0.001),
    "pct": ("-", 0.01),
    "lb/sy/in": ("t/m3", _POUND / 1000 / _YARD**2 / _INCH),
    "ton/cy": ("t/m3", 2 * _POUND / _YARD**3),
    "gal/sy": ("l/m2", _GALLON / _YARD**2),
    "gal/lf": ("l/m", _GALLON / _FOOT),
    "lf/court": ("m/m2", _FOOT / (7200 * _FOOT**2)),
    "sf/court": ("-", 1 / 7200),
    "sf/lf": ("m", _FOOT),
}

#: The area of pad that a figure "per court" is for. [m²]
COURT_AREA = SIZES["court"][1]
