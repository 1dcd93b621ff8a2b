"""Liquids by the area or length they cover: tack, coats, crack filler."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.coats import coats_of
from courtwright.quantities.hairline_length import hairline_length
from courtwright.quantities.known import Known
from courtwright.quantities.surface_area import pad_area


def spread_volume(extent: Measured, rate: Measured) -> Measured:
    """Return the liquid for an area or a length at a rate. [l]

    Parameters
    ----------
    extent : Measured
        Area or length. [m² or m]
    rate : Measured
        Litres for one unit of it. [l/m² or l/m]

    Returns
    -------
    Measured
        Liquid. [l]

    Examples
    --------
    800 sy at 0.05 gal/sy are 40 gal, 151.4 l:

    >>> round(spread_volume(Measured(668.901888), Measured(0.226365914)).value, 1)
    151.4
    """
    return extent * rate


def filled_crack_volume(length: Measured, width: Measured, depth: Measured) -> Measured:
    """Return the filler for a crack: length by width by depth, in litres. [l]

    Parameters
    ----------
    length, width, depth : Measured
        Of the crack that is filled. [m]

    Returns
    -------
    Measured
        Filler, without waste. [l]

    Examples
    --------
    100 lf by 1/2 in by 1 in are 600 in³, 2.597 gal of 3.785411784 l:

    >>> inch = 0.0254
    >>> round(filled_crack_volume(Measured(30.48), Measured(inch / 2), Measured(inch)).value / 3.785411784, 4)
    2.5974
    """
    return length * width * depth * 1000.0


def tack_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the tack between old and new, or between two lifts. [l]"""
    rate = values["tack_rate"]
    area = known.reading.area
    return worked(spread_volume(pad_area(area), rate), "spread", area=area, rate=rate.value)


def coat_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the acrylic of all coats, undiluted. [l]"""
    coats, coverage = coats_of(known, values), values["coverage"]
    area = known.reading.area
    amount = spread_volume(pad_area(area), coverage) * float(coats)
    return worked(amount, "coats", area=area, coats=coats, coverage=coverage.value)


def filler_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the filler of the hairlines that the resurfacing fills. [l]"""
    length, rate = hairline_length(known, values).amount, values["hairline_filler"]
    return worked(spread_volume(length, rate), "filler", length=length.value, rate=rate.value)
