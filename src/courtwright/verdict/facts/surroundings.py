"""Facts of what stands round the pad: trees, posts, services, the way in."""

from __future__ import annotations

import math

from courtwright.ground.reading import PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Mark, Pad, Tally
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import tolerances
from courtwright.verdict.facts.walked import largest, was_walked

#: Services that lie shallow enough to meet a machine that cuts the base (TRADE rule 27).
_SHALLOW = frozenset({"power", "water", "gas", "irrigation"})


def facts(pad: Pad, reading: PadReading) -> dict[str, FactValue]:
    """Return the facts of the surroundings that marks support."""
    rooted = [heave.height for heave in reading.heaves if heave.near_trees]
    counted = [_height(tally) for tally in tallies_beyond_marks(pad) if tally.mark == "heave"]
    # A heave that was counted and not drawn may be any tree's.
    perhaps = counted if pad.of_kind("trees") else []
    return {
        "heave_height_max": largest([*(heave.height for heave in reading.heaves), *counted], pad),
        "root_heave_height": _perhaps_higher(largest(rooted, pad), perhaps),
        "roots_lift_pad": True if rooted else None if perhaps or not was_walked(pad) else False,
        "root_barrier_within_reach": _barrier(pad),
        "machine_access_width": _way_in(pad),
        "shallow_services": _services(pad),
        "posts_sound": _posts(pad),
    }


def _height(tally: Tally) -> float | None:
    value = tally.properties.get("height")
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _perhaps_higher(known: Span | None, perhaps: list[float | None]) -> Span | None:
    """Return the height of the highest heave when some more may belong to it. [m]"""
    if known is None or not perhaps:
        return known
    return Span(known.low, max(known.high, *(math.inf if height is None else height for height in perhaps)))


def _barrier(pad: Pad) -> bool | None:
    reach = [
        (mark.geometry.distance(pad.outline), width)
        for mark in pad.of_kind("trees")
        if (width := mark.number("trunk_diameter")) is not None
    ]
    return all(distance >= tolerances().trunk_reach * width for distance, width in reach) if reach else None


def _way_in(pad: Pad) -> Span | None:
    widths = [width for gate in pad.of_kind("gate") if (width := gate.number("clear_width")) is not None]
    return Span.exactly(max(widths)) if widths else None


def _services(pad: Pad) -> bool | None:
    found = [mark for mark in pad.of_kind("utility") if mark.geometry.intersects(pad.outline)]
    kinds = {mark.word("utility") for mark in found}
    if kinds & _SHALLOW:
        return True
    return None if None in kinds or "unknown" in kinds or not found else False


def _posts(pad: Pad) -> bool | None:
    posts = pad.of_kind("post")
    if not posts:
        return None
    return not any(map(is_bad_post, posts))


def is_bad_post(post: Mark) -> bool:
    """Tell whether a post leans or was lifted."""
    lean = math.radians(post.number("lean_deg") or 0.0)
    return lean > tolerances().post_lean or post.properties.get("lifted") is True
