"""The schema of the condition index: its distresses, its curves and its ratings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from courtwright.trade.records import Worded

SeverityWord = Literal["L", "M", "H", "-"]


@dataclass(frozen=True, slots=True)
class DistressSpec:
    """A distress of the condition index, as the standard numbers it.

    Parameters
    ----------
    number : int
        The standard's number.
    name : Worded
        The standard's name, and that of a Spanish reader.
    measured : {"area", "length", "count"}
        What is measured of it.
    also : tuple of str
        Other names by which sheets know it.
    counted_as : int or None
        The distress whose curve it uses, where the curves know no other.
    low_from, medium_from, high_from : float or None
        Least width, depth or height of each severity. [m]
    by_word : mapping
        Severity of a state or wear that the walker names.
    severity_source : str
        Where the limits come from.
    """

    number: int
    name: Worded
    measured: Literal["area", "length", "count"]
    source: str
    also: tuple[str, ...] = ()
    counted_as: int | None = None
    low_from: float | None = None
    medium_from: float | None = None
    high_from: float | None = None
    by_word: Mapping[str, SeverityWord] = field(default_factory=dict[str, SeverityWord])
    severity_source: str = "from memory"


@dataclass(frozen=True, slots=True)
class CurveFile:
    """What a file of curves says of itself, in the lines above its table."""

    title: str
    source: str
    unit: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class DeductCurve:
    """Deduct value by density, for one distress and severity.

    Parameters
    ----------
    density : tuple of float
        Knots, growing; US basis (areas in area/area, lengths in ft/ft², counts per ft²). [percent]
    deduct : tuple of float
        Deduct value at each knot. [points]
    from_memory : bool
        Whether the knots were recalled and not read.
    """

    distress: int
    severity: str
    density: tuple[float, ...]
    deduct: tuple[float, ...]
    from_memory: bool = False


@dataclass(frozen=True, slots=True)
class CorrectedCurve:
    """Corrected deduct value by total, for one count q of deducts over 2.

    Parameters
    ----------
    total : tuple of float
        Knots, growing. [points]
    corrected : tuple of float
        Corrected deduct value at each knot. [points]
    supported : tuple of float
        Least and greatest total that published readings support; empty: none. [points]
    """

    q: int
    total: tuple[float, ...]
    corrected: tuple[float, ...]
    supported: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class DeductCurves:
    """The curves of a condition index, and where they come from."""

    deduct: Mapping[tuple[int, str], DeductCurve]
    corrected: Mapping[int, CorrectedCurve]


@dataclass(frozen=True, slots=True)
class RatingBand:
    """The least whole index of a rating, in the words of the standard now and before 2007. [points]"""

    id: str
    least: int
    word: Worded
    word_old: Worded
    source: str
