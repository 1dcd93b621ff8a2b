"""The area of the pad that is milled, paved or coated: all of it, run-offs too."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known, usual


def pad_area(area: float) -> Measured:
    """Return a pad's area with the doubt of its taped outline. [m²]

    Parameters
    ----------
    area : float
        Area of the outline. [m²]

    Returns
    -------
    Measured
        The area. [m²]

    Examples
    --------
    >>> pad_area(668.9)
    Measured(value=668.9, sd=3.3445)
    """
    return Measured(area, area * usual("pad_area_doubt").value)


def surface_area(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the whole pad. [m²]"""
    del values
    return worked(pad_area(known.reading.area), "surface-area", area=known.reading.area)
