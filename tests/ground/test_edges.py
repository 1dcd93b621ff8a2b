"""What stands along a pad's edge, and the low spots that it makes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, box

from courtwright.ground.edges import dammed_length, edge_stretches, low_edge
from courtwright.ground.heights import heights
from courtwright.ground.low_spots import low_spots, water_of
from courtwright.site.record import Mark

from .pads import INCH, MOTIONS, moved, pad, rows, shots

SIZE = (20.0, 10.0)


def _edge(*places: tuple[float, float], **properties: object) -> Mark:
    return Mark("edge-1", "edge", LineString(places), properties)


def _falling(*marks: Mark, slope: float = 0.01):
    """Return a pad that falls by ``slope`` to its side at x = 0."""
    return pad(*marks, size=SIZE, shots=shots(lambda x, y: slope * x, rows(SIZE, 2.0)))


def _low_spots(there):
    found, stretches = heights(there)[0], edge_stretches(there)
    return low_spots(there, found, stretches, water_of(there, found, stretches, 1))


LOW_SIDE = ((0, 0), (0, 10))


# --- laws ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("properties", "dam", "clear"),
    [
        ({"stands": "above", "of": "sod"}, "sod", False),
        ({"stands": "flush", "of": "soil"}, "soil", False),
        ({"stands": "flush", "of": "wall"}, "wall", False),
        ({"stands": "below", "of": "soil"}, None, True),
        ({"stands": "above"}, None, False),
        ({"of": "sand"}, None, False),
        ({}, None, False),
    ],
)
def test_soil_sod_sand_or_a_wall_flush_or_above_dams(properties, dam, clear):
    """What lies below drains; what nobody told of is neither a dam nor known to be clear."""
    (stretch,) = edge_stretches(pad(_edge(*LOW_SIDE, **properties)))
    assert (stretch.dam, stretch.is_clear) == (dam, clear)


@pytest.mark.parametrize(
    ("places", "length"),
    [
        (((0, 2), (0, 8)), 6.0),
        (((0.2, 2), (-0.2, 8)), 6.0),
        (((0, 8), (0, 0), (5, 0)), 13.0),
        (((5, 0), (0, 0), (0, 8)), 13.0),
        (((0, 5), (0, 10), (20, 10), (20, 0), (0, 0), (0, 4)), 59.0),
        (((0, 0), (20, 0), (20, 10), (0, 10), (0, 0)), 60.0),
    ],
    ids=["a side", "drawn aslant", "round a corner", "the other way", "nearly all round", "all round"],
)
def test_an_edge_mark_covers_the_outline_between_its_ends(places, length):
    """A mark drawn beside the outline dams the outline itself, on the side on which it was drawn."""
    stretches = edge_stretches(pad(_edge(*places, stands="above", of="sod")))
    assert dammed_length(stretches) == pytest.approx(length, abs=1e-6)


def test_overlapping_dams_count_once():
    """Two marks along one side dam its length, not twice its length."""
    marks = (_edge((0, 0), (0, 6), stands="above", of="sod"), _edge((0, 4), (0, 10), stands="flush", of="sand"))
    assert dammed_length(edge_stretches(pad(*marks))) == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("marks", "stands"),
    [
        ((), None),
        ((_edge(*LOW_SIDE, stands="above", of="sod"),), "sod"),
        ((_edge(*LOW_SIDE, stands="below", of="soil"),), "clear"),
        ((_edge((20, 0), (20, 10), stands="above", of="sod"),), None),
        ((_edge(*LOW_SIDE, stands="below"), _edge((0, 2), (0, 5), stands="flush", of="sand")), "sand"),
    ],
    ids=["nobody told", "sod", "below", "sod at the high side", "sand on part of it"],
)
def test_the_low_edge_is_where_the_pad_falls_to(marks, stands):
    """Only what stands at the low side counts, and there a dam counts before what is clear."""
    assert low_edge(box(0, 0, *SIZE), (-1.0, 0.0), edge_stretches(pad(*marks))) == stands


def test_without_a_fall_every_edge_counts():
    """When nobody knows where the pad falls to, a dam anywhere may be at its low edge."""
    stretches = edge_stretches(pad(_edge((20, 0), (20, 10), stands="above", of="sod")))
    assert low_edge(box(0, 0, *SIZE), None, stretches) == "sod"


def test_a_plane_that_drains_holds_no_water():
    """An edge of which nothing is known drains."""
    assert _low_spots(_falling()) == ()


def test_water_runs_round_the_end_of_a_dam():
    """Behind sod along the low side alone nothing stands: at its ends the sides are open."""
    assert _low_spots(_falling(_edge(*LOW_SIDE, stands="above", of="sod"))) == ()


def test_a_dam_round_both_corners_holds_water_up_to_its_ends():
    """A dam that runs 3 m up both sides of a 1 % fall holds 30 mm at the low side, less a node or two."""
    (spot,) = _low_spots(_falling(_edge((3, 0), (0, 0), (0, 10), (3, 10), stands="above", of="sod")))
    assert spot.depth_max == pytest.approx(0.030, abs=0.004)
    assert spot.area == pytest.approx(3 * 10, rel=0.12)
    assert spot.likelihood == 1.0


def test_a_slip_between_two_dams_lets_no_water_out():
    """Marks that miss each other at the corner by less than half a metre dam it; a gap of a metre drains it."""
    corner = shots(lambda x, y: 0.01 * (x + y), rows(SIZE, 2.0))
    for gap, count in ((0.2, 1), (1.0, 0)):
        marks = (_edge((5, 0), (gap, 0), stands="above", of="sod"), _edge((0, gap), (0, 5), stands="above", of="sod"))
        assert len(_low_spots(pad(*marks, size=SIZE, shots=corner))) == count


def test_a_low_dam_is_topped():
    """A dam all round, an inch high where the pad is lowest, holds an inch: the closed form of a wedge of water."""
    marks = (
        _edge((0, 0), (20, 0), (20, 10), (0, 10), stands="above", of="wall"),
        _edge(*LOW_SIDE, stands="above", of="sod", height=INCH),
    )
    (spot,) = _low_spots(_falling(*marks))
    assert spot.depth_max == pytest.approx(INCH, rel=1e-3)
    # A wedge an inch deep at 1 % is 2.54 m wide: 2.54 · 10 m², half of that times an inch; edge nodes count whole.
    assert spot.area == pytest.approx(25.4, rel=0.12)
    assert spot.volume == pytest.approx(25.4 * INCH / 2, rel=0.12)
    assert spot.spill[0] == pytest.approx(0.0, abs=0.2)


def _behind_a_dam(*heights: float):
    """Return the low spots of a 1 % fall walled in, whose low side is dammed to each of some heights."""
    wall = _edge((0, 0), (20, 0), (20, 10), (0, 10), stands="above", of="wall")
    dams = [_edge(*LOW_SIDE, stands="above", of="sod", height=height) for height in heights]
    return _low_spots(_falling(wall, *dams))


def test_of_two_dams_the_lower_lets_the_water_out():
    """An inch and three inches along one side, in either order: an inch of water."""
    for dams in ((INCH, 3 * INCH), (3 * INCH, INCH)):
        (spot,) = _behind_a_dam(*dams)
        assert spot.depth_max == pytest.approx(INCH, rel=1e-3)


def test_water_that_does_not_cover_a_coin_is_no_low_spot():
    """Behind a dam of 1.8 mm nothing counts; behind one of 2.1 mm it does: the coin is 1.95 mm thick."""
    assert _behind_a_dam(0.0018) == ()
    assert len(_behind_a_dam(0.0021)) == 1


def test_a_working_drain_takes_the_water_and_a_blocked_one_does_not():
    """The dammed corner is dry when its drain works; of one that nobody tried nothing is expected."""
    dam = _edge((5, 0), (0, 0), (0, 5), stands="above", of="sod", height=INCH)
    drain = Mark("drain-1", "drain", Point(0.1, 0.1), {"works": True})
    corner = replace(_falling(dam), shots=shots(lambda x, y: 0.01 * (x + y), rows(SIZE, 2.0)))
    assert len(_low_spots(corner)) == 1
    assert _low_spots(replace(corner, marks=(dam, drain))) == ()
    for properties in ({"works": False}, {}):
        untold = replace(drain, properties=properties)
        assert len(_low_spots(replace(corner, marks=(dam, untold)))) == 1


def _dished(*marks: Mark, noise: float = 0.0002):
    def surface(x, y):
        away = np.hypot(x - 12, y - 5)
        return 0.004 * x - np.where(away < 3, 0.02 * (1 - (away / 3) ** 2), 0)

    return pad(*marks, size=SIZE, shots=shots(surface, rows(SIZE, 0.5), noise))


def test_a_dish_in_a_survey_is_found_with_its_depth_area_and_volume():
    """A bowl 20 mm deep and 6 m wide in a 0.4 % plane, shot every half metre; kriging rounds its rim a little."""
    (spot,) = _low_spots(_dished())
    # h = d (1 − sR/2d)² = 0.02 · 0.7² = 9.8 mm; area π R² h/d; V = π h² R² / 2d.
    depth = 0.02 * (1 - 0.004 * 3 / 0.04) ** 2
    assert spot.depth_max == pytest.approx(depth, rel=0.10)
    assert spot.area == pytest.approx(np.pi * 9 * depth / 0.02, rel=0.10)
    assert spot.volume == pytest.approx(np.pi * depth**2 * 9 / 0.04, rel=0.20)
    assert spot.likelihood == 1.0
    assert spot.outline.area == pytest.approx(spot.area, rel=1e-3)


@pytest.mark.parametrize(("spacing", "noise"), [(1.524, 0.0), (1.524, 0.001), (1.0, 0.001), (0.61, 0.001)])
def test_one_dip_in_a_true_plane_is_not_smoothed_away(spacing, noise):
    """A 10 ft wide, 3/4 in deep dip, alone in a 60 by 120 ft pad that falls 0.5 %, is found by a 2 to 5 ft grid."""
    size = (60 * 0.3048, 120 * 0.3048)

    def surface(x, y):
        away = np.hypot(x - 9.3, y - 15.1)
        return 0.005 * x - np.where(away < 1.524, 0.01905 * (1 - (away / 1.524) ** 2), 0)

    there = pad(size=size, shots=shots(surface, rows(size, spacing), noise))
    (spot,) = _low_spots(there)
    # True depth 0.01905 (1 − 0.005 · 1.524 / 0.0381)² = 12.2 mm; a wide grid sees less of it.
    assert 0.005 < spot.depth_max < 0.0125
    assert np.hypot(spot.deepest[0] - 9.3, spot.deepest[1] - 15.1) < 1.0
    assert spot.likelihood > 0.9


def test_a_shallow_dish_is_less_likely_than_a_deep_one():
    """A dish near the limit, in few shots, exists in some of the surfaces that the shots allow, not in all."""

    def surface(x, y):
        away = np.hypot(x - 12, y - 5)
        return 0.004 * x - np.where(away < 3, 0.014 * (1 - (away / 3) ** 2), 0)

    (spot, *_) = _low_spots(pad(size=SIZE, shots=shots(surface, rows(SIZE, 1.0), 0.001)))
    assert 0.1 < spot.likelihood < 1.0


@pytest.mark.parametrize("motion", MOTIONS)
def test_another_frame_gives_the_same_low_spots(motion):
    """Area, depth, volume and likelihood stay; places move with the pad."""
    dam = _edge((20, 10), (0, 10), (0, 5), stands="above", of="sod", height=INCH)
    here, there = _low_spots(_dished(dam)), _low_spots(moved(_dished(dam), motion))
    assert [spot.id for spot in there] == [spot.id for spot in here]
    matrix, shift, _ = MOTIONS[motion]
    for a, b in zip(here, there, strict=True):
        for name in ("area", "depth_max", "volume", "likelihood"):
            assert getattr(b, name) == pytest.approx(getattr(a, name), rel=1e-6)
        assert b.deepest == pytest.approx(tuple(matrix @ a.deepest + shift), abs=1e-6)


def test_the_same_record_gives_the_same_likelihoods():
    """The seed decides the draws, nothing else does."""
    assert _low_spots(_dished()) == _low_spots(_dished())


# --- drawn low spots -----------------------------------------------------------------------------


def _drawn(x: float, **properties: object) -> Mark:
    return Mark("puddle", "low-spot", box(x, 4, x + 1, 6), properties)


def test_a_drawn_low_spot_that_is_computed_too_counts_once():
    """The computed one stays, and keeps the walker's mark and hours."""
    (spot,) = _low_spots(_dished(_drawn(11.5, lasts=24.0)))
    assert (spot.drawn, spot.mark, spot.lasts) == (False, "puddle", 24.0)


def test_a_drawn_low_spot_elsewhere_is_kept():
    """What the walker saw counts where the heights show none; its water is that of a bowl."""
    spots = _low_spots(_dished(_drawn(2.0, depth=0.01)))
    assert [spot.drawn for spot in spots] == [False, True]
    assert spots[1].volume == pytest.approx(2.0 * 0.01 / 2)
    assert spots[1].likelihood is None


def test_a_drawn_low_spot_of_unknown_depth_says_so():
    """Without heights only the drawn ones are known; one without a depth has the least that counts."""
    there = pad(_drawn(2.0, lasts=48.0), size=SIZE)
    (spot,) = low_spots(there, None, (), None)
    assert (spot.depth_is_known, spot.lasts) == (False, 48.0)
    assert spot.depth_max == pytest.approx(0.00195)
