"""What makes a price spread: each driver's share of the variance."""

from __future__ import annotations

from courtwright.cost.records import Driver
from courtwright.cost.simulate import Drawn
from courtwright.says import Says, say

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


def driver_says(driver: str) -> Says:
    """Return what a driver is, in words.

    Examples
    --------
    >>> driver_says("quantity-of-stone").values["item"].id
    'quantities.item-stone'
    """
    if driver.startswith(_QUANTITY):
        return say("cost.driver-quantity", item=say(f"quantities.item-{driver.removeprefix(_QUANTITY)}"))
    if driver.startswith(_NOT_KNOWN):
        return say("cost.driver-not-known", fact=say(f"facts.{driver.removeprefix(_NOT_KNOWN)}.title"))
    return say(f"cost.driver-{driver}")


_QUANTITY, _NOT_KNOWN = "quantity-of-", "not-known-"
