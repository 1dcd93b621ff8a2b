"""Discounting, annual costs and distributions against tables and independent libraries."""

import math

import numpy as np
import numpy_financial as npf
import pytest
from scipy import stats

from courtwright.cost import discount
from courtwright.cost.hidden import drawn_extent, expected_extent
from courtwright.cost.spread import lognormal_factor, triangular, triangular_mean, two_sided_lognormal
from courtwright.cost.streams import Streams
from courtwright.trade.load import rates
from courtwright.trade.scope_records import HiddenState

HALF_4 = 0.00005
A = {0: 60000.0, 7: 12000.0, 14: 14000.0, 21: 12000.0}
B = {0: 25000.0, 5: 15000.0, 10: 15000.0, 15: 60000.0, 22: 12000.0}


@pytest.mark.reference("fhwa-sa-98-079")
@pytest.mark.parametrize(
    ("year", "factor"), [(5, 0.8219), (10, 0.6756), (15, 0.5553), (20, 0.4564), (30, 0.3083), (35, 0.2534)]
)
def test_present_worth_at_four_percent(year: int, factor: float):
    """The table at 4 %."""
    assert discount.present_worth_factor(0.04, year) == pytest.approx(factor, abs=HALF_4)


@pytest.mark.reference("nist-hb-135")
@pytest.mark.parametrize(("years", "factor"), [(10, 8.5302), (20, 14.8775), (25, 17.4131)])
def test_a_yearly_series_at_three_percent(years: int, factor: float):
    """The table at 3 %, and the single factor of year 10."""
    assert discount.series_present_worth_factor(0.03, years) == pytest.approx(factor, abs=HALF_4)
    assert discount.present_worth_factor(0.03, 10) == pytest.approx(0.7441, abs=HALF_4)


@pytest.mark.reference("numpy-financial")
@pytest.mark.parametrize(
    ("rate", "years", "factor"),
    [(0.04, 20, 0.073582), (0.04, 30, 0.057830), (0.04, 35, 0.053577), (0.05, 10, 0.129505), (0.07, 20, 0.094393)],
)
def test_capital_recovery(rate: float, years: int, factor: float):
    """A/P by our formula, by the table and by numpy-financial; A/F is A/P less the rate."""
    ours = float(discount.capital_recovery(rate, years))
    assert ours == pytest.approx(factor, abs=5e-7)
    assert ours == pytest.approx(-npf.pmt(rate, years, 1.0))
    assert discount.sinking_fund(rate, years) == pytest.approx(-npf.pmt(rate, years, 0.0, 1.0))


@pytest.mark.reference("numpy-financial")
def test_a_monthly_loan():
    """15 years of 200,000 at 7.5 % a year, by the month: 1854.0247200055 each."""
    ours = 200000 * float(discount.capital_recovery(0.075 / 12, 15 * 12))
    assert ours == pytest.approx(1854.0247200055, abs=5e-11 * 200000)


@pytest.mark.reference("numpy-financial")
def test_the_first_flow_is_today():
    """npv(.1, [-100, 60, 60]) is 4.1322, not the 3.7566 of a spreadsheet that discounts the first flow."""
    flows = {0: -100.0, 1: 60.0, 2: 60.0}
    ours = discount.present_worth(flows, 0.1)
    assert ours == pytest.approx(4.1322, abs=HALF_4)
    assert ours == pytest.approx(npf.npv(0.1, list(flows.values())))
    assert ours / 1.1 == pytest.approx(3.7566, abs=HALF_4)


@pytest.mark.reference("numpy-financial")
def test_the_rate_of_return_is_where_present_worth_vanishes():
    """Npv at 28.1 % is -0.0084785916, and the rate of return 0.2809484212."""
    flows = dict(enumerate([-100.0, 39.0, 59.0, 55.0, 20.0]))
    assert discount.present_worth(flows, 0.281) == pytest.approx(-0.0084785916, abs=5e-11)
    assert discount.break_even_rate(flows, {0: 0.0}, 0.0, 1.0) == pytest.approx(0.2809484212, abs=1e-9)


@pytest.mark.reference("gsa-lcc")
def test_real_rates_and_rising_series():
    """7 % with 3 % inflation is 3.8835 % real, not 4; energy up 4.5 % is 1.45631 % real; UPW* is 15.643706."""
    assert discount.real_rate(0.07, 0.03) == pytest.approx(0.038835, abs=5e-7)
    assert discount.real_rate(0.045, 0.03) == pytest.approx(0.0145631, abs=5e-8)
    ours = discount.escalating_series_factor(0.04, 0.015, 20)
    assert ours == pytest.approx(15.643706, abs=5e-7)
    assert ours == pytest.approx(math.fsum((1.015 / 1.04) ** k for k in range(1, 21)))


@pytest.mark.reference("lcc-flip")
@pytest.mark.parametrize(("rate", "a", "b"), [(0.04, 82469.67, 85841.70), (0.07, 75800.60, 67775.35)])
def test_the_cheaper_plan_turns_with_the_rate(rate: float, a: float, b: float):
    """Rebuilding now is cheaper at 4 %, repairing first at 7 %."""
    assert discount.present_worth(A, rate) == pytest.approx(a, abs=0.005)
    assert discount.present_worth(B, rate) == pytest.approx(b, abs=0.005)


@pytest.mark.reference("lcc-flip")
def test_annual_costs_and_the_rate_at_which_they_are_even():
    """Over 30 years at 4 %: 4,769.23 against 4,964.23 a year; even at 4.76155 %."""
    assert discount.equivalent_annual(A, 0.04, 30) == pytest.approx(4769.23, abs=0.005)
    assert discount.equivalent_annual(B, 0.04, 30) == pytest.approx(4964.23, abs=0.005)
    assert discount.break_even_rate(A, B, 0.0, 0.2) == pytest.approx(0.0476155, abs=5e-8)


@pytest.mark.reference("straight-line-salvage")
def test_what_is_left_at_the_horizon():
    """Work of 12,000 in year 21 that lasts 12 years leaves 3,000 in year 30, worth 924.96 today."""
    left = discount.remaining_value(12000, 12, 9)
    assert left == 3000
    assert left * discount.present_worth_factor(0.04, 30) == pytest.approx(924.96, abs=0.005)


@pytest.mark.reference("fhwa-efl-discount")
def test_the_default_rate_is_real_and_four_percent():
    """The house rates start from the 4 % of the federal supplement and say so."""
    assert rates().discount.size == pytest.approx(0.04)
    assert rates().discount.source.startswith("fhwa-efl-lcca")


@pytest.mark.reference("triangular-8-10-15")
def test_a_triangular_figure():
    """8,000 / 10,000 / 15,000: mean 11,000, P50 10,816.70, P80 12,354.25."""
    theirs = stats.triang(c=2 / 7, loc=8000, scale=7000)
    for chance, value in ((0.5, 10816.70), (0.8, 12354.25)):
        ours = float(triangular(np.array(chance), 8000, 10000, 15000))
        assert ours == pytest.approx(value, abs=0.005)
        assert ours == pytest.approx(theirs.ppf(chance))
    assert triangular_mean(8000, 10000, 15000) == pytest.approx(theirs.mean())


@pytest.mark.reference("lognormal-9-16")
def test_a_lognormal_figure():
    """P10 9,000 and P90 16,000: median 12,000, mean 12,306.19, P80 14,495.43."""
    z80 = np.array(stats.norm.ppf(0.8))
    assert float(two_sided_lognormal(z80, 9000, 12000, 16000)) == pytest.approx(14495.43, abs=0.005)
    sigma = 0.224480
    factor = float(lognormal_factor(z80, math.sqrt(math.expm1(sigma**2))))
    assert 12306.19 * factor == pytest.approx(14495.43, abs=0.02)


@pytest.mark.reference("sum-of-triangulars")
def test_the_sum_of_four_figures():
    """The sum of the likely figures is reached only about once in twenty; P80 is about 24,175."""
    streams = Streams(20240601, ("sum",), 400_000)
    corners = [(8000, 10000, 15000), (4000, 5000, 9000), (1000, 2000, 6000), (0, 1500, 5000)]
    total = np.sum([triangular(streams.generator(str(c)).random(400_000), *c) for c in corners], axis=0)
    # four standard errors of 400,000 draws: the mean's is 2,366 / 632 = 3.7, a percentile's about 5 to 7
    assert total.mean() == pytest.approx(22166.67, abs=15)
    assert total.std() == pytest.approx(2365.845, abs=12)
    for chance, value in ((0.5, 22070), (0.8, 24175), (0.9, 25293)):
        assert float(np.quantile(total, chance)) == pytest.approx(value, abs=30)
    assert float((total <= 18500).mean()) == pytest.approx(0.054, abs=0.0015)


@pytest.mark.reference("hidden-condition")
def test_a_hidden_condition_is_allowed_for_though_it_is_unlikely():
    """A chance of 0.30: nothing at P50, something at P80, 1,500 on average."""
    state = HiddenState("bad", 0.30, 2000, 4000, 9000)
    streams = Streams(1, ("hidden",), 40_000)
    drawn = drawn_extent(1.0, 1.0, [state], streams.normal("shared"), streams, "bad")
    assert expected_extent([state]) == pytest.approx(1500)
    # the standard error of the mean: sqrt(0.3 * 27.2e6 - 1500^2) / 200 = 12
    assert drawn.mean() == pytest.approx(1500, abs=50)
    assert float(np.quantile(drawn, 0.5)) == 0
    assert float(np.quantile(drawn, 0.8)) > 0
