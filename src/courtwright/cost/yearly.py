"""What an option costs a court and year over its life, upkeep included."""

from __future__ import annotations

import math

import numpy as np

from courtwright.cost.discount import capital_recovery
from courtwright.cost.life import main_remedies
from courtwright.cost.lines import numbers_factor
from courtwright.cost.spread import Draws
from courtwright.quantities.records import OptionWork
from courtwright.trade.load import scopes
from courtwright.trade.rate_records import RateBook


def per_court_year(work: OptionWork, price: Draws, lives: Draws, rates: RateBook) -> Draws:
    """Return the equivalent yearly cost of one court, drawn.

    Parameters
    ----------
    work : OptionWork
        For its courts, area and remedies.
    price : ndarray, shape (draws,)
        What the option costs now. [money]
    lives : ndarray, shape (draws,)
        How long it serves. [year]
    rates : RateBook
        Real discount rate, upkeep, rates of the recolouring.

    Returns
    -------
    ndarray, shape (draws,)
        Money a court and year. [money/year]
    """
    rate = rates.discount.size
    yearly = (price + recolour_worth(work, lives, rates)) * capital_recovery(rate, lives)
    return (yearly + _care(work, rates)) / max(work.courts, 1)


def recolour_worth(work: OptionWork, lives: Draws, rates: RateBook) -> Draws:
    """Return the present worth of the recolourings within a life; the last years are played out. [money]

    Parameters
    ----------
    work : OptionWork
        For its area and courts.
    lives : ndarray, shape (draws,)
        How long the option serves. [year]
    rates : RateBook
        Interval, prices, discount rate.

    Returns
    -------
    ndarray, shape (draws,)
        Present worth. [money]
    """
    every = recolour_every(work, rates)
    if every is None:
        return np.zeros_like(lives)
    times = np.maximum(np.ceil(lives / every) - 1, 0.0)
    step = math.exp(-every * math.log1p(rates.discount.size))
    series = step * (1 - step**times) / (1 - step) if rates.discount.size > 0 else times
    return recolour_price(work, rates) * series


def recolour_every(work: OptionWork, rates: RateBook) -> float | None:
    """Return how often new colour is due; None where there is no colour to renew. [year]"""
    return rates.upkeep["recolour_every"].size if _is_kept_up(work) else None


def recolour_price(work: OptionWork, rates: RateBook) -> float:
    """Return the likely price of one recolouring of the pad, lines and trip included. [money]"""
    lines = rates.lines
    coats = work.area * lines["resurfacing"].likely + work.courts * lines["court-lines"].likely
    price = coats * numbers_factor(work.area, rates) + rates.mobilisation["own"].likely
    return max(price, rates.minimum["job"].likely)


def _care(work: OptionWork, rates: RateBook) -> float:
    return rates.upkeep["care"].size * work.area if _is_kept_up(work) else 0.0


def _is_kept_up(work: OptionWork) -> bool:
    return all(scopes()[remedy].kept_up for remedy in main_remedies(work.option, done(work)))


def done(work: OptionWork) -> tuple[str, ...]:
    """Return the remedies that have any work, in order; all of them when none has."""
    found = tuple(dict.fromkeys(q.remedy for q in work.quantities if q.amount.value > 0))
    return found or work.remedies
