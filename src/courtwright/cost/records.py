"""What an option costs and how long it lasts: the records that cross this room's door."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from courtwright.says import Says

SCHEMA_VERSION = 1


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in a currency; rounded once, where it is printed."""

    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class Percentiles:
    """Percentiles of a simulated quantity, in its own unit."""

    p10: float
    p50: float
    p80: float
    p90: float


@dataclass(frozen=True, slots=True)
class Allowance:
    """Contingent work at a rate agreed before it starts. ``rate`` is money per ``unit``."""

    item: str
    unit: str
    rate: Decimal
    p50: float
    p80: float
    expected: float


@dataclass(frozen=True, slots=True)
class Driver:
    """What makes the price spread, and its share of the variance, 0 to 1. [-]"""

    driver: str
    share: float


@dataclass(frozen=True, slots=True)
class BuildUpLine:
    """One day or one purchase of the build-up, in money."""

    says: Says
    amount: float


@dataclass(frozen=True, slots=True)
class OptionPrice:
    """The estimator's price of one option on one pad. Money in the rates' currency."""

    pad: str
    option: str
    price: Percentiles
    firm_price: Decimal
    unit_rate_price: float
    build_up_price: float
    build_up: tuple[BuildUpLine, ...]
    includes: tuple[Says, ...]
    allowances: tuple[Allowance, ...]
    per_court_year: Percentiles
    life_years: Percentiles
    drivers: tuple[Driver, ...]
    expires_in_days: int
    notes: tuple[Says, ...] = ()
    from_memory: tuple[str, ...] = ()
    schema_version: int = SCHEMA_VERSION
