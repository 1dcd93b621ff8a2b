"""How long 10,000 draws of an option of 40 lines take: under 0.2 s with allowances, lives and yearly cost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from courtwright.cost import price_option
from courtwright.cost.lines import priced_lines
from courtwright.measured import Measured
from courtwright.quantities import OptionWork, option_work
from courtwright.quantities.standard import standard_pad, standard_reading
from courtwright.trade.load import rates, scopes

DRAWS = 10_000
LINES = 40
#: What the whole price of one option may take. [s]
LIMIT = 0.2


def _large_option() -> OptionWork:
    """Return an option of every remedy there is, all of whose items have something to do."""
    pad = standard_pad(4)
    remedies = tuple(remedy for remedy in scopes() if remedy != "hold")
    work = option_work(pad, standard_reading(pad), {}, "large", remedies)
    quantities = tuple(
        replace(q, amount=Measured(max(q.amount.value, 50.0), max(q.amount.sd, 10.0))) for q in work.quantities
    )
    return replace(work, quantities=quantities)


def test_a_price_of_40_lines_takes_under_a_fifth_of_a_second(beside: Any):
    """Everything unknown, so that every shared driver is drawn; the peer only sums lognormals of one correlation."""
    work = _large_option()
    assert len(priced_lines(work, rates(), None, 1.0)) >= LINES
    covariance = 0.01 * (0.2 + 0.8 * np.eye(LINES))

    def sums() -> np.ndarray:
        normal = np.random.default_rng(1).multivariate_normal(np.zeros(LINES), covariance, DRAWS, method="cholesky")
        return np.exp(normal).sum(axis=1)

    row = beside(
        f"price, {LINES} lines, {DRAWS} draws",
        lambda: price_option(work, rates(), {}, draws=DRAWS),
        f"numpy {np.__version__}, sums of {LINES} correlated lognormals",
        sums,
        most=20.0,
        rounds=7,
    )
    assert row.ours < LIMIT, f"{row.ours:.3f} s, at most {LIMIT} s allowed"
