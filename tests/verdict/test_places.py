"""Where findings lie: the things of a pad that their facts were derived from."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Point, Polygon, box

from courtwright.ground import read_pad
from courtwright.ground.reading import Heave, LowSpot, OldRepair, PadReading, Piece
from courtwright.measured import Span
from courtwright.site.record import Answer, Mark, Pad, Tally
from courtwright.verdict import judge_pad
from courtwright.verdict.facts import facts_of, places_of
from courtwright.verdict.records import Place

SLAB = box(0, 0, 20, 10)
#: In the middle of the slab, and a hand's breadth from its lower edge.
INNER = Mark("inner", "crack", LineString([(5, 5), (12, 5)]), {"width": 0.004})
OUTER = Mark("outer", "crack", LineString([(5, 0.1), (12, 0.1)]), {"width": 0.020, "step": 0.008})
UNSIZED = Mark("unsized", "crack", LineString([(3, 7), (6, 7)]))


def _places(name: str, pad: Pad, reading: PadReading | None = None) -> list[tuple[str, str]]:
    seen = read_pad(pad) if reading is None else reading
    return [(place.kind, place.id) for place in places_of([name], facts_of(pad, seen, None), pad, seen)]


def _pad(*marks: Mark, **more: object) -> Pad:
    return replace(Pad("p", SLAB, marks=marks), **more)


def test_the_widest_crack_leads_and_those_without_a_width_come_last() -> None:
    assert _places("crack_width_max", _pad(UNSIZED, INNER, OUTER)) == [
        ("mark", "outer"),
        ("mark", "inner"),
        ("mark", "unsized"),
    ]


def test_only_cracks_with_a_step_and_along_an_edge_are_told_of_as_such() -> None:
    pad = _pad(INNER, OUTER)
    assert _places("crack_step_max", pad) == _places("edge_crack_length", pad) == [("mark", "outer")]


def test_of_pieces_the_free_ones_are_told_the_largest_first() -> None:
    pieces = tuple(
        Piece(name, area, free, 1.0, box(0, 0, 1, area), is_body)
        for name, area, free, is_body in [("a", 2.0, True, False), ("b", 9.0, False, True), ("c", 5.0, True, False)]
    )
    pad = _pad(INNER)
    assert _places("free_piece_share", pad, replace(read_pad(pad), pieces=pieces)) == [("piece", "c"), ("piece", "a")]


def test_water_is_told_from_its_deepest_place() -> None:
    spots = tuple(
        LowSpot(name, 1.0, depth, 0.001, None, (1.0, 1.0), None, box(0, 0, 1, 1))
        for name, depth in [("low-1", 0.004), ("low-2", 0.009)]
    )
    pad = _pad(INNER)
    found = _places("low_spot_depth_max", pad, replace(read_pad(pad), low_spots=spots))
    assert found == [("low-spot", "low-2"), ("low-spot", "low-1")]


def test_roots_lift_only_where_trees_are_near() -> None:
    heaves = (
        Heave("far", 0.05, 1.0, (5.0, 5.0), 30.0, near_trees=False),
        Heave("near", 0.03, 1.0, (1.0, 1.0), 2.0, near_trees=True),
    )
    pad = _pad(INNER)
    reading = replace(read_pad(pad), heaves=heaves)
    assert _places("roots_lift_pad", pad, reading) == [("mark", "near")]
    assert _places("heave_height_max", pad, reading) == [("mark", "far"), ("mark", "near")]


def test_failed_repairs_have_a_place_sound_and_counted_ones_have_none() -> None:
    def strip(name: str, share: float | None, outline: Polygon) -> OldRepair:
        return OldRepair(name, "membrane", 4.0, 1.0, 0.25, share, (0.0, 1.0), 0, outline)

    here = box(0, 0, 1, 4)
    repairs = (
        strip("half", 0.5, here),
        strip("sound", 0.0, here),
        strip("gone", 1.0, here),
        strip("nobody-tapped", None, here),
        strip("counted", 1.0, Polygon()),
    )
    pad = _pad(INNER)
    found = _places("hollow_share", pad, replace(read_pad(pad), old_repairs=repairs))
    assert found == [("repair", "gone"), ("repair", "half")]


def test_bad_posts_and_peeling_are_told_by_their_marks() -> None:
    pad = _pad(
        Mark("upright", "post", Point(1, 1), {"lean_deg": 1.0}),
        Mark("leaning", "post", Point(2, 1), {"lean_deg": 9.0}),
        Mark("polished", "worn", box(0, 0, 1, 1), {"wear": "polished"}),
        Mark("peels", "worn", box(2, 2, 3, 3), {"wear": "peeling"}),
    )
    assert _places("posts_sound", pad) == [("mark", "leaning")]
    assert _places("peeling_share", pad) == [("mark", "peels")]


@pytest.mark.parametrize("name", ["crack_length", "crack_width_max"])
def test_what_was_only_counted_or_answered_has_no_place(name: str) -> None:
    counted = Pad("p", SLAB, tallies=(Tally("crack", length=30.0, properties={"width": 0.01}),))
    answered = _pad(INNER, answers=(Answer(name, Span.exactly(0.02)),))
    assert _places(name, counted) == _places(name, answered) == []


def test_a_finding_holds_each_of_its_places_once() -> None:
    """Length and width of cracks are told of the same marks."""
    pad = _pad(INNER, OUTER)
    (cracks,) = (one for one in judge_pad(pad, read_pad(pad), None).findings if one.id == "cracks")
    assert cracks.at == (Place("mark", "outer"), Place("mark", "inner"))
