"""What was counted and what is drawn never count twice."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from courtwright.site import Court, Mark, Pad, Tally, tallies_beyond_marks

IN = 0.0254
COURTS = (Court("1", "tennis", (9, 9)), Court("2", "tennis", (27, 9)))


def pad(*tallies: Tally, marks: tuple[Mark, ...] = (), courts: tuple[Court, ...] = COURTS) -> Pad:
    """Return a pad of 36 by 18 m with two courts side by side, the border between them at x = 18."""
    return Pad("n", Polygon([(0, 0), (36, 0), (36, 18), (0, 18)]), courts=courts, tallies=tallies, marks=marks)


def crack(start: float, end: float, **properties: Any) -> Mark:
    """Return a crack along y = 9."""
    return Mark(f"{start}-{end}", "crack", LineString([(start, 9), (end, 9)]), properties)


def lengths(found: tuple[Tally, ...]) -> list[float | None]:
    """Return what is left of tallies of length."""
    return [None if tally.length is None else round(tally.length, 9) for tally in found]


# --- laws ---------------------------------------------------------------------------------------


def test_a_tally_is_less_what_is_drawn_on_its_court():
    """40 m counted on court 1, 10 m drawn there and 5 m on court 2: 30 m are left."""
    tally = Tally("crack", "1", length=40)
    assert lengths(tallies_beyond_marks(pad(tally, marks=(crack(2, 12), crack(20, 25))))) == [30]


def test_a_crack_across_two_courts_counts_on_each_with_its_part():
    """From x = 12 to 22 with the border at 18: 6 m on court 1, 4 m on court 2."""
    tallies = (Tally("crack", "1", length=40), Tally("crack", "2", length=40))
    assert lengths(tallies_beyond_marks(pad(*tallies, marks=(crack(12, 22),)))) == [34, 36]


def test_a_tally_of_the_whole_pad_is_less_all_that_is_drawn_and_not_yet_used():
    """10 m drawn on court 1 are used by its tally of 8 m first; 2 m are left for the pad's."""
    tallies = (Tally("crack", None, length=40), Tally("crack", "1", length=8))
    assert lengths(tallies_beyond_marks(pad(*tallies, marks=(crack(2, 12),)))) == [38]


def test_no_part_of_a_mark_reduces_two_tallies():
    """10 m drawn without a width are taken off once: off the tally that tells a width."""
    tallies = (Tally("crack", "1", length=40), Tally("crack", "1", length=40, properties={"width": 0.5 * IN}))
    assert lengths(tallies_beyond_marks(pad(*tallies, marks=(crack(2, 12),)))) == [40, 30]


@pytest.mark.parametrize(
    ("width", "drawn", "left"),
    [
        (0.5, 0.25, 30),
        (0.5, 0.0625, 40),
        (0.5, 2, 40),
        (2, 1.75, 30),
        (0.125, 0.125, 30),
        (0.125, 0.0625, 30),
        (1.5, 0.5, 30),
        (0.5, None, 30),
    ],
)
def test_only_marks_of_the_same_width_class_are_taken_off(width: float, drawn: float | None, left: float):
    """Up to 1/8 in, up to 1-1/2 in, and wider; a mark whose width nobody measured may be any of them."""
    properties = {} if drawn is None else {"width": drawn * IN}
    tally = Tally("crack", "1", length=40, properties={"width": width * IN})
    assert lengths(tallies_beyond_marks(pad(tally, marks=(crack(2, 12, **properties),)))) == [left]


def test_other_kinds_and_other_words_are_not_taken_off():
    """A drawn joint is no crack, a drawn cement repair no membrane."""
    cement = Mark("r", "old-repair", LineString([(2, 9), (12, 9)]), {"repair": "cement"})
    tally = Tally("old-repair", "1", length=40, properties={"repair": "membrane"})
    joint = Mark("j", "joint", LineString([(2, 9), (12, 9)]))
    assert lengths(tallies_beyond_marks(pad(tally, marks=(cement, joint)))) == [40]


def test_areas_and_numbers_are_taken_off_too():
    """A worn patch of 20 m² off 50; three posts and a row of four trees off seven and ten."""
    worn = Mark("w", "worn", Polygon([(2, 2), (12, 2), (12, 4), (2, 4)]))
    posts = tuple(Mark(f"p{i}", "post", Point(i, 5)) for i in range(3))
    trees = Mark("t", "trees", LineString([(1, -2), (9, -2)]), {"count": 4})
    tallies = (Tally("worn", area=50), Tally("post", count=7), Tally("trees", count=10))
    found = tallies_beyond_marks(pad(*tallies, marks=(worn, *posts, trees)))
    assert [tally.area or tally.count for tally in found] == [30, 4, 6]


@pytest.mark.parametrize(
    ("geometry", "properties", "area"),
    [
        (LineString([(2, 9), (12, 9)]), {"strip_width": 0.3}, 3.0),
        (LineString([(2, 9), (12, 9)]), {"width": 0.2}, 2.0),
        (LineString([(2, 9), (12, 9)]), {"strip_width": 0.3, "width": 0.01}, 3.0),
        (Point(5, 5), {"radius": 0.5}, 0.25 * 3.141592653589793),
        (Point(5, 5), {}, 0.0),
    ],
)
def test_a_line_and_a_point_cover_what_their_width_and_radius_say(geometry, properties: dict[str, Any], area: float):
    """10 m of a strip 0.3 m wide are 3 m² off a tally of 50; a circle of half a metre is π/4 m²."""
    drawn = Mark("r", "old-repair", geometry, properties)
    (left,) = tallies_beyond_marks(pad(Tally("old-repair", area=50), marks=(drawn,)))
    assert left.area == pytest.approx(50 - area)


def test_courts_of_another_sport_do_not_cut_a_court_up():
    """A pickleball court between two tennis centres leaves the border between the tennis courts where it is."""
    courts = (*COURTS, Court("p", "pickleball", (16, 9)))
    tally = Tally("crack", "1", length=40)
    assert lengths(tallies_beyond_marks(pad(tally, marks=(crack(12, 18),), courts=courts))) == [34]


@given(
    counted=st.lists(st.tuples(st.sampled_from([None, "1", "2"]), st.floats(0.1, 50)), max_size=5),
    drawn=st.lists(st.tuples(st.floats(0, 35), st.floats(0.1, 1)), max_size=5),
)
def test_counted_and_drawn_together_are_never_less_than_either(
    counted: list[tuple[str | None, float]], drawn: list[tuple[float, float]]
):
    """What is left is at least all counted less all drawn, never more than counted and never below nothing."""
    tallies = tuple(Tally("crack", court, length=length) for court, length in counted)
    marks = tuple(crack(start, start + length) for start, length in drawn)
    left = sum(tally.length or 0 for tally in tallies_beyond_marks(pad(*tallies, marks=marks)))
    before, all_drawn = sum(length for _, length in counted), sum(mark.geometry.length for mark in marks)
    assert max(0.0, before - all_drawn) - 1e-4 <= left <= before + 1e-9


def test_what_is_wholly_drawn_is_left_out():
    """Nothing is left of a tally that is all drawn, and a tally alone stays as it is."""
    tally = Tally("crack", "1", length=5)
    assert tallies_beyond_marks(pad(tally, marks=(crack(2, 12),))) == ()
    assert tallies_beyond_marks(pad(tally)) == (tally,)
