"""Laws of the condition index, and what it refuses. Worked sheets are checked in tests/reference."""

import dataclasses
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from courtwright.errors import OutOfRangeError
from courtwright.site.distress import Distress
from courtwright.trade.load import deduct_curves, distresses
from courtwright.verdict.condition import allowed_deducts, condition_index, kept_deducts, rating

AREA = 650.0
KEYS = sorted(deduct_curves().deduct)


@st.composite
def surveys(draw, most=12, largest=0.4):
    """Distresses of one pad, each of its own number and severity, areas no larger than the pad."""
    keys = draw(st.lists(st.sampled_from(KEYS), unique=True, max_size=most))
    most_of = {"area": AREA, "length": 300.0, "count": 40.0}
    sizes = [draw(st.floats(1e-3, largest)) * most_of[distresses()[number].measured] for number, _ in keys]
    return tuple(Distress(*key, size) for key, size in zip(keys, sizes, strict=True))


def _value(found) -> float:
    return condition_index(found, AREA).value


# --- laws ----------------------------------------------------------------------------------------


def test_the_index_of_nothing_is_a_hundred():
    """No distress: 100, Good, nothing taken from memory."""
    index = condition_index((), AREA)
    assert (index.value, index.rating, index.tdv, index.q, index.deducts, index.from_memory) == (
        100,
        "Good",
        0,
        0,
        (),
        (),
    )


@given(surveys())
def test_the_index_lies_between_0_and_100(found):
    """Whatever is found, and its parts hang together."""
    index = condition_index(found, AREA)
    assert 0 <= index.value <= 100
    assert index.value == pytest.approx(max(0, 100 - index.cdv))
    assert index.cdv == max(step["cdv"] for step in index.steps)
    assert all(step["cdv"] <= step["tdv"] + 1e-9 for step in index.steps)
    assert index.hdv == max((row.deduct for row in index.deducts), default=0)


@given(surveys(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(found, random):
    """Shuffled rows have the same index."""
    shuffled = list(found)
    random.shuffle(shuffled)
    assert _value(shuffled) == pytest.approx(_value(found), abs=1e-9)


@given(surveys(), st.floats(0.1, 0.9))
def test_a_row_split_in_two_changes_nothing(found, share):
    """Rows of one distress and severity are added up before the curve is read."""
    parts = [dataclasses.replace(one, quantity=one.quantity * s) for one in found for s in (share, 1 - share)]
    assert _value(parts) == pytest.approx(_value(found), abs=1e-6)


@given(surveys())
def test_twice_as_much_never_raises_the_index(found):
    """While all deducts count (m cuts none), more of everything leaves the index the same or lower."""
    twice = tuple(dataclasses.replace(one, quantity=2 * one.quantity) for one in found)
    assume(condition_index(twice, AREA).m >= len(found))
    assert _value(twice) <= _value(found) + 1e-9


@given(surveys(most=6))
def test_one_distress_more_never_raises_the_index(found):
    """While all deducts count, as above."""
    assume(found)
    assume(condition_index(found, AREA).m >= len(found))
    assert _value(found) <= _value(found[1:]) + 1e-9


@given(surveys(most=6), st.floats(0.01, 100))
def test_only_densities_count(found, scale):
    """A unit twice as large with twice the quantities has the same index."""
    scaled = tuple(dataclasses.replace(one, quantity=one.quantity * scale) for one in found)
    assert condition_index(scaled, AREA * scale).value == pytest.approx(_value(found), abs=1e-6)


@given(st.lists(st.floats(0, 100), max_size=15), st.floats(1, 10))
def test_kept_deducts_are_the_largest_and_never_more_than_m_and_a_part(values, m):
    """The whole part of m counts in full, the next by the fraction."""
    kept = kept_deducts(values, m)
    assert len(kept) == min(len(values), int(m) + 1)
    assert kept[: int(m)] == tuple(sorted(values, reverse=True)[: int(m)])
    assert sum(kept) <= sum(values) + 1e-9


@given(st.floats(0, 100))
def test_the_allowed_number_falls_with_the_highest_deduct(highest):
    """From 10 down to 1."""
    assert 1 <= allowed_deducts(highest) <= 10
    assert allowed_deducts(min(100, highest + 1)) <= allowed_deducts(highest)


def test_one_deduct_over_two_makes_the_total_stand_for_the_corrected_value():
    """Patches of 1 % (deduct 19) with a trace of ravelling (deduct 0.5): 100 − 19.5."""
    index = condition_index((Distress(11, "H", 0.01 * AREA), Distress(19, "L", 0.001 * AREA)), AREA)
    assert (index.q, index.tdv, index.cdv) == (1, pytest.approx(19.5), pytest.approx(19.5))
    assert index.value == pytest.approx(80.5)


def test_lengths_and_counts_are_read_on_the_us_basis():
    """1 m of crack in 100 m² is 0.3048 % of ft/ft²; one pothole in 100 m² is 1 in 1,076 ft²."""
    index = condition_index((Distress(10, "L", 1.0), Distress(13, "L", 1.0)), 100.0)
    assert [row.density for row in index.deducts] == pytest.approx([0.3048, 0.09290304])


def test_the_answer_names_every_recalled_curve_it_leans_on():
    """Deduct curves by number and severity; corrected curves where no published reading supports them."""
    index = condition_index((Distress(10, "M", 20.0), Distress(11, "H", 3.0)), AREA)
    # deducts of about 7 and 15: a total of 21 or so with q = 2 is supported from 21 on
    assert index.from_memory[:2] == ("deduct curve 10 M", "deduct curve 11 H")
    assert ("corrected deduct curve q 2" in " ".join(index.from_memory)) == (index.steps[0]["tdv"] < 21)


def test_digitised_curves_are_not_called_recalled():
    """Curves read from the figures leave only the corrected curves outside their range to name."""
    read = {key: dataclasses.replace(curve, from_memory=False) for key, curve in deduct_curves().deduct.items()}
    curves = dataclasses.replace(deduct_curves(), deduct=read)
    assert condition_index((Distress(10, "M", 20.0),), AREA, curves).from_memory == ()


def test_weathering_counts_with_ravelling_until_a_curve_of_its_own_is_given():
    """20 uses the curve of 19 and is added to it."""
    apart = condition_index((Distress(20, "L", 60.0), Distress(19, "L", 5.0)), AREA)
    together = condition_index((Distress(19, "L", 65.0),), AREA)
    assert apart == together


@pytest.mark.parametrize(
    ("index", "id"),
    [(100, "good"), (84.5, "good"), (84.4, "satisfactory"), (54.6, "fair"), (9.4, "failed"), (0, "failed")],
)
def test_the_rating_is_that_of_the_whole_index(index: float, id: str):
    """84.5 is reported as 85."""
    assert rating(index).id == id


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "area", "problem"),
    [
        (Distress(10, "L", 5.0), 0.0, "condition.no-area"),
        (Distress(10, "L", 5.0), math.nan, "condition.no-area"),
        (Distress(10, "L", 5.0), math.inf, "condition.no-area"),
        (Distress(10, "L", -1.0), AREA, "condition.no-quantity"),
        (Distress(10, "L", math.nan), AREA, "condition.no-quantity"),
        (Distress(6, "L", AREA + 1), AREA, "condition.more-than-area"),
        (Distress(9, "L", 1.0), AREA, "condition.no-curve"),
        (Distress(99, "L", 1.0), AREA, "condition.no-curve"),
        (Distress(10, "X", 1.0), AREA, "condition.no-curve"),
    ],
)
def test_what_has_no_index_is_refused(found: Distress, area: float, problem: str):
    """An impossible area, quantity or distress."""
    with pytest.raises(OutOfRangeError) as refusal:
        condition_index((found,), area)
    assert refusal.value.problem.id == problem
