"""Cracks counted and measured."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.ground.cracks import WIDTH_EDGES
from courtwright.ground.network import crack_network
from courtwright.ground.read import read_pad
from courtwright.site.record import Court, Tally

from .pads import FOOT, INCH, MOTIONS, crack, moved, pad

PLACES = st.tuples(st.floats(0.5, 19.5), st.floats(0.5, 9.5))


def _read(*cracks, **more):
    return read_pad(pad(*cracks, **more)).cracks


# --- laws ----------------------------------------------------------------------------------------


@given(st.lists(st.lists(PLACES, min_size=2, max_size=5, unique=True), max_size=6))
def test_the_length_is_that_drawn(lines):
    """Whatever is snapped or carried on, the length is the sum of what was drawn; classes hold all of known width."""
    widths = [None, 1 / 16 * INCH, 3 / 8 * INCH, 2 * INCH]
    cracks = [crack(i, *line, **({"width": w} if (w := widths[i % 4]) else {})) for i, line in enumerate(lines)]
    found = _read(*cracks)
    drawn = math.fsum(math.dist(a, b) for line in lines for a, b in itertools.pairwise(line))
    assert found.length == pytest.approx(drawn)
    assert math.fsum(w.length for w in found.by_width) + found.unknown_width == pytest.approx(drawn)
    assert 0 <= found.edge_length <= drawn + 1e-9
    assert 0 <= found.joined_wide <= drawn + 1e-6


@pytest.mark.parametrize(
    ("width", "ordinal"),
    [(1 / 16, 0), (1 / 8, 1), (3 / 16, 1), (1 / 4, 2), (1 / 2, 3), (1, 4), (1.49, 4), (1.5, 5), (4, 5)],
)
def test_a_width_counts_in_the_class_that_begins_with_it(width, ordinal):
    """Classes part at 1/8, 1/4, 1/2, 1 and 1-1/2 in; a width of just that counts above."""
    found = _read(crack(1, (5, 5), (8, 5), width=width * INCH))
    assert [w.length for w in found.by_width] == pytest.approx([3.0 if i == ordinal else 0.0 for i in range(6)])
    assert (found.by_width[ordinal].low, found.by_width[ordinal].high) == WIDTH_EDGES[ordinal : ordinal + 2]


def test_the_widest_and_the_highest_step_are_told():
    """``width_max`` counts before ``width``; a step is the greatest of those measured; unknown stays unknown."""
    found = _read(
        crack(1, (1, 1), (2, 1), width=0.01, width_max=0.03), crack(2, (1, 2), (2, 2), step=0.004),
        crack(3, (1, 3), (2, 3), step=0.009),
    )  # fmt: skip
    assert (found.width_max, found.step_max) == (0.03, 0.009)
    assert found.unknown_width == pytest.approx(2.0)
    bare = _read(crack(1, (1, 1), (2, 1)))
    assert (bare.width_max, bare.step_max) == (None, None)


@pytest.mark.parametrize(
    ("lines", "junctions", "ends"),
    [
        ([[(5, 5), (10, 5)]], 0, 2),
        ([[(5, 5), (10, 5)], [(10.03, 5.0), (15, 5)]], 0, 2),
        ([[(5, 5), (10, 5)], [(7, 5.04), (7, 8)]], 1, 3),
        ([[(5, 5), (10, 5)], [(7, 3), (7, 8)]], 1, 4),
        ([[(5, 5), (10, 5)], [(7, 4.96), (7, 8)]], 1, 3),
        ([[(0, 5), (20, 5)]], 0, 0),
        ([[(0.04, 5), (20.2, 5)]], 0, 0),
        ([[(5, 5), (8, 5), (8, 8), (5, 8), (5, 5.03)]], 0, 0),
        ([[(5, 5), (8, 5), (8, 8), (6, 8), (6, 5.04)]], 1, 1),
        ([[(5, 5), (10, 5)], [(7, 5.2), (7, 8)]], 0, 4),
        ([[(10, 5), (5, 5)], [(10, 5), (15, 5)], [(10.02, 5.02), (10, 9)]], 1, 3),
    ],
    ids=[
        "one", "end to end", "a T, 4 cm short", "an X", "a T, 4 cm over", "edge to edge", "nearly edge to edge",
        "a ring, 3 cm open", "a P", "20 cm short", "a Y, 2 cm apart",
    ],
)  # fmt: skip
def test_junctions_and_ends(lines, junctions, ends):
    """Ends closer than 5 cm to what they were meant to meet do meet it; the edge is no junction and no end."""
    found = _read(*(crack(i, *line) for i, line in enumerate(lines)))
    assert (found.junctions, found.ends) == (junctions, ends)


@pytest.mark.parametrize(("spacing", "count"), [(7, 0), (8.5, 1), (12, 1), (14.5, 1), (16, 0)])
def test_parallels_at_the_width_of_a_paving_lane(spacing, count):
    """Two long cracks side by side 8 to 15 ft apart look like lanes."""
    there = [crack(1, (1, 2), (19, 2.2)), crack(2, (1, 2 + spacing * FOOT), (19, 2.1 + spacing * FOOT))]
    assert _read(*there).parallels == count


@pytest.mark.parametrize(
    "other",
    [((1, 5), (10, 9)), ((1, 5), (3, 5)), ((15, 5), (19, 5)), ((1, 5), (3, 8), (5, 5), (7, 8), (9, 5))],
    ids=["at an angle", "short", "not beside", "zigzag"],
)
def test_what_is_no_lane(other):
    """Cracks at an angle, short, one past the other, or zigzag do not count as lanes."""
    assert _read(crack(1, (1, 2), (10, 2)), crack(2, *other)).parallels == 0


def test_the_length_along_the_edge():
    """Within 12 in of the outline and about parallel counts, across or farther in does not."""
    along, farther, across = crack(1, (3, 0.2), (9, 0.28)), crack(2, (3, 0.4), (9, 0.4)), crack(3, (15, 0), (15, 3))
    assert _read(along, farther, across).edge_length == pytest.approx(math.dist((3, 0.2), (9, 0.28)))


WIDE = {"width": 0.5 * INCH}


def test_wide_cracks_that_cut_a_piece_free_are_joined():
    """A ring of wide cracks is joined; a wide crack that ends on the pad is not; nor are hairlines."""
    ring = [(5, 5), (8, 5), (8, 8), (5, 8), (5, 5)]
    assert _read(crack(1, *ring, **WIDE)).joined_wide == pytest.approx(12.0)
    assert _read(crack(1, (5, 5), (9, 5), **WIDE)).joined_wide == 0.0
    assert _read(crack(1, *ring, width=INCH / 8)).joined_wide == 0.0


def test_a_wide_crack_between_two_others_is_joined():
    """Meeting other cracks at both ends counts, at one end it does not."""
    rails = [crack(1, (5, 3), (9, 3), **WIDE), crack(2, (5, 7), (9, 7), **WIDE)]
    assert _read(*rails, crack(3, (7, 3), (7, 7), **WIDE)).joined_wide == pytest.approx(4.0)
    assert _read(*rails, crack(3, (7, 3), (7, 5.5), **WIDE)).joined_wide == 0.0


def test_what_was_counted_adds_to_what_is_drawn():
    """A tally adds its length, its width and its step beyond the marks of its court; nothing counts twice."""
    tally = Tally("crack", "1", length=10.0, properties={"width": 0.01, "step": 0.004})
    there = pad(crack(1, (1, 1), (4, 1), width=0.01), courts=(Court("1", "tennis", (10, 5)),), tallies=(tally,))
    found = read_pad(there).cracks
    assert (found.length, found.tallied) == pytest.approx((10.0, 7.0))
    assert found.step_max == 0.004
    assert read_pad(replace(there, marks=())).cracks.length == pytest.approx(10.0)


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_cracks(motion):
    """Moved, turned or mirrored, every count stays and every length to a part in a million."""
    there = pad(
        crack(1, (0, 3), (12, 3.3), **WIDE), crack(2, (6, 3.2), (7, 9.97), **WIDE), crack(3, (2, 6), (5.6, 6.2)),
        crack(4, (3, 0.2), (9, 0.2), **WIDE), crack(5, (14, 4), (17, 4), (17, 7), (14, 7), (14, 4.02), **WIDE),
    )  # fmt: skip
    here, other = read_pad(there).cracks, read_pad(moved(there, motion)).cracks
    for name in ("junctions", "ends", "parallels"):
        assert getattr(other, name) == getattr(here, name)
    for name in ("length", "edge_length", "joined_wide"):
        assert getattr(other, name) == pytest.approx(getattr(here, name), rel=1e-6)


# --- refusals ------------------------------------------------------------------------------------


def test_a_pad_without_cracks():
    """No cracks: no length, no junction, and an empty network."""
    found = _read()
    assert (found.length, found.junctions, found.ends, found.parallels) == (0.0, 0, 0, 0)
    assert crack_network(pad()).cracks.is_empty


def test_old_repairs_are_no_cracks():
    """A repaired strip adds no length of crack."""
    strip = replace(crack(1, (1, 1), (9, 1)), kind="old-repair")
    assert _read(strip).length == 0.0
