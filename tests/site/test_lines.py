"""Court lines: laws of placing them, and what is refused. Published dimensions are checked in tests/reference."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import Point

from courtwright.errors import OutOfRangeError
from courtwright.site.lines import (
    battery_width,
    corners,
    court_lines,
    line_length,
    net_line,
    net_posts,
    outer_rectangle,
    outer_size,
    painted_area,
    run_off_rectangle,
)
from courtwright.site.record import Court
from courtwright.trade.load import courts

SPORTS = sorted(courts())
places = st.builds(
    Court,
    id=st.just("1"),
    sport=st.just("any"),
    centre=st.tuples(st.floats(-200, 200), st.floats(-200, 200)),
    turned=st.floats(-math.pi, math.pi),
)


# --- laws ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("sport", SPORTS)
@given(court=places)
def test_placing_a_court_changes_no_size(sport: str, court: Court):
    """Moved and turned lines cover the same area, and the outer rectangle keeps its size."""
    spec = courts()[sport]
    assert union_all(list(court_lines(spec, court))).area == pytest.approx(painted_area(spec), rel=1e-6)
    length, width = outer_size(spec)
    assert outer_rectangle(spec, court).area == pytest.approx(length * width)


@pytest.mark.parametrize("sport", SPORTS)
def test_all_paint_lies_within_the_court_and_its_run_offs(sport: str):
    """No line leaves the run-offs, and the border's paint reaches the outer rectangle."""
    spec, court = courts()[sport], Court("1", sport, (3.0, -4.0), 0.3)
    paint = union_all(list(court_lines(spec, court)))
    assert run_off_rectangle(spec, court).buffer(1e-6).covers(paint)
    assert outer_rectangle(spec, court).exterior.distance(paint) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("sport", SPORTS)
def test_paint_is_symmetric_end_to_end_and_side_to_side(sport: str):
    """A court turned by half a turn covers itself, so that the ends are alike."""
    spec = courts()[sport]
    here = union_all(list(court_lines(spec, Court("1", sport, (0.0, 0.0)))))
    turned = union_all(list(court_lines(spec, Court("1", sport, (0.0, 0.0), math.pi))))
    assert here.symmetric_difference(turned).area == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("sport", SPORTS)
def test_no_line_is_drawn_twice(sport: str):
    """Paint counted once is less than lengths times widths, by no more than the crossings can hide."""
    spec = courts()[sport]
    shapes = court_lines(spec, Court("1", sport, (0.0, 0.0)))
    for i, shape in enumerate(shapes):
        for other in shapes[i + 1 :]:
            assert shape.intersection(other).area < 0.9 * min(shape.area, other.area) or shape.area < 0.01


@pytest.mark.parametrize("sport", SPORTS)
def test_every_named_corner_lies_on_paint(sport: str):
    """What a person is asked to find in a photo is painted, and no two corners share a name or a place."""
    spec, court = courts()[sport], Court("1", sport, (10.0, 20.0), 0.7)
    paint = union_all(list(court_lines(spec, court))).buffer(1e-6)
    there = corners(spec, court)
    assert all(paint.covers(Point(place)) for place in there.values())
    assert len({(round(x, 6), round(y, 6)) for x, y in there.values()}) == len(there)
    # four mirrored copies of each corner that lies on no axis
    assert len(there) == sum({"none": 1, "ends": 2, "sides": 2, "both": 4}[c.mirrored] for c in spec.corners)


def test_a_court_turns_clockwise():
    """A quarter turn lays the far end towards +x, as a compass bearing of 90°."""
    there = corners(courts()["tennis"], Court("1", "tennis", (100.0, 50.0), math.pi / 2))
    # the far centre mark is 39 ft = 11.8872 m from the middle
    assert there["far-centre-mark"] == pytest.approx((111.8872, 50.0))
    assert there["far-left-doubles-corner"] == pytest.approx((111.8872, 50 + 5.4864))


def test_run_offs_lie_beyond_the_ends_and_beside_the_sides():
    """78 + 2 × 21 by 36 + 2 × 12 ft of tennis, turned a quarter: the long way lies along x."""
    spec = courts()["tennis"]
    for turned, size in ((0.0, (60, 120)), (math.pi / 2, (120, 60))):
        low_x, low_y, high_x, high_y = run_off_rectangle(spec, Court("1", "tennis", (5.0, 7.0), turned)).bounds
        assert ((high_x - low_x) / 0.3048, (high_y - low_y) / 0.3048) == pytest.approx(size)
        assert ((low_x + high_x) / 2, (low_y + high_y) / 2) == pytest.approx((5.0, 7.0))


def test_arcs_are_as_long_and_as_large_as_their_circle():
    """The centre circle of volleyball's neighbour, FIBA: 1.8 m outside, 5 cm of paint."""
    spec = courts()["basketball-fiba"]
    ring = next(p for p in court_lines(spec, Court("1", "x", (0.0, 0.0))) if len(p.interiors) == 1)
    assert ring.area == pytest.approx(math.pi * (1.8**2 - 1.75**2), rel=1e-4)
    circle = next(arc for arc in spec.arcs if arc.id == "centre-circle")
    assert circle.radius * (circle.end - circle.start) == pytest.approx(2 * math.pi * 1.8)
    assert line_length(spec) > 2 * (28 + 15)


def test_a_sport_with_a_net_has_two_posts_outside_its_lines():
    """Net and posts of tennis; basketball has neither."""
    tennis, court = courts()["tennis"], Court("1", "tennis", (0.0, 0.0))
    # 18 ft half width and 3 ft beyond: 21 ft = 6.4008 m
    assert net_posts(tennis, court) == (pytest.approx((-6.4008, 0)), pytest.approx((6.4008, 0)))
    line = net_line(tennis, court)
    assert line is not None
    assert line.length == pytest.approx(12.8016)
    assert net_posts(courts()["basketball"], court) == ()
    assert net_line(courts()["basketball"], court) is None


@given(count=st.integers(1, 12), gap=st.floats(0, 20), more=st.floats(0.01, 5))
def test_a_wider_gap_and_one_court_more_never_narrow_a_battery(count: int, gap: float, more: float):
    """Width grows with the number of courts and with the gap."""
    spec = courts()["pickleball"]
    assert battery_width(spec, count + 1, gap) > battery_width(spec, count, gap)
    assert battery_width(spec, count + 1, gap + more) > battery_width(spec, count + 1, gap)


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "gap"), [(0, 3.0), (-1, 3.0), (2, -0.1), (2, math.nan)])
def test_a_battery_that_cannot_be_is_refused(count: int, gap: float):
    """No court, or a gap that is no length."""
    with pytest.raises(OutOfRangeError) as refusal:
        battery_width(courts()["tennis"], count, gap)
    assert refusal.value.problem.id == "courts.no-battery"
