"""Edges of the discounting formulas; published values are checked in tests/reference."""

import pytest

from courtwright.cost import discount


def test_work_older_than_its_life_has_no_value_left():
    """12,000 with 12 years: 3,000 after nine, nothing after twelve and after fifteen."""
    assert [discount.remaining_value(12000, 12, used) for used in (0, 9, 12, 15)] == [12000, 3000, 0, 0]


@pytest.mark.parametrize("rate", [0.0, 0.03])
def test_a_payment_that_rises_as_fast_as_it_is_discounted_counts_in_full_each_year(rate: float):
    """Twenty years of 1 are 20, and the formula beside it goes there without a step."""
    assert discount.escalating_series_factor(rate, rate, 20) == 20
    assert discount.escalating_series_factor(rate, rate + 1e-9, 20) == pytest.approx(20, rel=1e-6)


def test_a_series_without_interest_is_its_sum():
    """Ten payments of 1 are 10, and each of them is a tenth of 10."""
    assert discount.series_present_worth_factor(0.0, 10) == 10
    assert float(discount.capital_recovery(0.0, 10)) == pytest.approx(0.1)
