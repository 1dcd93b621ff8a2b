"""Where the facts of a pad lie: the marks, pieces, low spots, courts and old repairs that each was derived from.

The place that says most comes first: the widest crack, the deepest water, the largest piece. A fact that somebody
answered was told of the whole pad and has no place of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping

from courtwright.ground.cracks import edge_length
from courtwright.ground.network import lines_of
from courtwright.ground.reading import OldRepair, PadReading
from courtwright.site.record import Mark, Pad
from courtwright.verdict.facts.cracks import PATCH
from courtwright.verdict.facts.slab import comes_off, loses_colour
from courtwright.verdict.facts.surroundings import is_bad_post
from courtwright.verdict.facts.water import edges_above, is_wrong, marks_at_edge
from courtwright.verdict.records import Fact, Place

Facts = Mapping[str, Fact]
Finder = Callable[[Pad, PadReading], Iterable[Place]]


def places_of(names: Iterable[str], facts: Facts, pad: Pad, reading: PadReading) -> tuple[Place, ...]:
    """Return the places that some facts speak of, each once.

    Parameters
    ----------
    names : iterable of str
        Names of the facts; those told first lead.
    facts : mapping of str to Fact
        What is known of the pad.
    pad : Pad
        The record of the pad.
    reading : PadReading
        What the ground room made of it.

    Returns
    -------
    tuple of Place
        Empty where the facts speak of the whole pad, or of what was counted and not drawn.
    """
    derived = [name for name in names if name in _FINDERS and not facts[name].answered]
    return tuple(dict.fromkeys(place for name in derived for place in _FINDERS[name](pad, reading)))


def _marks(marks: Iterable[Mark]) -> Iterator[Place]:
    return (Place("mark", mark.id) for mark in marks)


def _largest_first(marks: Iterable[Mark], *names: str) -> Iterator[Place]:
    """Yield marks by the largest of some of their numbers, those without any last."""

    def size(mark: Mark) -> float:
        return max((number for name in names if (number := mark.number(name)) is not None), default=-math.inf)

    return _marks(sorted(marks, key=size, reverse=True))


def _cracks(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _largest_first(pad.of_kind("crack"), "width", "width_max")


def _steps(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _largest_first((mark for mark in pad.of_kind("crack") if mark.number("step")), "step")


def _edge_cracks(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _marks(mark for mark in pad.of_kind("crack") if edge_length(pad, lines_of(mark)) > 0)


def _free_pieces(pad: Pad, reading: PadReading) -> Iterator[Place]:
    free = (piece for piece in reading.pieces if piece.free)
    return (Place("piece", piece.id) for piece in sorted(free, key=lambda piece: piece.area, reverse=True))


def _heaves(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _lifted(reading, only_roots=False)


def _root_heaves(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _lifted(reading, only_roots=True)


def _lifted(reading: PadReading, *, only_roots: bool) -> Iterator[Place]:
    found = [heave for heave in reading.heaves if heave.near_trees or not only_roots]
    return (Place("mark", heave.id) for heave in sorted(found, key=lambda heave: heave.height or 0.0, reverse=True))


def _strips(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _failed_first(repair for repair in reading.old_repairs if repair.repair != PATCH)


def _patches(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _failed_first(repair for repair in reading.old_repairs if repair.repair == PATCH)


def _failed_first(repairs: Iterable[OldRepair]) -> Iterator[Place]:
    """Yield the drawn repairs of which some has failed, the most failed first."""
    failed = [repair for repair in repairs if repair.failed_share and not repair.outline.is_empty]
    return (Place("repair", repair.id) for repair in sorted(failed, key=_failed, reverse=True))


def _failed(repair: OldRepair) -> float:
    return (repair.failed_share or 0.0) * repair.length


def _low_spots(pad: Pad, reading: PadReading) -> Iterator[Place]:
    deepest = sorted(reading.low_spots, key=lambda spot: spot.depth_max, reverse=True)
    return (Place("low-spot", spot.id) for spot in deepest)


def _sediment(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _marks(marks_at_edge(pad, "sand"))


def _higher_ground(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _marks(edges_above(pad, reading))


def _flattest(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return (Place("court", court.id) for court in sorted(reading.courts, key=lambda court: court.slope)[:1])


def _wrong_planes(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return (Place("court", court.id) for court in reading.courts if is_wrong(court))


def _thinnest_asphalt(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _thinnest(pad, "asphalt_thickness")


def _thinnest_base(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _thinnest(pad, "base_thickness")


def _thinnest(pad: Pad, name: str) -> Iterator[Place]:
    probed = [(depth, mark) for mark in pad.of_kind("probe") if (depth := mark.number(name)) is not None]
    return _marks(mark for _, mark in sorted(probed, key=lambda one: one[0])[:1])


def _wet(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _marks(mark for mark in pad.of_kind("probe") if mark.properties.get("wet") is True)


def _peeling(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _widest_first(mark for mark in pad.of_kind("worn") if comes_off(mark))


def _worn_colour(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _widest_first(mark for mark in pad.of_kind("worn") if loses_colour(mark))


def _widest_first(marks: Iterable[Mark]) -> Iterator[Place]:
    return _marks(sorted(marks, key=lambda mark: mark.geometry.area, reverse=True))


def _posts(pad: Pad, reading: PadReading) -> Iterator[Place]:
    return _marks(mark for mark in pad.of_kind("post") if is_bad_post(mark))


_FINDERS: Mapping[str, Finder] = {
    "crack_length": _cracks,
    "crack_width_max": _cracks,
    "crack_step_max": _steps,
    "edge_crack_length": _edge_cracks,
    "free_piece_share": _free_pieces,
    "heave_height_max": _heaves,
    "roots_lift_pad": _root_heaves,
    "root_heave_height": _root_heaves,
    "hollow_share": _strips,
    "failed_patch_area": _patches,
    "low_spot_depth_max": _low_spots,
    "ponding_share": _low_spots,
    "low_edge_blocked": _sediment,
    "run_on": _higher_ground,
    "plane_slope_min": _flattest,
    "plane_is_wrong": _wrong_planes,
    "asphalt_thickness": _thinnest_asphalt,
    "base_thickness": _thinnest_base,
    "base_wet": _wet,
    "peeling_share": _peeling,
    "worn_share": _worn_colour,
    "posts_sound": _posts,
}
