"""The edge between numbers as people write and read them and base SI inside.

Feet exist only here: they become metres once on the way in and once on the way out.
"""

from courtwright.units.printing import KINDS, show
from courtwright.units.reading import (
    parse_area,
    parse_length,
    parse_mass,
    parse_quantity,
    parse_slope,
    parse_speed,
    parse_temperature,
    parse_volume,
    registry,
)
from courtwright.units.sizes import (
    BARE_LENGTH,
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
    US_SURVEY_FOOT,
    Language,
    UnitSystem,
)

__all__ = [
    "BARE_LENGTH",
    "CUBIC_FOOT",
    "CUBIC_YARD",
    "FOOT",
    "GALLON",
    "INCH",
    "KINDS",
    "LITRE",
    "POUND",
    "SHORT_TON",
    "SQUARE_FOOT",
    "TONNE",
    "US_SURVEY_FOOT",
    "Language",
    "UnitSystem",
    "parse_area",
    "parse_length",
    "parse_mass",
    "parse_quantity",
    "parse_slope",
    "parse_speed",
    "parse_temperature",
    "parse_volume",
    "registry",
    "show",
]
