"""A value carries its doubt through sums and products; a span knows what it can tell."""

from __future__ import annotations

import math
import operator
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from courtwright.errors import OutOfRangeError
from courtwright.measured import Measured, Span

# --- published answers --------------------------------------------------------------------------

numbers = st.floats(0.1, 1e4)
doubts = st.floats(0.0, 100.0)


@pytest.mark.reference("uncertainties")
@given(a=numbers, sa=doubts, b=numbers, sb=doubts)
@pytest.mark.parametrize("combine", [operator.add, operator.sub, operator.mul, operator.truediv])
def test_doubt_is_carried_as_an_independent_library_carries_it(
    combine: Callable[..., Measured], a: float, sa: float, b: float, sb: float
):
    """Sum, difference, product and quotient of independent values agree in value and standard uncertainty."""
    ours = combine(Measured(a, sa), Measured(b, sb))
    theirs = combine(ufloat(a, sa or 1e-300), ufloat(b, sb or 1e-300))
    assert ours.value == pytest.approx(theirs.nominal_value, rel=1e-12)
    assert ours.sd == pytest.approx(theirs.std_dev, rel=1e-9, abs=1e-12)


# --- laws ---------------------------------------------------------------------------------------


def test_relative_doubts_of_a_product_add_in_quadrature():
    """(7,200 ± 36)(1.5 ± 0.125): 10,800·√(0.005² + 0.083333²) = 10,800 × 0.0834832 = 901.62."""
    product = Measured(7200, 36) * Measured(1.5, 0.125)
    assert (product.value, round(product.sd, 2)) == (10800, 901.62)


@given(a=numbers, sa=doubts, factor=st.floats(0.1, 10))
def test_a_plain_number_has_no_doubt(a: float, sa: float, factor: float):
    """Scaling scales the doubt, and adding a constant leaves it."""
    assert (Measured(a, sa) * factor).sd == pytest.approx(sa * factor)
    assert (factor + Measured(a, sa)).sd == pytest.approx(sa)


@given(low=numbers, width=doubts, limit=numbers)
def test_a_span_tells_only_what_holds_for_all_of_it(low: float, width: float, limit: float):
    """Being above is true, false or unknown as all, none or some of the span is above."""
    span = Span(low, low + width)
    ends = {x > limit for x in (span.low, span.high)}
    assert span.is_above(limit) is (ends.pop() if len(ends) == 1 else None)
    ends = {x >= limit for x in (span.low, span.high)}
    assert span.is_at_least(limit) is (ends.pop() if len(ends) == 1 else None)


def test_the_middle_of_an_endless_span_is_its_end():
    """What is known of "at least 3" is 3."""
    assert Span(3, math.inf).middle == Span(-math.inf, 3).middle == Span(2, 4).middle == 3
    assert Span(-math.inf, math.inf).middle == 0


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("value", "sd"), [(math.nan, 0), (1, math.nan), (1, -1)])
def test_what_is_no_value_is_refused(value: float, sd: float):
    """NaN and a negative doubt are refused."""
    with pytest.raises(OutOfRangeError):
        Measured(value, sd)


@pytest.mark.parametrize(("low", "high"), [(2, 1), (math.nan, 1), (1, math.nan)])
def test_what_is_no_span_is_refused(low: float, high: float):
    """Ends in the wrong order and NaN are refused."""
    with pytest.raises(OutOfRangeError):
        Span(low, high)
