"""Reads deduct values and corrected deduct values off their curves."""

from __future__ import annotations

import math
from bisect import bisect_right

from courtwright.errors import OutOfRangeError
from courtwright.says import say
from courtwright.trade.condition_records import CorrectedCurve, DeductCurve, DeductCurves

#: No deduct takes off more than this. [points]
MOST = 100.0


def deduct_value(curve: DeductCurve, density: float) -> float:
    """Return the deduct value at a density.

    Parameters
    ----------
    curve : DeductCurve
        The curve of one distress and severity.
    density : float
        Density on the US basis. [percent]

    Returns
    -------
    float
        Deduct value, 0 to 100. [points]

    Raises
    ------
    OutOfRangeError
        If the density is negative or NaN.

    Notes
    -----
    Between knots the deduct is linear in the logarithm of the density, as the standard's charts are drawn.
    Below the first knot a straight line in the density runs to nothing at none. Above the last knot the
    line of the last two knots in the logarithm goes on, up to 100; a curve of one knot stays level.

    Examples
    --------
    Halfway between 1 and 100 on a logarithmic scale is 10:

    >>> deduct_value(DeductCurve(19, "L", (1.0, 100.0), (2.0, 16.0)), 10.0)
    9.0
    """
    if not density >= 0:
        raise OutOfRangeError(say("condition.no-density", density=density))
    first, last = curve.density[0], curve.density[-1]
    if density <= first:
        return curve.deduct[0] * density / first
    if density >= last and len(curve.density) == 1:
        return curve.deduct[-1]
    at = min(bisect_right(curve.density, density), len(curve.density) - 1)
    x0, x1 = math.log(curve.density[at - 1]), math.log(curve.density[at])
    y0, y1 = curve.deduct[at - 1], curve.deduct[at]
    return min(MOST, y0 + (y1 - y0) * (math.log(density) - x0) / (x1 - x0))


def corrected_deduct(curves: DeductCurves, total: float, q: int) -> float:
    """Return the corrected deduct value of a total.

    Parameters
    ----------
    curves : DeductCurves
        The corrected curves, by q.
    total : float
        Total of the deduct values. [points]
    q : int
        Count of deduct values over 2. [-]

    Returns
    -------
    float
        Corrected deduct value: the total itself for q of 0 or 1, never more than the total or 100. [points]

    Raises
    ------
    OutOfRangeError
        If the total is negative or NaN.

    Notes
    -----
    Linear between knots and from nothing to the first knot; above the last knot the line of the last
    two goes on (for a curve of one knot, the line from nothing). A q above the greatest of the curves
    uses the greatest, a q between two uses the lower.

    Examples
    --------
    >>> curves = DeductCurves({}, {2: CorrectedCurve(2, (20.0, 80.0), (15.0, 57.0))})
    >>> corrected_deduct(curves, 50.0, 2), corrected_deduct(curves, 50.0, 1), corrected_deduct(curves, 10.0, 3)
    (36.0, 50.0, 7.5)
    """
    if not total >= 0:
        raise OutOfRangeError(say("condition.no-total", total=total))
    curve = corrected_curve(curves, q)
    if curve is None:
        return min(MOST, total)
    totals, values = (0.0, *curve.total), (0.0, *curve.corrected)
    at = min(bisect_right(totals, total), len(totals) - 1)
    slope = (values[at] - values[at - 1]) / (totals[at] - totals[at - 1])
    return min(MOST, total, values[at - 1] + slope * (total - totals[at - 1]))


def corrected_curve(curves: DeductCurves, q: int) -> CorrectedCurve | None:
    """Return the curve that a count q uses; None where the total stands as it is."""
    usable = [known for known in curves.corrected if known <= q]
    return curves.corrected[max(usable)] if usable and q > 1 else None


def is_supported(curve: CorrectedCurve, total: float) -> bool:
    """Tell whether published readings support a corrected curve at a total."""
    return bool(curve.supported) and curve.supported[0] <= total <= curve.supported[1]
