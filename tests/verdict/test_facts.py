"""Facts of a pad from what was recorded and read."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, box

from courtwright.ground.reading import (
    CourtPlane,
    CrackReading,
    Heave,
    HeightGrid,
    LowSpot,
    OldRepair,
    PadReading,
    Piece,
    WidthClass,
)
from courtwright.measured import Span
from courtwright.site.record import Answer, Court, FactValue, Mark, Pad, Tally
from courtwright.verdict.facts import facts_of

FOOT, INCH = 0.3048, 0.0254
SLAB = box(0, 0, 20, 10)
INF = math.inf
#: Something seen on the pad, so that it counts as walked and its silence speaks.
WALKED = Mark("seen", "fence", LineString([(0, 0), (1, 0)]))
CRACKS = CrackReading(0.0, 0.0, (), 0.0, None, None, 0, 0, 0, 0.0, 0.0)


def _reading(**parts: object) -> PadReading:
    return replace(PadReading("p", 200.0, None, (), None, (), CRACKS, (), (), (), None), **parts)


def _fact(name: str, *marks: Mark, reading: PadReading | None = None, **pad: object) -> FactValue:
    there = replace(Pad("p", SLAB, marks=(WALKED, *marks)), **pad)
    return facts_of(there, reading or _reading(), 2026)[name].value


class _exactly:  # noqa: N801 – reads as Span.exactly does
    """Equal to a span that holds this value alone, but for rounding."""

    def __init__(self, value: float) -> None:
        self.value = pytest.approx(value)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Span) and other.low == self.value and other.high == self.value

    __hash__ = None

    def __repr__(self) -> str:
        return f"exactly {self.value}"


# --- cracks -------------------------------------------------------------------------------------


def _cracked(unknown: float = 5.0) -> PadReading:
    """Return 10 m of hairline, 20 m to bridge, 3 m too wide, and some of a width nobody gave."""
    classes = (
        WidthClass(0.0, INCH / 8, 10.0),
        WidthClass(INCH / 8, 1.5 * INCH, 20.0),
        WidthClass(1.5 * INCH, INF, 3.0),
    )
    cracks = replace(CRACKS, length=33.0 + unknown, by_width=classes, unknown_width=unknown, width_max=2 * INCH)
    return _reading(cracks=cracks)


def test_cracks_of_unknown_width_may_belong_to_any_class():
    """Each class holds at least what is known to be in it and at most the 5 m of unknown width more."""
    for name, least in (("fine", 10.0), ("bridgeable", 20.0), ("wide", 3.0)):
        assert _fact(f"crack_length_{name}", reading=_cracked()) == Span(least, least + 5.0)
        assert _fact(f"crack_length_{name}", reading=_cracked(0.0)) == Span.exactly(least)
    assert _fact("crack_width_max", reading=_cracked()) == Span(2 * INCH, INF)
    assert _fact("crack_width_max", reading=_cracked(0.0)) == Span.exactly(2 * INCH)


def test_open_cracks_are_shared_by_the_courts():
    """23 m wider than a hairline, and 5 m that may be: 23 to 28 m on one court, half of it on each of two."""
    assert _fact("crack_length_per_court", reading=_cracked()) == Span(23.0, 28.0)
    two = (Court("1", "tennis", (5, 5)), Court("2", "tennis", (15, 5)))
    assert _fact("crack_length_per_court", reading=_cracked(), courts=two) == Span(11.5, 14.0)


def test_free_pieces_count_by_their_share_of_the_pad():
    """One piece of 30 m² free of 200 m² is 15 %; a held one is not counted."""
    pieces = tuple(
        Piece(f"piece-{i}", area, free, 1.0, box(0, 0, 1, 1))
        for i, (area, free) in enumerate(((30, True), (50, False)))
    )
    assert _fact("free_piece_share", reading=_reading(pieces=pieces)) == _exactly(0.15)
    assert _fact("cracks_joined", reading=_reading(pieces=pieces)) is True
    assert _fact("cracks_joined", reading=_reading(cracks=replace(CRACKS, joined_wide=2.0))) is True
    assert _fact("cracks_joined") is False


def test_old_repairs_nobody_judged_may_have_failed():
    """30 m, 40 % of 10 m failed, 5 m not judged: 4 to 9 of the 30 m; patches are told apart, by area."""
    repairs = tuple(
        OldRepair(f"r{i}", kind, length, 2.0 * length, None, share, (0.0, 1.0), 0, box(0, 0, 1, 1))
        for i, (kind, length, share) in enumerate(
            [("membrane", 10.0, 0.4), ("membrane", 15.0, 0.0), ("cement", 5.0, None), ("patch", 4.0, 0.5)]
        )
    )
    reading = _reading(old_repairs=repairs)
    assert _fact("old_repair_length", reading=reading) == Span.exactly(30.0)
    hollow = _fact("hollow_share", reading=reading)
    assert (hollow.low, hollow.high) == pytest.approx((4 / 30, 9 / 30))
    # 8 m² of patch, half of it failed
    assert _fact("failed_patch_area", reading=reading) == _exactly(4.0)


# --- slab ---------------------------------------------------------------------------------------


def test_the_thinnest_probe_counts_before_the_papers():
    """Two probes of 3 and 2 in; the papers say 4 in."""
    probes = [Mark(f"p{i}", "probe", Point(i, 1), {"asphalt_thickness": t * INCH}) for i, t in enumerate((3, 2))]
    assert _fact("asphalt_thickness", *probes, asphalt_thickness=4 * INCH) == _exactly(2 * INCH)
    assert _fact("asphalt_thickness", asphalt_thickness=4 * INCH) == _exactly(4 * INCH)
    assert _fact("asphalt_thickness") is None


@pytest.mark.parametrize(
    ("built", "coating", "may_hold"),
    [
        (1973, "acrylic", True),
        (1980, "acrylic", False),
        (1979, None, None),
        (None, "acrylic", None),
        (1973, "none", False),
    ],
)
def test_a_coating_from_before_1980_may_hold_asbestos(built: int | None, coating: str | None, may_hold: bool | None):
    """The pad's year tells; bare asphalt holds none."""
    assert _fact("coating_before_1980", built=built, coating=coating) is may_hold


def test_what_is_left_after_grinding_is_thickness_less_heave():
    """4 in less 1/2 in; with a heave nobody measured it may be next to nothing, and no more than without it."""
    heave = Heave("h", 0.5 * INCH, 1.0, (5, 5), None, near_trees=False)
    pad = {"asphalt_thickness": 4 * INCH}
    assert _fact("asphalt_left_after_grinding", reading=_reading(heaves=(heave,)), **pad) == _exactly(3.5 * INCH)
    unmeasured = _reading(heaves=(heave, replace(heave, height=None)))
    found = _fact("asphalt_left_after_grinding", reading=unmeasured, **pad)
    assert (found.low, found.high) == (0.0, pytest.approx(3.5 * INCH))


def test_ages_count_to_the_year_of_the_walk():
    """Built 1973 and coloured 2019, walked 2026."""
    assert _fact("age", built=1973) == Span.exactly(53)
    assert _fact("coating_age", last_resurfaced=2019) == Span.exactly(7)
    assert _fact("age", built=2030) is None


def test_peeling_counts_by_its_share_drawn_or_counted():
    """20 m² drawn or 50 m² counted of 200; ravelled areas do not peel."""
    drawn = Mark("w", "worn", box(0, 0, 10, 2), {"wear": "peeling"})
    ravelled = Mark("v", "worn", box(0, 4, 10, 8), {"wear": "ravelled"})
    assert _fact("peeling_share", drawn, ravelled) == _exactly(0.1)
    counted = Tally("worn", area=50.0, properties={"wear": "bubbled"})
    assert _fact("peeling_share", drawn, tallies=(counted,)) == _exactly(0.25)


def test_worn_colour_counts_where_the_coating_still_holds():
    """20 m² faded and 10 m² of which nobody said how, of 200; what peels or ravels is another matter."""
    faded = Mark("f", "worn", box(0, 0, 10, 2), {"wear": "faded"})
    unsaid = Mark("u", "worn", box(0, 2, 10, 3), {})
    peeling = Mark("w", "worn", box(0, 4, 10, 8), {"wear": "peeling"})
    ravelled = Mark("v", "worn", box(0, 8, 10, 10), {"wear": "ravelled"})
    assert _fact("worn_share", faded, unsaid, peeling, ravelled) == _exactly(0.15)
    counted = Tally("worn", area=150.0, properties={})
    assert _fact("worn_share", faded, tallies=(counted,)) == _exactly(0.75)
    assert _fact("worn_share", ravelled) == _exactly(0.0)


# --- surroundings -------------------------------------------------------------------------------


@pytest.mark.parametrize(("away", "is_within_reach"), [(4.4, False), (4.6, True)])
def test_a_barrier_stays_three_trunks_away(away: float, is_within_reach: bool):
    """REFERENCE's tree of 18 in: no trench within 4.5 ft of it."""
    tree = Mark("t", "trees", Point(-away * FOOT, 5), {"trunk_diameter": 18 * INCH})
    assert _fact("root_barrier_within_reach", tree) is is_within_reach


def test_the_widest_gate_is_the_way_in():
    """Of 4 and 12 ft, machines take the wider."""
    gates = [Mark(f"g{i}", "gate", Point(i, 0), {"clear_width": w * FOOT}) for i, w in enumerate((4, 12))]
    assert _fact("machine_access_width", *gates) == _exactly(12 * FOOT)
    assert _fact("machine_access_width") is None


def test_only_heaves_near_trees_are_of_roots():
    """2 in far from trees and 1/2 in beside them."""
    far = Heave("a", 2 * INCH, 1.0, (5, 5), 30.0, near_trees=False)
    near = Heave("b", 0.5 * INCH, 1.0, (6, 5), 3.0, near_trees=True)
    reading = _reading(heaves=(far, near))
    assert _fact("heave_height_max", reading=reading) == _exactly(2 * INCH)
    assert _fact("root_heave_height", reading=reading) == _exactly(0.5 * INCH)
    assert _fact("roots_lift_pad", reading=reading) is True
    assert _fact("roots_lift_pad", reading=_reading(heaves=(far,))) is False


def test_a_heave_nobody_measured_may_be_the_highest():
    """Known to be at least as high as the highest of the measured."""
    heave = Heave("a", INCH, 1.0, (5, 5), None, near_trees=False)
    reading = _reading(heaves=(heave, replace(heave, id="b", height=None)))
    assert _fact("heave_height_max", reading=reading) == Span(INCH, INF)


@pytest.mark.parametrize(("kind", "is_shallow"), [("power", True), ("sewer", False), ("unknown", None), (None, None)])
def test_services_under_the_pad(kind: str | None, is_shallow: bool | None):
    """Power, water, gas and irrigation lie shallow; a line of no known kind may; one beside the pad does not matter."""
    properties = {"utility": kind} if kind else {}
    assert _fact("shallow_services", Mark("u", "utility", LineString([(5, -5), (5, 15)]), properties)) is is_shallow
    beside = Mark("u", "utility", LineString([(-5, -5), (-5, 15)]), {"utility": "power"})
    assert _fact("shallow_services", beside) is None


@pytest.mark.parametrize(
    ("properties", "are_sound"),
    [({}, True), ({"lean_deg": 2.9}, True), ({"lean_deg": 3.1}, False), ({"lifted": True}, False)],
)
def test_posts_are_sound_unless_one_leans_or_is_lifted(properties: dict[str, object], are_sound: bool):
    """More than three degrees out of plumb is leaning."""
    good, other = Mark("a", "post", Point(1, 5)), Mark("b", "post", Point(9, 5), properties)
    assert _fact("posts_sound", good, other) is are_sound


# --- water --------------------------------------------------------------------------------------


def test_a_crack_just_as_wide_as_a_membrane_bridges_is_bridged():
    """Of 3 m in the class that begins at 1-1/2 in, 2 m are of just that width."""
    marks = [Mark(f"c{i}", "crack", LineString([(5, i), (5 + i, i)]), {"width": 1.5 * INCH}) for i in (2,)]
    assert _fact("crack_length_wide", *marks, reading=_cracked(0.0)) == _exactly(1.0)
    assert _fact("crack_length_bridgeable", *marks, reading=_cracked(0.0)) == _exactly(22.0)


def _plane(slope: float, crown: float = 0.0) -> CourtPlane:
    return CourtPlane("1", "tennis", slope, 0.0001, 0.0, 0.003, 0.0, crown)


def test_the_flattest_court_and_any_crown_count():
    """Of 0.4 and 0.9 % the lower; halves 61° apart are a crown, 59° are not; a level court has no direction."""
    assert _fact("plane_slope_min", reading=_reading(courts=(_plane(0.009), _plane(0.004)))) == _exactly(0.004)
    for degrees, slope, is_wrong in ((61, 0.009, True), (59, 0.009, False), (61, 0.002, False)):
        reading = _reading(courts=(_plane(0.009), _plane(slope, math.radians(degrees))))
        assert _fact("plane_is_wrong", reading=reading) is is_wrong
    assert _fact("plane_is_wrong") is None


def test_low_spots_count_by_the_deepest_and_their_share():
    """6 and 9 mm deep, 3 and 5 m² of 200."""
    spots = tuple(
        LowSpot(f"s{i}", area, depth, 0.01, None, (5, 5), 1.0, box(4, 4, 6, 6))
        for i, (area, depth) in enumerate(((3.0, 0.006), (5.0, 0.009)))
    )
    reading = _reading(low_spots=spots)
    assert _fact("low_spot_depth_max", reading=reading) == _exactly(0.009)
    assert _fact("ponding_share", reading=reading) == _exactly(8 / 200)
    assert _fact("low_spot_depth_max") == Span.exactly(0.0)


def test_a_low_spot_of_which_nobody_gave_the_depth_counts_and_may_be_any_deeper():
    """Drawn or counted, it holds more than the coin's 1.95 mm; beside one of 6 mm it may be deeper still."""
    spot = LowSpot("a", 3.0, 0.006, 0.01, None, (5, 5), None, box(4, 4, 6, 6))
    unmeasured = replace(spot, id="b", depth_max=0.00195, depth_is_known=False)
    for spots, least in (((unmeasured,), 0.00195), ((spot, unmeasured), 0.006)):
        depth = _fact("low_spot_depth_max", reading=_reading(low_spots=spots))
        assert isinstance(depth, Span)
        assert (depth.low, depth.high) == (pytest.approx(least), INF)
        assert depth.is_above(0.00195) is True
    counted = Tally("low-spot", None, count=3)
    depth = _fact("low_spot_depth_max", tallies=(counted,))
    assert isinstance(depth, Span)
    assert depth.is_above(0.00195) is True
    assert _fact("ponding_share", tallies=(counted,)) == Span(0.0, 1.0)
    assert _fact("ponding_share", tallies=(replace(counted, count=None, area=20.0),)) == _exactly(0.1)


def test_counted_heaves_are_as_good_as_drawn_ones():
    """20 mm counted is 20 mm high; with trees about, it may be theirs."""
    counted = (Tally("heave", None, count=2, properties={"height": 0.02}),)
    assert _fact("heave_height_max", tallies=counted) == _exactly(0.02)
    assert _fact("roots_lift_pad", tallies=counted) is False
    tree = Mark("t", "trees", Point(25, 5))
    assert _fact("roots_lift_pad", tree, tallies=counted) is None
    assert _fact("root_heave_height", tree, tallies=counted) == Span(0.0, 0.02)


def test_a_wall_beside_the_sediment_keeps_the_side_from_being_dug():
    """Sand at x = 20 with a wall along x = 20.3; a wall at the far side keeps nothing."""
    sand = Mark("s", "sand", box(19.5, 2, 20, 6))
    for x, is_walled in ((20.3, True), (-0.3, None)):
        wall = Mark("w", "wall", LineString([(x, 0), (x, 10)]))
        assert _fact("low_edge_walled", sand, wall) is is_walled


@pytest.mark.parametrize(
    ("stands", "is_blocked", "is_walled"),
    [("sod", True, False), ("wall", True, True), ("clear", False, False), (None, None, None)],
)
def test_what_stands_at_the_low_edge(stands: str | None, is_blocked: bool | None, is_walled: bool | None):
    """Sod holds water and so does a wall; what nobody told is unknown."""
    reading = _reading(low_edge=stands)
    assert _fact("low_edge_blocked", reading=reading) is is_blocked
    assert _fact("low_edge_walled", reading=reading) is is_walled


@pytest.mark.parametrize(("x", "runs_on"), [(20, True), (0, False)])
def test_ground_above_the_high_side_runs_on(x: float, runs_on: bool):
    """A pad that rises to x = 20: sod above its high side sends water onto it, above its low side it does not."""
    height = np.tile(0.01 * np.arange(0, 20.5, 0.5), (21, 1))
    grid = HeightGrid(0.0, 0.0, 0.5, height, np.full(height.shape, 0.001), 50)
    sod = Mark("e", "edge", LineString([(x, 0), (x, 10)]), {"stands": "above", "of": "sod"})
    assert _fact("run_on", sod, reading=_reading(heights=grid)) is runs_on
    assert _fact("run_on", sod) is None


@pytest.mark.parametrize(
    ("area", "is_least", "runs_on"),
    [
        (11.0, False, True),
        (11.0, True, True),
        (9.0, False, False),
        (9.0, True, None),
        (0.0, False, False),
        (None, False, None),
    ],
)
def test_shots_around_the_pad_tell_of_run_on(area: float | None, is_least: bool, runs_on: bool | None):
    """Ground of a twentieth of the pad's 200 m² counts; less may be more where the shots end. Nobody walked here."""
    grid = HeightGrid(0.0, 0.0, 1.0, np.zeros((3, 3)), np.full((3, 3), 0.001), 9)
    reading = _reading(heights=grid, run_on=area, run_on_is_least=is_least)
    assert facts_of(Pad("p", SLAB), reading, 2026)["run_on"].value is runs_on


# --- silence and answers ------------------------------------------------------------------------


def test_on_a_pad_nobody_walked_silence_says_nothing():
    """No mark and no tally: neither cracks nor heaves nor low spots are known to be absent."""
    found = facts_of(Pad("p", SLAB), _reading(), 2026)
    names = ("crack_length", "heave_height_max", "roots_lift_pad", "low_spot_depth_max", "peeling_share", "run_on")
    assert {name: found[name].value for name in names} == dict.fromkeys(names)


def test_an_answer_takes_the_place_of_what_was_derived_and_what_follows_from_it():
    """A heave answered as 1 in leaves 3 of 4 in; "don't know" leaves what was derived."""
    answers = (Answer("heave_height_max", Span.exactly(INCH)), Answer("crack_length", None))
    pad = Pad("p", SLAB, marks=(WALKED,), asphalt_thickness=4 * INCH, answers=answers)
    found = facts_of(pad, _reading(), 2026)
    assert (found["heave_height_max"].value, found["heave_height_max"].answered) == (Span.exactly(INCH), True)
    assert found["asphalt_left_after_grinding"].value == _exactly(3 * INCH)
    assert (found["crack_length"].value, found["crack_length"].answered) == (Span.exactly(0.0), False)
