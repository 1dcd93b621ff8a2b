"""Draws of an option's price: quantities, rates and what they share, all at once on arrays."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from courtwright.cost.hidden import HiddenWork
from courtwright.cost.lines import Line, minimum_groups
from courtwright.cost.spread import Draws, lognormal_factor, triangular, triangular_mean
from courtwright.cost.streams import Streams, chance_of
from courtwright.trade.rate_records import RateBook, RateLine


@dataclass(frozen=True, slots=True)
class Shared:
    """What all lines of an option share: factors less one, by driver; and unknown facts by remedy. [-]"""

    kin: Draws
    asphalt: Draws
    labour: Draws
    wage: Draws
    facts: Mapping[str, Draws]
    widens: Mapping[str, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Drawn:
    """The draws of a price.

    Parameters
    ----------
    base : ndarray, shape (draws,)
        The work as scoped, minimums applied. [money]
    total : ndarray, shape (draws,)
        With what may be found. [money]
    parts : mapping of str to ndarray, shape (draws,)
        By driver, how much it moved the price, to first order. [money]
    """

    base: Draws
    total: Draws
    parts: Mapping[str, Draws]


def shared_draws(
    rates: RateBook, streams: Streams, wage_applies: bool | None, widens: Mapping[str, Mapping[str, float]]
) -> Shared:
    """Return the draws that the lines of an option share.

    Parameters
    ----------
    rates : RateBook
        How much they spread.
    streams : Streams
        Random numbers.
    wage_applies : bool or None
        Whether prevailing wage applies; None when nobody knows.
    widens : mapping
        By remedy, the facts that are unknown and what each adds to the relative spread. [-]

    Returns
    -------
    Shared
        The draws.
    """
    spread, z = rates.spread, streams.normal
    if wage_applies:
        premium = rates.wage_premium
        wage = triangular(chance_of(z("wage")), premium.low, premium.likely, premium.high)
    else:
        wage = np.zeros(streams.draws) if wage_applies is False else spread["wage"].size * z("wage")
    return Shared(
        kin=z("rates"),
        asphalt=lognormal_factor(z("asphalt"), spread["asphalt"].size) - 1,
        labour=lognormal_factor(z("labour"), spread["labour"].size) - 1,
        wage=wage,
        facts={fact: z(f"not-known-{fact}") for fact in sorted({f for each in widens.values() for f in each})},
        widens=widens,
    )


def draw_price(
    lines: tuple[Line, ...],
    hidden: tuple[HiddenWork, ...],
    hidden_rates: Mapping[str, RateLine],
    rates: RateBook,
    shared: Shared,
    streams: Streams,
) -> Drawn:
    """Return the draws of an option's price.

    Parameters
    ----------
    lines : tuple of Line
        The priced lines.
    hidden : tuple of HiddenWork
        Contingent work, drawn.
    hidden_rates : mapping of str to RateLine
        Rates of the contingent items.
    rates : RateBook
        Kinship of rates, minimums.
    shared : Shared
        What the lines share.
    streams : Streams
        Random numbers.

    Returns
    -------
    Drawn
        The draws, with and without contingent work.
    """
    zero = np.zeros(streams.draws)
    if not any(line.amount.value > 0 for line in lines):
        return Drawn(zero, zero, {})
    parts: dict[str, Draws] = {}
    drawn = {line.name: _drawn_line(line, rates, shared, streams, parts) for line in lines}
    base = sum(drawn.values(), zero)
    for name, names in minimum_groups(lines).items():
        group = sum((drawn[n] for n in names), zero)
        base = base + np.maximum(rates.minimum[name].likely - group, 0.0)
    base = np.maximum(base, rates.minimum["job"].likely)
    found = zero
    for work in hidden:
        price = work.amounts * _rate(hidden_rates[work.item], f"{work.remedy}/{work.item}/rate", rates, shared, streams)
        found = found + price * (1 + hidden_rates[work.item].labour_share * shared.wage)
    parts["hidden-condition"] = found
    return Drawn(base, base + found, parts)


def _drawn_line(line: Line, rates: RateBook, shared: Shared, streams: Streams, parts: dict[str, Draws]) -> Draws:
    amount, rate = line.amount, line.rate
    if amount.value <= 0:
        return np.zeros(streams.draws)
    mean_rate = triangular_mean(rate.low, rate.likely, rate.high)
    mean = amount.value * mean_rate
    quantity = lognormal_factor(streams.normal(f"{line.name}/quantity"), amount.sd / amount.value)
    unit = _rate(rate, f"{line.name}/rate", rates, shared, streams) / mean_rate if mean_rate > 0 else quantity * 0
    labour = 1 + rate.labour_share * shared.labour
    wage = 1 + rate.labour_share * shared.wage
    asphalt = 1 + (1 - rate.labour_share) * (rate.follows == "asphalt") * shared.asphalt
    _add(parts, f"quantity-of-{line.item}", mean * (quantity - 1))
    _add(parts, "rates", mean * (unit - 1))
    _add(parts, "labour", mean * (labour - 1))
    _add(parts, "prevailing-wage", mean * (wage - 1))
    if rate.follows == "asphalt":
        _add(parts, "asphalt-price", mean * (asphalt - 1))
    return mean * quantity * unit * labour * wage * asphalt * _unknown(line.remedy, mean, shared, parts)


def _unknown(remedy: str, mean: float, shared: Shared, parts: dict[str, Draws]) -> Draws:
    """Return the factor of what nobody knows; larger relative spreads add in quadrature. [-]"""
    widens = shared.widens.get(remedy)
    if not widens:
        return np.ones_like(shared.kin)
    log = sum((widen * shared.facts[fact] for fact, widen in widens.items()), np.zeros_like(shared.kin))
    for fact, widen in widens.items():
        _add(parts, f"not-known-{fact}", mean * widen * shared.facts[fact])
    return np.exp(log - math.fsum(w * w for w in widens.values()) / 2)


def _rate(rate: RateLine, name: str, rates: RateBook, shared: Shared, streams: Streams) -> Draws:
    kinship = rates.spread["kinship"].size
    own = streams.normal(name)
    return triangular(
        chance_of(math.sqrt(kinship) * shared.kin + math.sqrt(1 - kinship) * own), rate.low, rate.likely, rate.high
    )


def _add(parts: dict[str, Draws], driver: str, moved: Draws) -> None:
    parts[driver] = parts[driver] + moved if driver in parts else moved
