"""Facts of the slab itself: what it is made of, how old, how thick, how coated."""

from __future__ import annotations

from collections.abc import Collection

from courtwright.ground.reading import PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Mark, Pad
from courtwright.trade.load import tolerances
from courtwright.verdict.facts.walked import was_walked

#: Wear that means the coating no longer holds.
_COMES_OFF = frozenset({"peeling", "bubbled"})
#: Wear of the colour alone; a worn place of which nobody said how is no more than that.
_LOSES_COLOUR = frozenset({"faded", None})


def facts(pad: Pad, reading: PadReading, year: int | None) -> dict[str, FactValue]:
    """Return the facts of the slab that record and reading support."""
    coated = None if pad.coating is None else pad.coating != "none"
    return {
        "surface": pad.surface,
        "tendons_disproved": True if pad.surface == "asphalt" else None,
        "age": _years(pad.built, year),
        "asphalt_thickness": _thickness(pad, "asphalt_thickness", pad.asphalt_thickness),
        "base_thickness": _thickness(pad, "base_thickness", pad.base_thickness),
        "base_wet": _wet(pad),
        "coated": coated,
        "coating_age": _years(pad.last_resurfaced, year),
        "coating_before_1980": _coated_early(pad, coated),
        "peeling_share": _worn(pad, reading, _COMES_OFF),
        "worn_share": _worn(pad, reading, _LOSES_COLOUR),
        "sports": Span.exactly(len({court.sport for court in pad.courts})) if pad.courts else None,
        "joints_need_repair": _joints(pad),
    }


def _years(since: int | None, year: int | None) -> Span | None:
    return None if since is None or year is None or since > year else Span.exactly(year - since)


def _thickness(pad: Pad, name: str, said: float | None) -> Span | None:
    """Return the thinnest probe; else what the owner's papers say. [m]."""
    probed = [t for probe in pad.of_kind("probe") if (t := probe.number(name)) is not None]
    if probed:
        return Span.exactly(min(probed))
    return None if said is None else Span.exactly(said)


def _wet(pad: Pad) -> bool | None:
    seen = [probe.properties.get("wet") for probe in pad.of_kind("probe")]
    return True if True in seen else False if False in seen else None


def _coated_early(pad: Pad, coated: bool | None) -> bool | None:
    if coated is False:
        return False
    if pad.built is None:
        return None
    if pad.built >= tolerances().old_coating:
        return False
    return True if coated else None


def _worn(pad: Pad, reading: PadReading, wear: Collection[str | None]) -> Span | None:
    """Return the share of the pad that is worn in one of these ways. [-]"""
    if not was_walked(pad):
        return None
    drawn = sum(mark.geometry.area for mark in pad.of_kind("worn") if mark.word("wear") in wear)
    counted = sum(t.area or 0.0 for t in pad.tallies if t.mark == "worn" and t.properties.get("wear") in wear)
    return Span.exactly(min(1.0, max(drawn, counted) / reading.area))


def comes_off(worn: Mark) -> bool:
    """Tell whether the coating no longer holds at a worn place."""
    return worn.word("wear") in _COMES_OFF


def loses_colour(worn: Mark) -> bool:
    """Tell whether the colour is worn at a place whose coating still holds."""
    return worn.word("wear") in _LOSES_COLOUR


def _joints(pad: Pad) -> bool | None:
    joints = pad.of_kind("joint")
    if not joints:
        return False if was_walked(pad) and pad.surface == "asphalt" else None
    states = {joint.word("state") for joint in joints}
    if states & {"open", "stepped", "broken", "failed"}:
        return True
    return None if None in states else False
