"""A value with its standard uncertainty, and a value known only to lie in a span."""

from __future__ import annotations

import math
from dataclasses import dataclass

from courtwright.errors import OutOfRangeError
from courtwright.says import say


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard uncertainty, in the same base SI unit.

    Sums, differences, products and quotients carry the uncertainty to first order and take the
    two operands as independent.

    Parameters
    ----------
    value : float
        Best estimate, in base SI. [any]
    sd : float
        Standard uncertainty, at least 0. [same as value]

    Raises
    ------
    OutOfRangeError
        If the value is NaN, or the uncertainty is negative or NaN.

    References
    ----------
    JCGM 100:2008, "Guide to the expression of uncertainty in measurement", 5.1.2, eq. 10.

    Examples
    --------
    A 7,200 ± 36 by 1.5 ± 0.125 product (the relative uncertainties add in quadrature):

    >>> product = Measured(7200, 36) * Measured(1.5, 0.125)
    >>> round(product.value), round(product.sd, 2)
    (10800, 901.62)
    """

    value: float
    sd: float = 0.0

    def __post_init__(self) -> None:
        if math.isnan(self.value) or math.isnan(self.sd) or self.sd < 0:
            raise OutOfRangeError(say("measured.no-number", value=self.value, sd=self.sd))

    def __add__(self, other: Measured | float) -> Measured:
        b = _measured(other)
        return Measured(self.value + b.value, math.hypot(self.sd, b.sd))

    __radd__ = __add__

    def __neg__(self) -> Measured:
        return Measured(-self.value, self.sd)

    def __sub__(self, other: Measured | float) -> Measured:
        return self + -_measured(other)

    def __mul__(self, other: Measured | float) -> Measured:
        b = _measured(other)
        return Measured(float(self.value * b.value), math.hypot(self.sd * b.value, self.value * b.sd))

    __rmul__ = __mul__

    def __truediv__(self, other: Measured | float) -> Measured:
        b = _measured(other)
        quotient = self.value / b.value
        return Measured(quotient, math.hypot(self.sd / b.value, quotient * b.sd / b.value))


def _measured(value: Measured | float) -> Measured:
    return value if isinstance(value, Measured) else Measured(float(value))


@dataclass(frozen=True, slots=True)
class Span:
    """A number known to lie between two ends, either of which may be infinite.

    Parameters
    ----------
    low, high : float
        The ends, in base SI. [any]

    Raises
    ------
    OutOfRangeError
        If an end is NaN or the ends are in the wrong order.

    Examples
    --------
    >>> Span.exactly(3.0).is_above(2.0), Span(1.0, 4.0).is_above(2.0), Span(1.0, 2.0).is_above(2.0)
    (True, None, False)
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high) or self.low > self.high:
            raise OutOfRangeError(say("measured.no-span", low=self.low, high=self.high))

    @classmethod
    def exactly(cls, value: float) -> Span:
        """Return the span that holds ``value`` alone."""
        return cls(value, value)

    def is_above(self, limit: float) -> bool | None:
        """Tell whether the number is greater than ``limit``; None when it may or may not be."""
        return True if self.low > limit else False if self.high <= limit else None

    def is_at_least(self, limit: float) -> bool | None:
        """Tell whether the number is ``limit`` or more; None when it may or may not be."""
        return True if self.low >= limit else False if self.high < limit else None

    @property
    def middle(self) -> float:
        """The middle of the span, or its finite end, or 0 when it has none."""
        if math.isinf(self.low):
            return 0.0 if math.isinf(self.high) else self.high
        return self.low if math.isinf(self.high) else (self.low + self.high) / 2
