"""Whether a court's dimension, taped twice, keeps its tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from courtwright.errors import OutOfRangeError
from courtwright.says import say

_SHARE = 0.001
_LEAST = 0.005
_TO_NET = 0.010


@dataclass(frozen=True, slots=True)
class TapeCheck:
    """Two readings of one dimension, judged.

    Parameters
    ----------
    length : float
        Mean of the two. [m]
    tolerance : float
        Allowed departure from the dimension. [m]
    outcome : {"within", "outside", "tape again"}
        Whether the mean is within the tolerance; ``tape again`` when the two differ too much to tell.
    """

    length: float
    tolerance: float
    outcome: Literal["within", "outside", "tape again"]


def tape_tolerance(dimension: float, to_net: bool = False) -> float:
    """Return the tolerance of a dimension of a tennis court.

    Parameters
    ----------
    dimension : float
        The length that the rules ask for. [m]
    to_net : bool
        Whether one end is the net.

    Returns
    -------
    float
        A thousandth of the dimension, at least 5 mm, and 10 mm more to the net. [m]

    References
    ----------
    ITF, "Technical Booklet", 2015, CS 04/02, p. 53.

    Examples
    --------
    >>> round(tape_tolerance(39 * 0.3048, to_net=True), 5)
    0.02189
    """
    if not dimension > 0 or math.isinf(dimension):
        raise OutOfRangeError(say("courts.no-dimension", dimension=dimension))
    return max(_LEAST, _SHARE * dimension) + (_TO_NET if to_net else 0.0)


def check_tape(first: float, second: float, dimension: float, to_net: bool = False) -> TapeCheck:
    """Return what two tape readings say of a dimension.

    Parameters
    ----------
    first, second : float
        The readings. [m]
    dimension : float
        The length that the rules ask for. [m]
    to_net : bool
        Whether one end is the net.

    Returns
    -------
    TapeCheck
        Mean, tolerance and outcome.

    Raises
    ------
    OutOfRangeError
        If a length is not a positive number.

    Notes
    -----
    Readings that differ by more than half the tolerance are taken again; otherwise their mean counts.

    References
    ----------
    ITF, "Technical Booklet", 2015, CS 04/02, p. 53.

    Examples
    --------
    >>> check_tape(23.782, 23.796, 78 * 0.3048).outcome
    'tape again'
    """
    tolerance = tape_tolerance(dimension, to_net)
    for reading in (first, second):
        if not reading > 0 or math.isinf(reading):
            raise OutOfRangeError(say("courts.no-dimension", dimension=reading))
    mean = (first + second) / 2
    if abs(first - second) > tolerance / 2:
        return TapeCheck(mean, tolerance, "tape again")
    return TapeCheck(mean, tolerance, "within" if abs(mean - dimension) <= tolerance else "outside")
