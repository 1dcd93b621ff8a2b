"""Reads what a fact needs to be: the few words in which the verdict names a change."""

from __future__ import annotations

import math

from courtwright.measured import Span
from courtwright.site.record import FactValue


def meet(needs: str) -> FactValue:
    """Return the value that meets a need: a span for an operator and a number, a claim, or a word.

    Parameters
    ----------
    needs : str
        As ``Flip.needs``, numbers in SI. [any]

    Examples
    --------
    >>> meet("<= 0.1"), meet("false"), meet("asphalt")
    (Span(low=-inf, high=0.1), False, 'asphalt')
    """
    operator, _, number = needs.partition(" ")
    if operator == "<=":
        return Span(-math.inf, float(number))
    if operator == "<":
        return Span(-math.inf, math.nextafter(float(number), -math.inf))
    if operator == ">=":
        return Span(float(number), math.inf)
    if operator == ">":
        return Span(math.nextafter(float(number), math.inf), math.inf)
    return {"true": True, "false": False}.get(needs, needs)
