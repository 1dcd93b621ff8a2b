"""Tape ties: against an independent solver, laws of a moved and turned frame, what cannot be located."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from courtwright.site.complaints import Complaints
from courtwright.site.formats.ties_csv import read_known_points, read_ties
from courtwright.site.ties import Fix, Located, Lost, Tie, located

CORNERS = {"A": (0.0, 0.0), "B": (18.0, 0.5), "C": (17.5, 36.0), "D": (-0.5, 35.0), "E": (9.0, -6.0)}
TAPE = 0.005
place = st.tuples(st.floats(1, 16), st.floats(1, 34))
noise = st.lists(st.floats(-0.008, 0.008), min_size=5, max_size=5)


def _fixes(corners: dict[str, tuple[float, float]]) -> dict[str, Fix]:
    return {name: Fix(xy, np.zeros((2, 2))) for name, xy in corners.items()}


def _ties(xy: tuple[float, float], starts: str, off: list[float], corners=CORNERS) -> list[Tie]:
    return [Tie("P", s, math.dist(xy, corners[s]) + o) for s, o in zip(starts, off, strict=False)]


@pytest.mark.reference("tape-ties-least-squares")
@given(place, noise, st.sampled_from(["ABC", "ABCD", "ABCDE"]))
def test_a_point_from_three_tapes_or_more_is_that_of_an_independent_solver(xy, off, starts):
    ties = _ties(xy, starts, off)
    (found,) = located(ties, _fixes(CORNERS), TAPE)
    assert isinstance(found, Located)
    kept = [t for i, t in enumerate(ties) if i not in found.bad]
    peer = least_squares(
        lambda p: [math.dist(p, CORNERS[t.start]) - t.distance for t in kept], xy, xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    assert found.fix.xy == pytest.approx(peer.x, abs=1e-6)
    assert found.fix.covariance == pytest.approx(np.linalg.inv(peer.jac.T @ peer.jac) * TAPE**2, rel=1e-3, abs=1e-10)
    assert found.residual == pytest.approx(np.abs(peer.fun).max(), abs=1e-6)


@given(place, noise, st.floats(0, 2 * math.pi), st.floats(-50, 50), st.floats(-50, 50))
def test_a_moved_and_turned_frame_has_the_same_place_and_doubt(xy, off, turn, east, north):
    c, s = math.cos(turn), math.sin(turn)

    def moved(p: tuple[float, float]) -> tuple[float, float]:
        return c * p[0] - s * p[1] + east, s * p[0] + c * p[1] + north

    ties = _ties(xy, "ABCD", off)
    (here,) = located(ties, _fixes(CORNERS), TAPE)
    (there,) = located(ties, _fixes({name: moved(p) for name, p in CORNERS.items()}), TAPE)
    assert isinstance(here, Located)
    assert isinstance(there, Located)
    assert there.fix.xy == pytest.approx(moved(here.fix.xy), abs=1e-5)
    assert there.ellipse[:2] == pytest.approx(here.ellipse[:2], rel=1e-3)
    assert there.bad == here.bad


@given(st.tuples(st.floats(4, 13), st.floats(8, 28)), st.integers(0, 4), st.sampled_from([-1.0, -0.1, 0.1, 1.0]))
def test_a_bad_tape_is_named_and_left_out(xy, which, off):
    """One tape of five off by 0.1 m or a metre, the others exact."""
    (found,) = located(_ties(xy, "ABCDE", [off if i == which else 0.0 for i in range(5)]), _fixes(CORNERS), TAPE)
    assert isinstance(found, Located)
    assert found.bad == (which,)
    assert found.fix.xy == pytest.approx(xy, abs=1e-6)
    assert found.residuals[which] == pytest.approx(off, abs=1e-6)


@pytest.mark.parametrize(("side", "y"), [("left", 3.0), ("right", -3.0)])
def test_two_tapes_meet_on_the_side_that_was_chosen(side, y):
    """A 3-4-5 triangle; left is seen from the first point towards the second."""
    fixes = _fixes({"A": (0, 0), "B": (8, 0)})
    (found,) = located([Tie("P", "A", 5.0, side), Tie("P", "B", 5.0)], fixes, TAPE)
    assert isinstance(found, Located)
    assert found.fix.xy == pytest.approx((4, y), abs=1e-9)
    # Tapes along (±4, y)/5: the normal matrix is 2·diag(0.64, 0.36)/s².
    assert found.ellipse[:2] == pytest.approx((TAPE / math.sqrt(0.72), TAPE / math.sqrt(1.28)))
    assert math.degrees(found.ellipse[2]) % 180 == pytest.approx(0, abs=1e-6)
    (turned,) = located([Tie("P", "B", 5.0, side), Tie("P", "A", 5.0)], fixes, TAPE)
    assert isinstance(turned, Located)
    assert turned.fix.xy == pytest.approx((4, -y), abs=1e-9)


def test_a_point_found_serves_the_next_and_hands_on_its_doubt():
    fixes = _fixes({"A": (0, 0), "B": (8, 0)})
    ties = [Tie("Q", "P", 3.0, "left"), Tie("Q", "A", 4.0), Tie("P", "A", 5.0, "left"), Tie("P", "B", 5.0)]
    q, p = located(ties, fixes, TAPE)
    assert isinstance(p, Located)
    assert isinstance(q, Located)
    assert q.deviation > p.deviation
    assert math.dist(q.fix.xy, p.fix.xy) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("ties", "why"),
    [
        ([("A", 5.0)], "one-tape"),
        ([("A", 5.0), ("A", 5.0)], "one-tape"),
        ([("A", 5.0), ("B", 5.0)], "side"),
        ([("A", 3.0), ("B", 3.0)], "apart"),
        ([("A", 5.0), ("Z", 5.0)], "unknown"),
    ],
)
def test_what_cannot_be_located_says_why(ties, why):
    (lost,) = located([Tie("P", *t) for t in ties], _fixes({"A": (0, 0), "B": (8, 0)}), TAPE)
    assert isinstance(lost, Lost)
    assert lost.why == why


def test_a_tape_from_a_lost_point_leaves_the_others_their_place():
    ties = [Tie("L", "A", 5.0), *_ties((9, 20), "ABC", [0, 0, 0]), Tie("P", "L", 4.0)]
    lost, found = located(ties, _fixes(CORNERS), TAPE)
    assert isinstance(lost, Lost)
    assert isinstance(found, Located)
    assert [t.start for t in found.ties] == ["A", "B", "C"]
    assert found.fix.xy == pytest.approx((9, 20), abs=1e-6)


def test_three_tapes_at_odds_name_none():
    (found,) = located(_ties((9, 20), "ABC", [0.3, 0, 0]), _fixes(CORNERS), TAPE)
    assert isinstance(found, Located)
    assert found.at_odds
    assert found.bad == ()


def test_ties_are_read_in_feet_and_every_wrong_row_is_told():
    wrong = Complaints()
    known = read_known_points(b"point,x,y\nA,0,0\nB,10,0\n,1,1\n", "k.csv", "us", wrong)
    text = b"point,from,distance,side\nP,A,10,left\nP,B,3.048 m,\nP,A,0,\nP,C,4,\nP,A,4,up\nP,A,x,\nP,,3,\n"
    ties = read_ties(text, "t.csv", known, "us", wrong)
    assert [(t.start, t.side) for t in ties] == [("A", "left"), ("B", None)]
    assert [t.distance for t in ties] == pytest.approx([3.048, 3.048])
    codes = [c.code for c in wrong.found()]
    assert codes == ["known-short", "unit-feet", "tie-length", "tie-from", "tie-side", "length-unread", "tie-short"]
