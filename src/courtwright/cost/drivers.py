"""What makes a price spread: each driver's share of the variance."""

from __future__ import annotations

from courtwright.cost.records import Driver
from courtwright.cost.simulate import Drawn

#: Drivers below this share are not told. [-]
_LEAST = 0.005


def drivers_of(drawn: Drawn) -> tuple[Driver, ...]:
    """Return the drivers, the biggest first; their shares sum to at most 1.

    Parameters
    ----------
    drawn : Drawn
        The draws of a price and what each driver moved it.

    Returns
    -------
    tuple of Driver
        Shares to first order: what drivers do together is nobody's. [-]
    """
    variances = {driver: float(moved.var()) for driver, moved in drawn.parts.items()}
    whole = max(float(drawn.total.var()), sum(variances.values()))
    if whole <= 0:
        return ()
    shares = [Driver(driver, variance / whole) for driver, variance in variances.items()]
    return tuple(sorted((d for d in shares if d.share >= _LEAST), key=lambda d: (-d.share, d.driver)))
