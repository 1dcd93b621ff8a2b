"""Draws of a price, line by line, against what each factor does to a line that is otherwise sure."""

from dataclasses import replace

import numpy as np
import pytest

from courtwright.cost.drivers import drivers_of
from courtwright.cost.hidden import HiddenWork
from courtwright.cost.lines import Line
from courtwright.cost.simulate import Drawn, draw_price, shared_draws
from courtwright.cost.streams import Streams
from courtwright.measured import Measured
from courtwright.trade.load import rates
from courtwright.trade.rate_records import RateLine

STREAMS = Streams(1, ("x",), 20_000)
SURE = RateLine("m2", 10.0, 10.0, 10.0, "from memory")


def _line(amount: float = 1000.0, sd: float = 0.0, name: str = "x/item", **rate: object) -> Line:
    """Return 1,000 m² at 10 each, neither in doubt: 10,000 but for what the rate shares with others."""
    return Line(name, "item", "x", Measured(amount, sd), replace(SURE, **rate))


def _drawn(*lines: Line, wage: bool = False, widens=None, hidden=()):
    shared = shared_draws(rates(), STREAMS, wage, widens or {})
    hidden_rates = {work.item: replace(SURE, low=100.0, likely=100.0, high=100.0, labour_share=0.5) for work in hidden}
    return draw_price(lines, hidden, hidden_rates, rates(), shared, STREAMS), shared


def test_a_line_without_doubt_is_amount_times_rate_in_every_draw():
    """1,000 at 10."""
    drawn, _ = _drawn(_line())
    assert drawn.base == pytest.approx(np.full(20_000, 10_000.0))
    assert np.array_equal(drawn.total, drawn.base)


def test_labour_asphalt_and_wage_move_only_their_share_of_a_line():
    """Four tenths labour: 1 + 0.4 L; the rest follows asphalt: 1 + 0.6 A; wages add 0.4 W."""
    drawn, shared = _drawn(_line(labour_share=0.4))
    assert drawn.base == pytest.approx(10_000 * (1 + 0.4 * shared.labour))
    drawn, shared = _drawn(_line(labour_share=0.4, follows="asphalt"))
    assert drawn.base == pytest.approx(10_000 * (1 + 0.4 * shared.labour) * (1 + 0.6 * shared.asphalt))
    drawn, shared = _drawn(_line(labour_share=0.4), wage=True)
    assert drawn.base == pytest.approx(10_000 * (1 + 0.4 * shared.labour) * (1 + 0.4 * shared.wage))
    assert shared.wage.min() > 0


def test_what_nobody_knows_widens_a_price_and_does_not_raise_its_mean():
    """Spreads of 0.3 and 0.4 of two unknown facts add to 0.5: √(e^0.25 - 1) = 0.533 of a mean that stays."""
    drawn, _ = _drawn(_line(), widens={"x": {"one": 0.3, "other": 0.4}})
    # the standard error of the mean of 20,000 draws: 0.533 / 141 = 0.4 %
    assert drawn.base.mean() == pytest.approx(10_000, rel=0.015)
    assert drawn.base.std() / drawn.base.mean() == pytest.approx(0.533, rel=0.05)


def test_a_doubtful_amount_keeps_its_mean_and_its_doubt():
    """1,000 ± 200 at 10: 10,000 ± 2,000."""
    drawn, _ = _drawn(_line(sd=200.0))
    assert drawn.base.mean() == pytest.approx(10_000, rel=0.006)
    assert drawn.base.std() == pytest.approx(2_000, rel=0.03)


def test_rates_of_different_lines_are_kin():
    """Two lines whose rates spread alike move together by the house's kinship."""
    lines = (_line(low=5.0, high=15.0), _line(name="x/other", low=5.0, high=15.0))
    alone = [_drawn(line)[0].base for line in lines]
    kinship = rates().spread["kinship"].size
    assert 0 < kinship < 1
    # of triangulars drawn from normals of this correlation it is about the same
    assert np.corrcoef(alone)[0, 1] == pytest.approx(kinship, abs=0.03)


def test_a_short_line_pays_its_day_in_every_draw():
    """100 of milling and 10,000 of other work: the mill's day of 2,500 in place of the 100."""
    drawn, _ = _drawn(_line(), _line(10.0, name="x/mill", minimum="mill"))
    assert drawn.base == pytest.approx(np.full(20_000, 10_000 + rates().minimum["mill"].likely))


def test_a_small_job_pays_the_least_job_in_every_draw():
    """10 m² at 10 are 100; the minimum charge is 3,500."""
    drawn, _ = _drawn(_line(10.0))
    assert drawn.base == pytest.approx(np.full(20_000, rates().minimum["job"].likely))


def test_what_may_be_found_comes_on_top_at_its_own_rate_and_wage():
    """5 m² at 100, half of it labour: 500 (1 + 0.5 W) above the base, which it leaves alone."""
    found = HiddenWork("base-repair", "m2", "x", np.full(20_000, 5.0), 5.0, "from memory")
    with_found, shared = _drawn(_line(), wage=True, hidden=(found,))
    without, _ = _drawn(_line(), wage=True)
    assert np.array_equal(with_found.base, without.base)
    assert with_found.total - with_found.base == pytest.approx(500 * (1 + 0.5 * shared.wage))


def test_shares_of_drivers_that_offset_each_other_still_sum_to_one():
    """Z and -z/2 leave a quarter of the variance; their shares are 0.8 and 0.2, not 4 and 1."""
    z = STREAMS.normal("z")
    drivers = drivers_of(Drawn(z / 2, z / 2, {"rates": z, "labour": -z / 2}))
    assert [(d.driver, d.share) for d in drivers] == [("rates", pytest.approx(0.8)), ("labour", pytest.approx(0.2))]
