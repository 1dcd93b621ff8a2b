"""The pieces that cracks cut a slab into."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from courtwright.ground.network import crack_network
from courtwright.ground.pieces import pieces

from .pads import MOTIONS, crack, moved, pad

PLACES = st.tuples(st.floats(-0.5, 20.5), st.floats(-0.5, 10.5))


def _pieces(*lines, **more):
    return pieces(crack_network(pad(*(crack(i, *line) for i, line in enumerate(lines)), **more)))


RING = [(5, 5), (8, 5), (8, 8), (5, 8), (5, 5)]


# --- laws ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "areas", "free"),
    [
        ([], [200], [False]),
        ([[(0, 4), (20, 4)]], [120, 80], [False, True]),
        ([[(0, 4), (19.8, 4)]], [120, 80], [False, True]),
        ([[(0, 4), (19.69, 4)]], [120, 80], [False, False]),
        ([[(0, 4), (19.1, 4)]], [120, 80], [False, False]),
        ([[(0, 4), (18.9, 4)]], [200], [False]),
        ([RING], [191, 9], [False, True]),
        ([[*RING[:-1], (5, 5.04)]], [191, 9], [False, True]),
        ([[*RING[:-1], (5, 5.25)]], [191, 9], [False, True]),
        ([[*RING[:-1], (5, 5.6)]], [191, 9], [False, False]),
        ([[(0, 3), (3, 3), (3, 0)]], [191, 9], [False, True]),
        ([[(0.04, 3), (3, 3), (3, 0.04)]], [191, 9], [False, True]),
        ([[(0, 5), (20, 5)], [(10, 0), (10, 10)]], [50, 50, 50, 50], [False, True, True, True]),
        ([[(0, 3), (3, 3)], [(3.0, 2.96), (3, 0)]], [191, 9], [False, True]),
        ([[(0, 3), (3.5, 3)], [(3, 3.5), (3, 0)]], [191, 9], [False, True]),
    ],
    ids=[
        "no crack", "edge to edge", "20 cm short", "31 cm short", "90 cm short", "1.1 m short", "a ring",
        "a ring, 4 cm open", "a ring, 25 cm open", "a ring, 60 cm open", "a corner", "a corner, 4 cm short", "a cross",
        "a corner of two cracks", "a corner of crossing cracks",
    ],
)  # fmt: skip
def test_pieces_and_what_holds_them(lines, areas, free):
    """Largest first; a gap of 0.3 m holds a piece, one to 5 cm counts as cracked, one over 1 m parts nothing."""
    found = _pieces(*lines)
    assert [piece.area for piece in found] == pytest.approx(areas, abs=0.02)
    assert [piece.free for piece in found] == free
    assert [piece.is_body for piece in found] == [True] + [False] * (len(areas) - 1)


def test_the_share_cracked_is_of_the_border_inside_the_pad():
    """A crack half a metre short of crossing a 10 m pad: 9.5 m cracked, 0.5 m carried on."""
    body, piece = _pieces([(5, 0), (5, 9.5)])
    assert piece.cracked_share == pytest.approx(9.5 / 10)
    assert body.cracked_share == pytest.approx(9.5 / 10)
    assert not piece.free
    assert [p.cracked_share for p in _pieces([(5, 0), (5, 10)])] == [1.0, 1.0]
    assert [p.cracked_share for p in _pieces()] == [0.0]


def test_two_short_holds_are_no_long_one():
    """Two uncracked parts of 0.25 m, apart from each other, do not hold a piece; together they are 0.5 m and do."""
    apart = [(5, 5.25), (5, 8), (7.75, 8)], [(8, 8), (8, 5), (5, 5)]
    assert [piece.free for piece in _pieces(*apart)] == [False, True]


def test_a_ring_leaves_a_hole_in_the_body():
    """What a ring cuts out is not part of the slab's body."""
    body, piece = _pieces(RING)
    assert not body.outline.contains(Point(6.5, 6.5))
    assert piece.outline.contains(Point(6.5, 6.5))
    assert len(body.outline.interiors) == 1


def test_a_crack_is_carried_on_straight_ahead():
    """An end 0.6 m short of the edge, at a slant, is carried on along its own direction."""
    _, piece = _pieces([(10, 0), (13, 9.4)])
    # Straight on from (10, 0) through (13, 9.4), the edge y = 10 is met at x = 10 + 3 · 10/9.4.
    assert max(x for x, y in piece.outline.exterior.coords if y > 9.99 and x < 19) == pytest.approx(
        10 + 30 / 9.4, abs=1e-5
    )


def test_two_ends_that_point_past_each_other_are_joined():
    """Cracks from either side whose ends face each other 10 cm askew close the piece; 20 cm do not hold it."""
    found = _pieces([(5, 0), (5, 4.9)], [(5.1, 10), (5.1, 5.1)])
    assert [piece.free for piece in found] == [False, True]


def test_a_crack_that_ends_in_the_open_parts_nothing():
    """A crack that meets nothing within a metre of either end leaves the slab whole."""
    assert len(_pieces([(5, 3), (12, 6)])) == 1


def test_the_pads_own_edge_holds_nothing():
    """A piece with one cracked side and three at the edge is free."""
    assert [piece.free for piece in _pieces([(2, 0), (2, 10)])] == [False, True]


def test_an_island_in_the_pad_is_no_piece():
    """A planter left out of the outline is off the pad."""
    outline = Polygon(box(0, 0, 20, 10).exterior, [box(14, 4, 16, 6).exterior])
    found = _pieces([(5, 0), (5, 10)], outline=outline)
    assert [piece.area for piece in found] == pytest.approx([146, 50])


@given(st.lists(st.lists(PLACES, min_size=2, max_size=4, unique=True), max_size=6))
def test_pieces_make_up_the_pad(lines):
    """However cracks are drawn, the pieces cover the pad once, but for slips of the pen; only the body is the body."""
    found = _pieces(*lines)
    assert math.fsum(piece.area for piece in found) == pytest.approx(200, abs=0.0025 * 60)
    assert [piece.is_body for piece in found].count(True) == 1
    assert not found[0].free
    assert all(found[i].area >= found[i + 1].area - 1e-5 for i in range(len(found) - 1))
    assert all(0 <= piece.cracked_share <= 1 + 1e-9 for piece in found)
    assert [piece.id for piece in found] == [f"piece-{i + 1}" for i in range(len(found))]
    assert found == _pieces(*lines)


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_pieces(motion):
    """Moved, turned or mirrored: the same ids have the same areas, shares and freedom."""
    there = pad(
        crack(1, (0, 4), (19.5, 4.2)), crack(2, (6, 4.1), (6.3, 9.2)), crack(3, *RING[:4], (5, 5.2)),
        crack(4, (0, 2), (2, 0)), crack(5, (20, 2), (18, 0)),
    )  # fmt: skip
    here, other = pieces(crack_network(there)), pieces(crack_network(moved(there, motion)))
    assert [(p.id, p.free) for p in other] == [(p.id, p.free) for p in here]
    assert [p.area for p in other] == pytest.approx([p.area for p in here], rel=1e-6)
    assert [p.cracked_share for p in other] == pytest.approx([p.cracked_share for p in here], rel=1e-6)
    matrix, shift, _ = MOTIONS[motion]
    for a, b in zip(here, other, strict=True):
        place = matrix @ a.outline.representative_point().coords[0] + shift
        assert b.outline.contains(Point(place))
