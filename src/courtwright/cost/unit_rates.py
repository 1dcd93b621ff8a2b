"""The price as the trade quotes it: likely quantities at likely rates, trips, day and job minimums."""

from __future__ import annotations

import math

from courtwright.cost.lines import Line, minimum_extra
from courtwright.trade.rate_records import RateBook


def unit_rate_price(lines: tuple[Line, ...], rates: RateBook, wage: float) -> float:
    """Return the likely price of the base work, without allowances. [money]

    Parameters
    ----------
    lines : tuple of Line
        The priced lines.
    rates : RateBook
        For the minimums.
    wage : float
        What prevailing wage adds to labour; 0 where it does not apply. [-]

    Returns
    -------
    float
        Price; nothing when there is nothing to do. [money]
    """
    if not any(line.amount.value > 0 for line in lines):
        return 0.0
    amounts = {line.name: line.likely * (1 + wage * line.rate.labour_share) for line in lines}
    total = math.fsum(amounts.values()) + minimum_extra(lines, amounts, rates)
    return max(total, rates.minimum["job"].likely)
