"""Money at different times: present worth, even yearly series, rates real and nominal.

All flows stand at the ends of years counted from now; year 0 is today. Rates are real unless said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from courtwright.errors import OutOfRangeError
from courtwright.says import say


def present_worth_factor(rate: float, years: float) -> float:
    r"""Present worth of 1 paid once, :math:`(1 + i)^{-n}`.

    Parameters
    ----------
    rate : float
        Discount rate a year, above -1. [-]
    years : float
        When it is paid. [year]

    Returns
    -------
    float
        Its worth today. [-]

    Raises
    ------
    OutOfRangeError
        If the rate is not above -1.

    References
    ----------
    FHWA, "Life-Cycle Cost Analysis in Pavement Design", FHWA-SA-98-079, 1998.

    Examples
    --------
    >>> round(present_worth_factor(0.04, 10), 4)
    0.6756
    """
    _check_rate(rate)
    return (1 + rate) ** -years


def series_present_worth_factor(rate: float, years: float) -> float:
    r"""Present worth of 1 paid at the end of each year, :math:`(1 - (1 + i)^{-n}) / i`.

    Parameters
    ----------
    rate : float
        Discount rate a year. [-]
    years : float
        For how long. [year]

    Returns
    -------
    float
        Worth today. [year]

    Raises
    ------
    OutOfRangeError
        If the rate is not above -1.

    Examples
    --------
    >>> round(series_present_worth_factor(0.03, 10), 4), series_present_worth_factor(0.0, 10)
    (8.5302, 10)
    """
    _check_rate(rate)
    return years if rate == 0 else (1 - (1 + rate) ** -years) / rate


def capital_recovery(rate: float, years: float | NDArray[np.float64]) -> NDArray[np.float64]:
    r"""Even yearly payment that pays off 1, :math:`A/P = i / (1 - (1 + i)^{-n})`.

    Parameters
    ----------
    rate : float
        Discount rate a year. [-]
    years : float or ndarray
        For how long, above 0. [year]

    Returns
    -------
    ndarray
        Payment a year. [1/year]

    Raises
    ------
    OutOfRangeError
        If the rate is not above -1, or a time is not above 0.

    Examples
    --------
    >>> round(float(capital_recovery(0.04, 20)), 6)
    0.073582
    """
    _check_rate(rate)
    time = np.asarray(years, dtype=np.float64)
    if not np.all(time > 0):
        raise OutOfRangeError(say("cost.no-time", years=float(np.min(time))))
    return 1 / time if rate == 0 else rate / -np.expm1(-time * math.log1p(rate))


def sinking_fund(rate: float, years: float) -> float:
    """Even yearly payment that grows to 1, ``A/F = A/P - i``. [1/year]

    Parameters
    ----------
    rate : float
        Discount rate a year. [-]
    years : float
        For how long. [year]

    Returns
    -------
    float
        Payment a year. [1/year]
    """
    return float(capital_recovery(rate, years)) - rate


def real_rate(nominal: float, inflation: float) -> float:
    """Return the real rate behind a nominal one: ``(1 + nominal) / (1 + inflation) - 1``. [-]

    Parameters
    ----------
    nominal, inflation : float
        Rates a year. [-]

    Returns
    -------
    float
        Real rate a year. [-]

    References
    ----------
    GSA, "Facilities Standards for the Public Buildings Service", PBS-P100, life-cycle costing.

    Examples
    --------
    >>> round(real_rate(0.07, 0.03), 6)
    0.038835
    """
    return (1 + nominal) / (1 + inflation) - 1


def escalating_series_factor(rate: float, escalation: float, years: int) -> float:
    r"""Present worth of a yearly payment that starts as 1 and rises, :math:`UPW^*`.

    Parameters
    ----------
    rate, escalation : float
        Discount and rise a year. [-]
    years : int
        For how long. [year]

    Returns
    -------
    float
        Worth today. [year]

    References
    ----------
    GSA, "Facilities Standards for the Public Buildings Service", PBS-P100, life-cycle costing.

    Examples
    --------
    >>> round(escalating_series_factor(0.04, 0.015, 20), 6)
    15.643706
    """
    growth = (1 + escalation) / (1 + rate)
    return float(years) if rate == escalation else (1 + escalation) / (rate - escalation) * (1 - growth**years)


def present_worth(flows: Mapping[float, float], rate: float) -> float:
    """Return the worth today of payments by year. [money]

    Parameters
    ----------
    flows : mapping of float to float
        Year to payment; year 0 is today and is not discounted. [year, money]
    rate : float
        Discount rate a year. [-]

    Returns
    -------
    float
        Present worth. [money]

    Examples
    --------
    >>> round(present_worth({0: -100, 1: 60, 2: 60}, 0.1), 4)
    4.1322
    """
    return math.fsum(payment * present_worth_factor(rate, year) for year, payment in flows.items())


def equivalent_annual(flows: Mapping[float, float], rate: float, years: float) -> float:
    """Return the even yearly payment worth as much as ``flows``. [money/year]

    Parameters
    ----------
    flows : mapping of float to float
        Year to payment. [year, money]
    rate : float
        Discount rate a year. [-]
    years : float
        Over how long. [year]

    Returns
    -------
    float
        Payment a year. [money/year]
    """
    return present_worth(flows, rate) * float(capital_recovery(rate, years))


def remaining_value(cost: float, life: float, used: float) -> float:
    """Return the straight-line value left of work done ``used`` years ago. [money]

    Parameters
    ----------
    cost : float
        What it cost. [money]
    life, used : float
        How long it lasts, and how long it has. [year]

    Returns
    -------
    float
        Value left, never below 0. [money]

    Examples
    --------
    >>> remaining_value(12000, 12, 9)
    3000.0
    """
    return cost * max(0.0, 1 - used / life)


def break_even_rate(a: Mapping[float, float], b: Mapping[float, float], low: float, high: float) -> float | None:
    """Return the rate at which two plans are worth the same, or None when it lies outside. [-]

    Parameters
    ----------
    a, b : mapping of float to float
        Year to payment. [year, money]
    low, high : float
        Where to look. [-]

    Returns
    -------
    float or None
        The rate, to 1e-9. [-]
    """

    def gap(rate: float) -> float:
        return present_worth(a, rate) - present_worth(b, rate)

    if gap(low) * gap(high) > 0:
        return None
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (low, middle) if gap(low) * gap(middle) <= 0 else (middle, high)
    return (low + high) / 2


def _check_rate(rate: float) -> None:
    if not rate > -1:
        raise OutOfRangeError(say("cost.no-rate", rate=rate))
