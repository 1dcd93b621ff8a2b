"""The condition index of one sample unit, per ASTM D6433 for asphalt, with every step."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable

from courtwright.errors import OutOfRangeError
from courtwright.says import say
from courtwright.site.distress import Distress, merged
from courtwright.trade.condition_records import DeductCurves, RatingBand
from courtwright.trade.load import deduct_curves, rating_bands
from courtwright.trade.load import distresses as known_distresses
from courtwright.verdict.deducts import MOST, corrected_curve, corrected_deduct, deduct_value, is_supported
from courtwright.verdict.records import ConditionIndex, IndexDeduct

STANDARD = "ASTM D6433"

#: Deducts up to this many points do not count towards q. [points]
_SMALL = 2.0
_MOST_DEDUCTS = 10.0
_FOOT = 0.3048
#: Turns a quantity over an area in m², by how it is measured, to the curves' US basis. [percent]
_TO_DENSITY = {"area": 100.0, "length": 100.0 * _FOOT, "count": 100.0 * _FOOT**2}


def condition_index(distresses: Iterable[Distress], area: float, curves: DeductCurves | None = None) -> ConditionIndex:
    r"""Return the condition index of a sample unit with every step.

    Parameters
    ----------
    distresses : iterable of Distress
        What was found; rows of one distress and severity are added up, their order does not matter.
    area : float
        Area of the sample unit. [m²]
    curves : DeductCurves, optional
        Deduct and corrected-deduct curves; those of the trade by default.

    Returns
    -------
    ConditionIndex
        Value 0 to 100; ``tdv``, ``q`` and ``cdv`` are those of the row that governs; ``steps`` holds all
        rows; ``from_memory`` names every curve used that was recalled and not read. [points]

    Raises
    ------
    OutOfRangeError
        If the area is not positive, a quantity is negative, larger than the area it lies in, or NaN, or a
        distress has no curve.

    Notes
    -----
    Density is quantity over area in percent; the curves are the US ones, so that a length counts in
    ft/ft² and a number per ft². With HDV the highest deduct, :math:`m = 1 + \tfrac{9}{98}(100 - HDV) \le
    10`: the whole part of m is the count of deducts kept, largest first, and the next one counts with the
    fraction; when there are no more than m, all count in full. Then q counts the deducts over 2, the total
    is corrected, the smallest deduct over 2 is set to 2, and so on until q is 1; the largest corrected
    value is taken from 100. When none or one deduct is over 2, the total of all takes its place.

    m is not rounded. The standard's own sheet rounds it to one decimal (7.88 to 7.9, which makes 5.3
    count 4.77 in place of 4.66): up to 0.05 of one deduct, here kept exact so that the index moves without
    steps. The rating is that of the index as a whole number, which is how the standard reports it. A low
    index says that the pavement is worn, not that it holds water: its lightest depression is 1/2 in deep.

    References
    ----------
    ASTM D6433, section 9. Shahin, "Pavement Management for Airports, Roads, and Parking Lots", eq. 3-3.

    Examples
    --------
    >>> condition_index((), 650.0).value
    100.0
    """
    curves = deduct_curves() if curves is None else curves
    counted = merged(tuple(_counted(one, curves) for one in distresses))
    deducts = tuple(_deduct(one, area, curves) for one in counted)
    values = sorted((row.deduct for row in deducts), reverse=True)
    highest = values[0] if values else 0.0
    m = allowed_deducts(highest)
    steps = _steps(values, m, curves)
    governing = max(steps, key=lambda step: step[2])
    index = min(MOST, max(0.0, 100.0 - governing[2]))
    band = rating(index)
    return ConditionIndex(
        value=index,
        rating=band.word.en,
        standard=STANDARD,
        deducts=deducts,
        hdv=highest,
        m=m,
        tdv=governing[1],
        q=governing[0],
        cdv=governing[2],
        steps=tuple({"q": float(q), "tdv": total, "cdv": corrected} for q, total, corrected in steps),
        from_memory=(*_recalled_deducts(counted, deducts, curves), *_recalled_corrections(steps, curves)),
        rating_old=band.word_old.en,
    )


def allowed_deducts(highest: float) -> float:
    """Return m, how many deducts may count, by the highest of them; roads and parking lots.

    Parameters
    ----------
    highest : float
        The highest deduct value. [points]

    Returns
    -------
    float
        Allowed number of deducts, 1 to 10. [-]

    Examples
    --------
    >>> round(allowed_deducts(25.1), 4), allowed_deducts(2.0)
    (7.8786, 10.0)
    """
    return min(_MOST_DEDUCTS, 1 + 9 / 98 * (100 - highest))


def kept_deducts(values: Iterable[float], m: float) -> tuple[float, ...]:
    """Return the deducts that count, largest first: the m largest, the last by m's fraction.

    Parameters
    ----------
    values : iterable of float
        All deduct values. [points]
    m : float
        Allowed number of deducts. [-]

    Returns
    -------
    tuple of float
        The values that count; all of them in full when they are no more than m. [points]

    Examples
    --------
    >>> kept_deducts((5.0, 20.0, 10.0), 2.5)
    (20.0, 10.0, 2.5)
    >>> kept_deducts((5.0, 20.0), 2.5)
    (20.0, 5.0)
    """
    ordered = sorted(values, reverse=True)
    whole = int(m)
    if len(ordered) <= whole:
        return tuple(ordered)
    return (*ordered[:whole], ordered[whole] * (m - whole))


def rating(index: float) -> RatingBand:
    """Return the rating of an index: the best band whose least whole value it reaches.

    Examples
    --------
    >>> rating(49.3).word.en, rating(49.3).word_old.en, rating(84.5).word.en
    ('Poor', 'Fair', 'Good')
    """
    whole = int(index + 0.5)
    return next(band for band in rating_bands() if whole >= band.least)


def _counted(one: Distress, curves: DeductCurves) -> Distress:
    """Return a distress under the number whose curve it uses."""
    spec = known_distresses().get(one.number)
    if (one.number, one.severity) in curves.deduct or spec is None or spec.counted_as is None:
        return one
    return dataclasses.replace(one, number=spec.counted_as)


def _deduct(one: Distress, area: float, curves: DeductCurves) -> IndexDeduct:
    spec, curve = known_distresses().get(one.number), curves.deduct.get((one.number, one.severity))
    if spec is None or curve is None:
        raise OutOfRangeError(say("condition.no-curve", distress=one.number, severity=one.severity))
    density = _density(one, spec.measured, area)
    return IndexDeduct(spec.name.en, one.severity, density, deduct_value(curve, density))


def _density(one: Distress, measured: str, area: float) -> float:
    if not 0 < area < float("inf"):
        raise OutOfRangeError(say("condition.no-area", area=area))
    density = one.quantity / area * _TO_DENSITY[measured]
    if not 0 <= density < float("inf"):
        raise OutOfRangeError(say("condition.no-quantity", distress=one.number, quantity=one.quantity))
    if measured == "area" and density > 100 * (1 + 1e-9):
        raise OutOfRangeError(say("condition.more-than-area", distress=one.number, quantity=one.quantity, area=area))
    return density


def _steps(values: list[float], m: float, curves: DeductCurves) -> list[tuple[int, float, float]]:
    """Return q, total and corrected total of every row; one row of the plain total when q is 0 or 1."""
    over = sum(value > _SMALL for value in values)
    if over <= 1:
        return [(over, sum(values), min(MOST, sum(values)))]
    kept = list(kept_deducts(values, m))
    steps: list[tuple[int, float, float]] = []
    for q in range(sum(value > _SMALL for value in kept), 0, -1):
        row = [min(value, _SMALL) if i >= q else value for i, value in enumerate(kept)]
        steps.append((q, sum(row), corrected_deduct(curves, sum(row), q)))
    return steps


def _recalled_deducts(
    counted: tuple[Distress, ...], deducts: tuple[IndexDeduct, ...], curves: DeductCurves
) -> tuple[str, ...]:
    return tuple(
        f"deduct curve {one.number} {one.severity}"
        for one, row in zip(counted, deducts, strict=True)
        if curves.deduct[one.number, one.severity].from_memory and row.density > 0
    )


def _recalled_corrections(steps: list[tuple[int, float, float]], curves: DeductCurves) -> tuple[str, ...]:
    found: list[str] = []
    for q, total, _ in steps:
        curve = corrected_curve(curves, q)
        if curve is not None and not is_supported(curve, total):
            found.append(f"corrected deduct curve q {q} at {total:.1f}")
    return tuple(found)
