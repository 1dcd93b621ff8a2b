"""From what was found on a pad to the distresses of the condition index."""

import dataclasses

import pytest
from shapely import LineString, Polygon, box

from courtwright.ground.reading import CrackReading, Heave, LowSpot, OldRepair, PadReading, Piece
from courtwright.site.record import Mark, Pad, Tally
from courtwright.verdict.condition import condition_index
from courtwright.verdict.distresses import distresses_of

INCH = 0.0254
SLAB = box(0, 0, 20, 36)
NO_CRACKS = CrackReading(0, 0, (), 0, None, None, 0, 0, 0, 0, 0)


def _reading(**parts) -> PadReading:
    empty = PadReading("p", SLAB.area, None, (), None, (), NO_CRACKS, (), (), (), None)
    return dataclasses.replace(empty, **parts)


def _crack(id: str, *points, **properties) -> Mark:
    return Mark(id, "crack", LineString(points), properties)


def _found(pad: Pad, reading: PadReading | None = None) -> dict[tuple[int, str], float]:
    return {(d.number, d.severity): d.quantity for d in distresses_of(pad, reading or _reading())}


def _pad(*marks: Mark, tallies: tuple[Tally, ...] = ()) -> Pad:
    return Pad("p", SLAB, surface="asphalt", marks=marks, tallies=tallies)


# --- laws ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("properties", "severity"),
    [
        ({"width": 0.25 * INCH}, "L"),
        ({"width": 0.375 * INCH}, "M"),
        ({"width": 3 * INCH}, "M"),
        ({"width": 3.5 * INCH}, "H"),
        ({"width_max": 1 * INCH}, "M"),
        ({"width": 2 * INCH, "filled": "sealant"}, "L"),
        ({"width": 2 * INCH, "filled": "none"}, "M"),
    ],
)
def test_a_crack_counts_by_its_width(properties, severity: str):
    """3/8 in and 3 in part the severities; a filled crack is the lightest."""
    assert _found(_pad(_crack("a", (5, 5), (15, 5), **properties))) == {(10, severity): 10}


def test_a_crack_whose_width_nobody_gave_is_taken_as_the_lightest_and_marked():
    """Unknown is said."""
    (found,) = distresses_of(_pad(_crack("a", (5, 5), (15, 5))), _reading())
    assert (found.severity, found.assumed) == ("L", True)


def test_a_crack_along_the_edge_is_an_edge_crack_and_one_that_meets_it_is_not():
    """Over half its length within 12 in of the outline."""
    along, across = _crack("a", (0.2, 5), (0.2, 15), width=0.005), _crack("b", (0, 20), (8, 20), width=0.005)
    assert _found(_pad(along, across)) == {(7, "L"): pytest.approx(10), (10, "L"): pytest.approx(8)}


def test_the_slab_in_free_pieces_is_block_cracking_and_its_cracks_do_not_count_again():
    """A corner cut off by a crack counts 4 × 4 m² by that crack's width; only the crack's tail beyond it stays 10."""
    corner = box(0, 0, 4, 4)
    cut = _crack("a", (4, 0), (4, 4), (0, 4), width=1 * INCH)
    tail = _crack("b", (4, 4), (10, 10), width=0.2 * INCH)
    pieces = (
        Piece("body", SLAB.area - 16, False, 0.5, SLAB, is_body=True),
        Piece("one", 16.0, True, 1.0, corner),
    )
    found = _found(_pad(cut, tail), _reading(pieces=pieces))
    assert found[3, "M"] == pytest.approx(16)
    assert found[10, "L"] == pytest.approx(72**0.5, abs=0.2)
    assert set(found) == {(3, "M"), (10, "L")}


def test_a_held_piece_is_not_block_cracking():
    """The same corner, held: its crack counts by its length."""
    cut = _crack("a", (4, 0), (4, 4), (0, 4), width=1 * INCH)
    pieces = (Piece("one", 16.0, False, 0.9, box(0, 0, 4, 4)),)
    assert _found(_pad(cut), _reading(pieces=pieces)) == {(10, "M"): pytest.approx(8)}


def test_a_tally_counts_like_a_drawn_crack_and_only_beyond_it():
    """25 m counted, 10 m of them drawn: 25 m in all."""
    tally = Tally("crack", length=25.0, properties={"width": 0.5 * INCH})
    drawn = _crack("a", (5, 5), (15, 5), width=0.5 * INCH)
    assert _found(_pad(drawn, tallies=(tally,))) == {(10, "M"): pytest.approx(25)}


@pytest.mark.parametrize(
    ("state", "share", "taps", "expected"),
    [
        ("sound", 0.0, 0, {(11, "L"): 12}),
        ("rippled", 1.0, 0, {(11, "M"): 12}),
        ("lifted", 1.0, 0, {(11, "H"): 12}),
        (None, None, 0, {(11, "L"): 12}),
        (None, 0.25, 0, {(11, "L"): 9, (11, "M"): 3}),
        ("sound", 0.25, 8, {(11, "L"): 9, (11, "M"): 3}),  # taps tell more than the eye
    ],
)
def test_an_old_repair_is_a_patch_by_its_taps_or_its_state(state, share, taps: int, expected):
    """12 m² of strip."""
    mark = Mark("r", "old-repair", LineString([(2, 2), (14, 2)]), {} if state is None else {"state": state})
    repair = OldRepair("r", "membrane", 12.0, 12.0, 1.0, share, (0.0, 1.0), taps, Polygon())
    assert _found(_pad(mark), _reading(old_repairs=(repair,))) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("inches", "expected"), [(0.4, {}), (0.5, {(6, "L"): 3}), (1.0, {(6, "M"): 3}), (2.5, {(6, "H"): 3})]
)
def test_a_low_spot_is_a_depression_only_from_half_an_inch(inches: float, expected):
    """A court's bird bath of 2 mm is none: the index says nothing of it."""
    spot = LowSpot("s", 3.0, inches * INCH, 0.01, None, (5, 5), 0.9, box(5, 5, 6, 8))
    assert _found(_pad(), _reading(low_spots=(spot,))) == expected
    doubtful = dataclasses.replace(spot, likelihood=0.2)
    assert _found(_pad(), _reading(low_spots=(doubtful,))) == {}


def test_a_heave_is_a_swell_by_its_height_and_worn_surface_is_ravelling_by_its_kind():
    """1 in of heave is medium; a point without extent counts one square metre and says so."""
    heaves = (Heave("h", 1 * INCH, 2.0, (3, 3), None, False), Heave("i", None, 0.0, (9, 9), None, False))
    worn = [Mark(w, "worn", box(0, 0, 2, 2), {"wear": w}) for w in ("ravelled", "peeling", "faded", "bubbled")]
    found = {(d.number, d.severity): d for d in distresses_of(_pad(*worn), _reading(heaves=heaves))}
    assert {key: one.quantity for key, one in found.items()} == {
        (18, "M"): 2, (18, "L"): 1, (19, "M"): 4, (19, "L"): 4,
    }  # fmt: skip
    assert found[18, "L"].assumed
    assert not found[18, "M"].assumed


def test_no_area_is_larger_than_the_pad_so_that_there_is_always_an_index():
    """Counted far too large, peeling covers the pad and no more."""
    pad = _pad(tallies=(Tally("worn", area=1e6, properties={"wear": "peeling"}),))
    found = distresses_of(pad, _reading())
    assert [one.quantity for one in found] == [SLAB.area]
    assert condition_index(found, SLAB.area).value < 100


def test_a_pad_without_marks_has_no_distresses():
    """Nothing found, nothing counted."""
    assert distresses_of(_pad(), _reading()) == ()
