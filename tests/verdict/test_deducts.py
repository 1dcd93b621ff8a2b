"""Laws of reading deduct curves, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import OutOfRangeError
from courtwright.trade.condition_records import CorrectedCurve, DeductCurve, DeductCurves
from courtwright.trade.load import deduct_curves
from courtwright.verdict.deducts import corrected_curve, corrected_deduct, deduct_value, is_supported

CURVES = deduct_curves()
KEYS = sorted(CURVES.deduct)


# --- laws ----------------------------------------------------------------------------------------


def test_a_total_is_never_corrected_upwards():
    """A curve that reads 30 at 20, as a badly digitised one might: 10 stays 10, and 60 comes to less than itself."""
    curves = DeductCurves({}, {2: CorrectedCurve(2, (20.0, 80.0), (30.0, 57.0))})
    assert corrected_deduct(curves, 10.0, 2) == 10.0
    assert corrected_deduct(curves, 60.0, 2) == pytest.approx(30 + 27 * 40 / 60)


@given(key=st.sampled_from(KEYS), density=st.floats(0, 100), more=st.floats(0, 50))
def test_more_of_a_distress_never_deducts_less(key, density: float, more: float):
    """Deducts grow with density and stay between 0 and 100."""
    low, high = deduct_value(CURVES.deduct[key], density), deduct_value(CURVES.deduct[key], density + more)
    assert 0 <= low <= high + 1e-12 <= 100 + 1e-9


@given(number=st.sampled_from(sorted({n for n, s in KEYS if s != "-"})), density=st.floats(0, 100))
def test_a_worse_severity_never_deducts_less(number: int, density: float):
    """L, M, H in order at any density."""
    low, medium, high = (deduct_value(CURVES.deduct[number, severity], density) for severity in "LMH")
    assert low <= medium + 1e-12
    assert medium <= high + 1e-12


@pytest.mark.parametrize("key", KEYS)
def test_a_curve_goes_through_its_knots_and_from_nothing(key):
    """At each knot the knot's deduct; half the first knot's at half its density; none at none."""
    curve = CURVES.deduct[key]
    for density, deduct in zip(curve.density, curve.deduct, strict=True):
        assert deduct_value(curve, density) == pytest.approx(deduct)
    assert deduct_value(curve, curve.density[0] / 2) == pytest.approx(curve.deduct[0] / 2)
    assert deduct_value(curve, 0.0) == 0


@given(total=st.floats(0, 400), more=st.floats(0, 100), q=st.integers(0, 12))
def test_a_larger_total_is_never_corrected_to_less_nor_above_itself(total: float, more: float, q: int):
    """Corrected values grow with the total and never exceed it or 100."""
    low, high = corrected_deduct(CURVES, total, q), corrected_deduct(CURVES, total + more, q)
    assert 0 <= low <= min(total, 100) + 1e-9
    assert low <= high + 1e-9


@given(total=st.floats(0, 400))
def test_one_deduct_is_its_own_correction_and_more_than_eight_count_as_eight(total: float):
    """Q of 0 and 1 leave the total, capped at 100; the standard draws no curve beyond the last."""
    assert corrected_deduct(CURVES, total, 0) == corrected_deduct(CURVES, total, 1) == min(100, total)
    assert corrected_deduct(CURVES, total, 11) == corrected_deduct(CURVES, total, 8)


def test_support_is_told_by_the_published_range():
    """Curve 2 is supported from 21 to 77; the curves of 7 and 8 deducts are not supported at all."""
    curve = corrected_curve(CURVES, 2)
    assert curve is not None
    assert (is_supported(curve, 20.9), is_supported(curve, 21), is_supported(curve, 77.1)) == (False, True, False)
    assert not any(is_supported(CURVES.corrected[q], total) for q in (7, 8) for total in (50, 101.9, 104.7))


def test_a_curve_of_one_knot_stays_level_beyond_it():
    """A single reading says nothing of a slope."""
    assert deduct_value(DeductCurve(1, "L", (0.5,), (8.0,)), 20.0) == 8
    curves = DeductCurves({}, {2: CorrectedCurve(2, (40.0,), (30.0,))})
    assert corrected_deduct(curves, 80.0, 2) == 60  # the line from nothing goes on


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [-1.0, math.nan])
def test_what_is_no_density_and_no_total_is_refused(value: float):
    """Negative and NaN."""
    with pytest.raises(OutOfRangeError) as refusal:
        deduct_value(CURVES.deduct[1, "L"], value)
    assert refusal.value.problem.id == "condition.no-density"
    with pytest.raises(OutOfRangeError) as refusal:
        corrected_deduct(CURVES, value, 2)
    assert refusal.value.problem.id == "condition.no-total"
