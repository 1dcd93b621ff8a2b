"""How much of base SI the units of the trade are, by definition."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

#: Whose units a person writes and reads.
UnitSystem = Literal["us", "metric"]
Language = Literal["en", "es"]

FOOT = 0.3048
INCH = 0.0254
US_SURVEY_FOOT = 1200 / 3937
SQUARE_FOOT = FOOT**2
CUBIC_FOOT = FOOT**3
CUBIC_YARD = 27 * CUBIC_FOOT
GALLON = 231 * INCH**3
LITRE = 1e-3
POUND = 0.45359237
SHORT_TON = 2000 * POUND
TONNE = 1000.0

#: What a length is counted in that was written without a unit. [m]
BARE_LENGTH: Mapping[UnitSystem, float] = {"us": FOOT, "metric": 1.0}
