"""Level runs: worked examples, laws of a closed book, what breaks one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.site.complaints import Complaints
from courtwright.site.formats.field_book import read_book, read_known_elevations
from courtwright.site.levelling import Sight, reduced, to_reshoot
from courtwright.site.rods import Rod, rods_reduced

FT = 0.3048
reading = st.floats(0.1, 4.0)


def _run(turns: list[tuple[float, float]], end: str) -> list[Sight]:
    """Return a book of back and foresights, from A by T1, T2 … to ``end``. [m]"""
    sights = [Sight("A", turns[0][0], None, None)]
    for i, (_, fore) in enumerate(turns):
        last = i == len(turns) - 1
        sights.append(Sight(end if last else f"T{i + 1}", None if last else turns[i + 1][0], None, fore))
    return sights


@pytest.mark.reference("differential-levelling")
def test_a_height_of_instrument_is_elevation_and_backsight_and_a_foresight_is_taken_off():
    """BM 100.00 + 4.32 = 104.32; - 3.05 = 101.27; + 6.20 - 7.40 = 100.07; + 2.10 - 2.15 = 100.02: off by 0.02 ft."""
    book = [
        Sight("BM", 4.32 * FT, None, None),
        Sight("TP1", 6.20 * FT, None, 3.05 * FT),
        Sight("TP2", 2.10 * FT, None, 7.40 * FT),
        Sight("BM", None, None, 2.15 * FT),
    ]
    run = reduced(book, {"BM": 100 * FT})
    assert [p.elevation / FT for p in run.levels] == pytest.approx([100, 101.27, 100.07, 100.02])
    # A third of 0.02 ft for every set-up.
    assert [p.adjusted / FT for p in run.levels] == pytest.approx([100, 101.27 - 0.02 / 3, 100.07 - 0.04 / 3, 100])
    assert run.misclosure == pytest.approx(0.02 * FT)


@pytest.mark.reference("bench-mark-rock")
def test_one_setup_from_a_bench_mark():
    """820.00 + 8.42 = 828.42; - 1.20 = 827.22 ft."""
    run = reduced([Sight("Rock", 8.42 * FT, None, None), Sight("X", None, None, 1.20 * FT)], {"Rock": 820 * FT})
    assert run.levels[1].elevation / FT == pytest.approx(828.42 - 1.20, abs=0.005)


@given(st.lists(st.tuples(reading, reading), min_size=1, max_size=12), st.floats(-50, 50))
def test_an_adjusted_loop_closes_and_its_misclosure_is_the_sum_of_its_sights(turns, start):
    run = reduced(_run(turns, "A"), {"A": start})
    assert run.levels[-1].adjusted == pytest.approx(start, abs=1e-12)
    assert run.misclosure == pytest.approx(sum(b - f for b, f in turns), abs=1e-9)
    assert run.setups == len(turns)
    moved = reduced(_run(turns, "A"), {"A": start + 7})
    assert [p.adjusted - 7 for p in moved.levels] == pytest.approx([p.adjusted for p in run.levels], abs=1e-9)


@given(st.lists(st.tuples(reading, reading), min_size=2, max_size=8), st.floats(-0.01, 0.01))
def test_corrections_are_those_of_least_squares_with_one_weight_for_every_setup(turns, off):
    """The peer solves for every turning point from height differences of equal weight, both ends held."""
    rises = np.array([b - f for b, f in turns])
    end = float(rises.sum()) + off
    run = reduced(_run(turns, "B"), {"A": 0.0, "B": end})
    n = len(turns)
    design = np.eye(n, n - 1) - np.eye(n, n - 1, k=-1)
    wanted = rises.copy()
    wanted[-1] -= end
    peer = np.linalg.lstsq(design, wanted, rcond=None)[0]
    assert [p.adjusted for p in run.levels[1:-1]] == pytest.approx(peer, abs=1e-9)


def test_the_length_of_a_section_counts_its_own_sights():
    """At a known turning point half its distance lies on either side: 20 + 40/2, and 40/2 + 30."""
    book = [Sight("A", 1, None, None, 1, 20), Sight("T", 1, None, 1, 2, 40), Sight("B", None, None, 1, 3, 30)]
    run = reduced(book, {"A": 0, "T": 0, "B": 0})
    assert [s.length for s in run.sections] == [40, 50]
    assert run.length == 90


def test_each_section_between_known_stations_has_its_own_misclosure():
    """Only the section that does not close is shot again."""
    # Up to T2 -0.5 + 0.2 = -0.3, as known; from there -0.2 + 0.4 = 0.2, where 0.17 is known.
    book = _run([(1.0, 1.5), (1.2, 1.0), (1.1, 1.3), (1.4, 1.0)], "B")
    run = reduced(book, {"A": 0.0, "T2": -0.3, "B": -0.13})
    assert [s.misclosure for s in run.sections] == pytest.approx([0.0, 0.03])
    assert [[(g.start, g.end) for g in to_reshoot(s, 0.007)] for s in run.sections] == [
        [],
        [("T2", "T3"), ("T3", "B")],
    ]
    assert [p.adjusted for p in run.levels] == pytest.approx([0.0, -0.5, -0.3, -0.515, -0.13])


def test_a_turning_point_on_two_rows_is_one_and_a_point_between_takes_the_share_of_its_setup():
    book = [
        Sight("A", 1.0, None, None),
        Sight("T", None, None, 1.5),
        Sight("T", 1.2, None, None),
        Sight("p", None, 1.0, None),
        Sight("A", None, None, 0.696),
    ]
    run = reduced(book, {"A": 10.0})
    assert [p.station for p in run.levels] == ["A", "T", "p", "A"]
    assert run.misclosure == pytest.approx(0.004)
    assert [p.adjusted for p in run.levels] == pytest.approx([10.0, 9.498, 9.696, 10.0])


def test_without_a_return_nothing_is_adjusted():
    run = reduced(_run([(1.0, 1.5), (1.2, 1.0)], "B"), {})
    assert (run.is_relative, run.misclosure, run.sections) == (True, None, ())
    assert [p.adjusted for p in run.levels] == [p.elevation for p in run.levels] == pytest.approx([0, -0.5, -0.3])


def test_a_larger_rod_is_lower_and_a_second_reading_checks_the_laser():
    rods = [Rod("1", 0, 0, 1.2), Rod("2", 5, 0, 1.3), Rod("1", 0, 0, 1.204)]
    run, off = rods_reduced(rods, {"1": 10.0})
    assert off == pytest.approx(-0.004)
    assert [p.elevation for p in run.levels] == pytest.approx([10, 9.9, 9.996])
    assert [p.adjusted for p in run.levels] == pytest.approx([10, 9.902, 10])


@pytest.mark.parametrize(
    ("text", "system"),
    [
        ("station,bs,is,fs\nA,10,,\nB,,,5\n", "us"),
        ("Station;BS (m);IS (m);FS (m)\nA;3,048;;\nB;;;1,524\n", "us"),
        ("# metres\nstation,bs,is,fs,remark\nA,3.048,,,first\nB,,,5 ft,\n", "us"),
        ("station\tbacksight\tforesight\nA\t3.048\t\nB\t\t1.524\n", "metric"),
    ],
)
def test_a_book_is_read_in_feet_and_metres_however_it_is_parted(text, system):
    wrong = Complaints()
    book = read_book(text.encode(), "b.csv", system, wrong)
    assert book is not None
    assert [(s.station, s.back, s.fore) for s in book.sights] == [
        ("A", pytest.approx(3.048), None),
        ("B", None, pytest.approx(1.524)),
    ]
    assert not [c for c in wrong.found() if c.weight == "error"]


@pytest.mark.parametrize(
    ("rows", "code", "is_whole"),
    [
        ("A,4,,\np,,x,\nA,,,4", "length-unread", True),
        ("A,4,,\nT,5,,x\nA,,,4", "length-unread", False),
        ("p,,2,\nA,4,,\nA,,,4", "no-backsight", True),
        ("A,4,,\np,,,\nA,,,4", "no-sight", True),
        ("A,4,,\n,,2,\nA,,,4", "no-station", True),
        ("A,4,,\np,,2,3\nA,,,4", "two-sights", False),
        ("A,4,,\nT,5,,\nA,,,4", "no-foresight", False),
        ("A,4,,\np,,1e300,\nA,,,4", "length-unread", True),
    ],
)
def test_each_mistake_is_told_with_its_line(rows, code, is_whole):
    """A point between costs itself alone; a turning point that cannot be read breaks the run."""
    wrong = Complaints()
    book = read_book(f"station,bs,is,fs\n{rows}\n".encode(), "b.csv", "metric", wrong)
    assert [c.code for c in wrong.found()] == [code]
    assert wrong.found()[0].at.startswith("line ")
    assert (book is not None) is is_whole


def test_known_elevations_may_be_below_zero_and_are_not_told_twice():
    wrong = Complaints()
    text = b"station,elevation\nA,-1.5\nB,2\nB,3\nC,\n"
    assert read_known_elevations(text, "k.csv", "metric", wrong) == {"A": -1.5, "B": 2.0}
    assert [c.code for c in wrong.found()] == ["known-twice", "known-short"]
