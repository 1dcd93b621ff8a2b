"""What is known of a pad when its work is measured: the record, its reading, its facts and the option's remedies."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from courtwright.ground.reading import PadReading
from courtwright.measured import Measured, Span
from courtwright.site.record import Pad
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import scopes, takeoff
from courtwright.trade.per import COURT_AREA
from courtwright.trade.records import Amount
from courtwright.verdict.records import Fact


@dataclass(frozen=True, slots=True)
class Known:
    """What the formulas work from.

    Parameters
    ----------
    pad, reading : Pad, PadReading
        The record of the pad and its reading.
    facts : mapping of str to Fact
        What verdicts rest on, by name.
    remedies : tuple of str
        All remedies of the option: what one covers, another does not also repair.
    """

    pad: Pad
    reading: PadReading
    facts: Mapping[str, Fact]
    remedies: tuple[str, ...]

    def span(self, fact: str) -> Span | None:
        """Return a numeric fact with both ends finite, or None when it is unknown."""
        known = self.facts.get(fact)
        value = known.value if known else None
        return value if isinstance(value, Span) and math.isfinite(value.low) and math.isfinite(value.high) else None

    def is_answered(self, fact: str) -> bool:
        """Tell whether somebody answered the fact, so that it takes the place of what was drawn."""
        known = self.facts.get(fact)
        return known is not None and known.answered and known.value is not None

    @property
    def courts(self) -> float:
        """The pad's area in courts of 7,200 sf. [-]"""
        return self.reading.area / COURT_AREA

    @property
    def has_new_surface(self) -> bool:
        """Whether the option paves, so that its colour goes on a new surface."""
        return any(scopes()[remedy].new_surface for remedy in self.remedies)

    @property
    def loses_surface(self) -> bool:
        """Whether the option takes the old surface off, so that what was on it is not also repaired."""
        return any(scopes()[remedy].removes_surface for remedy in self.remedies)


def counted_areas(known: Known, mark: str, usual_area: Measured) -> list[Measured]:
    """Return the areas of what was counted beyond what is drawn; each piece without one counts as a usual one.

    Parameters
    ----------
    known : Known
        What is known of the pad.
    mark : str
        The kind of mark.
    usual_area : Measured
        Of one piece. [m²]

    Returns
    -------
    list of Measured
        Areas. [m²]
    """
    tallies = [tally for tally in tallies_beyond_marks(known.pad) if tally.mark == mark]
    doubt = usual("tally_doubt").value
    told = [Measured(tally.area, tally.area * doubt) for tally in tallies if tally.area]
    return told + [usual_area for tally in tallies if not tally.area for _ in range(tally.count or 1)]


def measured(amount: Amount) -> Measured:
    """Return an amount of the trade's data as a measured value, in its SI unit."""
    return Measured(amount.size, amount.sd)


def usual(name: str) -> Measured:
    """Return what ``trade/takeoff.toml`` takes a quantity to be where the record does not say."""
    return measured(takeoff()[name])
