"""How sure a length is: drawn, counted or answered; and what it is taken to be when nobody knows."""

from __future__ import annotations

import math

from courtwright.measured import Measured, Span
from courtwright.quantities.known import Known, usual


def measured_length(span: Span, relative: float) -> Measured:
    """Return a length known to lie in a span, each point of it alike, and measured with some doubt. [m]

    Parameters
    ----------
    span : Span
        Where the length lies. [m]
    relative : float
        Relative standard uncertainty of the way it was measured. [-]

    Returns
    -------
    Measured
        The middle of the span; the uncertainty of an even spread over it and of the way, in quadrature. [m]

    Examples
    --------
    >>> measured_length(Span.exactly(50.0), 0.03)
    Measured(value=50.0, sd=1.5)
    >>> round(measured_length(Span(0.0, 12.0), 0.0).sd, 3)
    3.464
    """
    middle = (span.low + span.high) / 2
    return Measured(middle, math.hypot((span.high - span.low) / math.sqrt(12), relative * middle))


def crack_doubt(known: Known, fact: str) -> float:
    """Return the relative standard uncertainty of a crack length: answered, counted, drawn, or a mix. [-]"""
    if known.is_answered(fact):
        return usual("answer_doubt").value
    cracks = known.reading.cracks
    counted = cracks.tallied / cracks.length if cracks.length > 0 else 0.0
    return math.hypot(counted * usual("tally_doubt").value, (1 - counted) * usual("drawn_doubt").value)


def crack_length(known: Known, fact: str, share: str) -> tuple[Measured, bool]:
    """Return the length of one class of cracks, and whether it was found or only guessed from the age. [m]

    Parameters
    ----------
    known : Known
        The pad.
    fact : str
        The fact that holds the length.
    share : str
        The name in ``trade/takeoff.toml`` of the class's usual share of all cracks.

    Returns
    -------
    tuple of Measured and bool
        The length, and True when somebody found it. [m]
    """
    span = known.span(fact)
    if span is not None:
        return measured_length(span, crack_doubt(known, fact)), True
    return guessed_cracks(known) * usual(share).value, False


def guessed_cracks(known: Known) -> Measured:
    """Return the length of cracks that a pad of this age and size may have, as unsure as it is long. [m]"""
    span = known.span("age")
    age = Measured((span.low + span.high) / 2, (span.high - span.low) / math.sqrt(12)) if span else usual("age_unknown")
    grown, most = age * usual("crack_growth"), usual("crack_most")
    return (grown if grown.value < most.value else most) * known.reading.area
