"""The court that the trade's per-court figures are for: 60 by 120 ft, all that matters known, nothing wrong."""

from __future__ import annotations

from shapely import Polygon

from courtwright.ground.reading import CrackReading, PadReading
from courtwright.measured import Span
from courtwright.site.record import Court, FactValue, Pad
from courtwright.trade.load import facts as fact_specs
from courtwright.trade.per import SIZES
from courtwright.verdict.records import Fact

_FOOT = SIZES["ft"][1]
_NUMBERS = {
    "machine_access_width": 12 * _FOOT,
    "asphalt_thickness": 3.5 * _FOOT / 12,
    "base_thickness": 6 * _FOOT / 12,
    "age": 20.0,
    "coats": 5.0,
    "coating_age": 7.0,
    "outlet_within": 60 * _FOOT,
    "plane_slope_min": 0.01,
}
_TRUE = (
    "coated",
    "edges_can_rise",
    "posts_sound",
    "tendons_disproved",
    "coating_tested_clean",
    "root_barrier_within_reach",
)


def standard_pad(courts: int = 1) -> Pad:
    """Return a pad of so many tennis courts side by side, 60 by 120 ft each."""
    width, length = 60 * courts * _FOOT, 120 * _FOOT
    centres = [((60 * i + 30) * _FOOT, length / 2) for i in range(courts)]
    return Pad(
        id="standard",
        outline=Polygon([(0, 0), (width, 0), (width, length), (0, length)]),
        surface="asphalt",
        coating="acrylic",
        courts=tuple(Court(str(i + 1), "tennis", centre) for i, centre in enumerate(centres)),
    )


def standard_reading(pad: Pad, crack_length: float = 0.0) -> PadReading:
    """Return the reading of a pad with nothing wrong but, if given, cracks 1/2 in wide. [m]"""
    cracks = CrackReading(crack_length, crack_length, (), 0.0, None, None, 0, 0, 0, 0.0, 0.0)
    return PadReading(pad.id, pad.outline.area, None, (), None, (), cracks, (), (), (), "clear")


def standard_facts(crack_length: float = 0.0) -> dict[str, Fact]:
    """Return every fact of a sound pad, known; cracks, if any, are 1/8 to 1-1/2 in wide. [m]"""
    return {name: Fact(name, _value(name, crack_length)) for name in fact_specs()}


def _value(name: str, crack_length: float) -> FactValue:
    kind = fact_specs()[name].kind
    if name in ("crack_length", "crack_length_bridgeable"):
        return Span.exactly(crack_length)
    if kind == "claim":
        return name in _TRUE
    return fact_specs()[name].words[0] if kind == "word" else Span.exactly(_NUMBERS.get(name, 0.0))
