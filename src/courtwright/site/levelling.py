"""Reduces a level run: height of instrument, elevations, misclosure, and its share for every set-up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sight:
    """What was read at one station.

    Parameters
    ----------
    station : str
        Its name.
    back, between, fore : float or None
        Backsight, intermediate sight and foresight; None where not read. [m]
    line : int
        Its line in the book. [-]
    distance : float or None
        How far the staff stood from the instrument, both ways where two sights were taken. [m]
    """

    station: str
    back: float | None
    between: float | None
    fore: float | None
    line: int = 0
    distance: float | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """The elevation of one station: as carried along, and with its share of the misclosure taken off. [m]"""

    station: str
    elevation: float
    adjusted: float


@dataclass(frozen=True, slots=True)
class Leg:
    """One set-up: from its backsight to its foresight."""

    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Section:
    """What stands between two stations of known elevation.

    Parameters
    ----------
    legs : tuple of Leg
        Its set-ups in order.
    misclosure : float
        Carried less known, at its end. [m]
    length : float or None
        How long its sights are together, where all were measured. [m]
    """

    legs: tuple[Leg, ...]
    misclosure: float
    length: float | None


@dataclass(frozen=True, slots=True)
class Run:
    """A reduced book.

    Parameters
    ----------
    levels : tuple of Level
        In the book's order.
    sections : tuple of Section
        Between known stations; none where the book never comes back to one.
    misclosure : float or None
        Over all sections. [m]
    is_relative : bool
        Whether no station was known, so that the first stands at zero.
    """

    levels: tuple[Level, ...]
    sections: tuple[Section, ...]
    misclosure: float | None
    is_relative: bool

    @property
    def setups(self) -> int:
        """How many set-ups the sections have. [-]"""
        return sum(len(section.legs) for section in self.sections)

    @property
    def length(self) -> float | None:
        """How long the sights of all sections are together, where all were measured. [m]"""
        lengths = [section.length for section in self.sections]
        return None if None in lengths else math.fsum(length for length in lengths if length is not None)


@dataclass(slots=True)
class _Station:
    sight: Sight
    raw: float
    setups: int
    is_turn: bool


def joined(sights: Sequence[Sight]) -> list[Sight]:
    """Return the sights with each turning point on one row: a foresight and the next backsight at one station."""
    found: list[Sight] = []
    for one in sights:
        last = found[-1] if found else None
        if (
            last
            and last.station == one.station
            and last.fore is not None
            and last.back is None
            and one.back is not None
            and one.fore is None
            and one.between is None
        ):
            both = None if last.distance is None or one.distance is None else last.distance + one.distance
            found[-1] = Sight(one.station, one.back, None, last.fore, last.line, both)
        else:
            found.append(one)
    return found


def reduced(sights: Sequence[Sight], known: Mapping[str, float]) -> Run:
    """Return the elevations of a book.

    Parameters
    ----------
    sights : sequence of Sight
        In the book's order; the first has a backsight.
    known : mapping of str to float
        Elevations that are given; those at a backsight or a foresight hold the run. [m]

    Returns
    -------
    Run
        The elevations and how well the book closes.

    Notes
    -----
    Height of instrument = elevation + backsight; elevation = height of instrument - sight. Each set-up of a section
    takes the same share of its misclosure, and what was seen from a set-up takes the share of its foresight. Set-ups
    after the last known station keep the correction that this had.
    """
    stations = _carried(joined(sights))
    turns = [station for station in stations if station.is_turn]
    marks = known
    is_relative = False
    if not any(station.sight.station in known for station in turns):
        # No turning point is known: the start holds the run, from what was seen of a known station, if any.
        seen = next((s for s in stations if s.sight.station in known), None)
        marks = {turns[0].sight.station: known[seen.sight.station] - seen.raw if seen else 0.0}
        is_relative = seen is None
    held = [station for station in turns if station.sight.station in marks]
    shift = marks[held[0].sight.station] - held[0].raw
    off = [station.raw + shift - marks[station.sight.station] for station in held]
    levels = tuple(
        Level(s.sight.station, s.raw + shift, s.raw + shift - _share(s.setups, [h.setups for h in held], off))
        for s in stations
    )
    sections = tuple(
        _section(turns, held[i], held[i + 1], off[i + 1] - off[i])
        for i in range(len(held) - 1)
        if held[i + 1].setups > held[i].setups
    )
    return Run(levels, sections, off[-1] if sections else None, is_relative)


def _carried(sights: Sequence[Sight]) -> list[_Station]:
    found: list[_Station] = []
    instrument, setups = 0.0, 0
    for one in sights:
        seen = one.fore if one.fore is not None else one.between
        is_first = not found
        raw = 0.0 if is_first or seen is None else instrument - seen
        if seen is None and not is_first:
            # A backsight alone starts again at a station that was carried before.
            raw = next((s.raw for s in reversed(found) if s.sight.station == one.station), 0.0)
        is_turn = is_first or one.fore is not None
        if not is_turn or seen is not None or is_first:
            found.append(_Station(one, raw, setups, is_turn))
        if one.back is not None:
            instrument, setups = raw + one.back, setups + 1
    return found


def _share(setups: int, at: Sequence[int], off: Sequence[float]) -> float:
    """Return the misclosure after so many set-ups, even between known stations. [m]"""
    if setups <= at[0]:
        return off[0]
    for i in range(1, len(at)):
        if setups <= at[i]:
            steps = at[i] - at[i - 1]
            part = (setups - at[i - 1]) / steps if steps else 1.0
            return off[i] if part == 1.0 else off[i - 1] + (off[i] - off[i - 1]) * part
    return off[-1]


def _section(turns: Sequence[_Station], start: _Station, end: _Station, misclosure: float) -> Section:
    within = [s for s in turns if start.setups <= s.setups <= end.setups]
    legs = tuple(Leg(a.sight.station, b.sight.station) for a, b in itertools.pairwise(within))
    # A turning point's distance is that of both its sights; at an end of the section only one of them counts.
    ends = (start.sight, end.sight)
    lengths = [
        None
        if s.distance is None
        else s.distance / (2 if s in ends and s.back is not None and s.fore is not None else 1)
        for s in (one.sight for one in within)
    ]
    length = None if None in lengths else math.fsum(v for v in lengths if v is not None)
    return Section(legs, misclosure, length)


def to_reshoot(section: Section, allowable: float) -> tuple[Leg, ...]:
    """Return the legs of a section to shoot again: none where it closes within ``allowable`` [m]."""
    return section.legs if abs(section.misclosure) > allowable else ()
