"""What an option costs, how sure that is, what may be found, and what it costs a year over its life."""

from courtwright.cost.drivers import driver_says
from courtwright.cost.life import court_life
from courtwright.cost.payback import court_payback, payback_crack_length
from courtwright.cost.price import price_option
from courtwright.cost.records import Allowance, BuildUpLine, Driver, Money, OptionPrice, Percentiles
from courtwright.cost.yearly import recolour_every

__all__ = [
    "Allowance",
    "BuildUpLine",
    "Driver",
    "Money",
    "OptionPrice",
    "Percentiles",
    "court_life",
    "court_payback",
    "driver_says",
    "payback_crack_length",
    "price_option",
    "recolour_every",
]
