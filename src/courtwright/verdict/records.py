"""What the verdict room concludes: the records that cross its door. All base SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from courtwright.says import Says
from courtwright.site.record import FactValue

SCHEMA_VERSION = 1

State = Literal["open", "ruled out", "open if"]


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact about a pad: its value (None: unknown) and whether it was answered or derived."""

    id: str
    value: FactValue
    answered: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A thing of a pad by its id: a mark, a piece, a low spot, a court, or an old repair (by its mark)."""

    kind: Literal["mark", "piece", "low-spot", "court", "repair"]
    id: str


@dataclass(frozen=True, slots=True)
class Finding:
    """A plain statement that the record supports, with the facts behind it and the places it speaks of.

    Without a place it speaks of the whole pad, or of what was counted and not drawn.
    """

    id: str
    says: Says
    facts: tuple[str, ...]
    at: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """What produced the findings, with the evidence for and against; strength 0 to 1. [-]"""

    cause: str
    strength: float
    evidence_for: tuple[Says, ...]
    evidence_against: tuple[Says, ...]


@dataclass(frozen=True, slots=True)
class Because:
    """A rule that speaks for or against an option, in words and with its source."""

    rule: str
    says: Says
    source: str
    effect: Literal["rules out", "needs", "for", "unknown", "note"]


@dataclass(frozen=True, slots=True)
class Flip:
    """One fact that would have to be different: what it is and what it needs to be.

    ``needs`` is an operator and an SI value ("<= 0.1"), or a word, as ``[answers]`` takes it.
    """

    fact: str
    value: FactValue
    needs: str


@dataclass(frozen=True, slots=True)
class Option:
    """A complete plan of remedies for a pad, in order, and what speaks for or against it."""

    id: str
    title: Says
    remedies: tuple[str, ...]
    state: State
    because: tuple[Because, ...]
    opens_if: tuple[tuple[Flip, ...], ...] = ()
    settled_by: tuple[str, ...] = ()
    does_not_mend: tuple[Says, ...] = ()


@dataclass(frozen=True, slots=True)
class IndexDeduct:
    """One row of a condition index. Density in percent, deduct in points."""

    distress: str
    severity: str
    density: float
    deduct: float


@dataclass(frozen=True, slots=True)
class ConditionIndex:
    """A condition index with every step. Points 0 to 100. [-]"""

    value: float
    rating: str
    standard: str
    deducts: tuple[IndexDeduct, ...]
    hdv: float
    m: float
    tdv: float
    q: int
    cdv: float
    steps: tuple[Mapping[str, float], ...] = ()
    from_memory: tuple[str, ...] = ()
    rating_old: str = ""
    """The rating in the words used before 2007."""


@dataclass(frozen=True, slots=True)
class MeasureNext:
    """A measurement worth making: how, and which options it settles."""

    fact: str
    how: Says
    settles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PadVerdict:
    """The verdict on one pad."""

    id: str
    facts: Mapping[str, Fact]
    findings: tuple[Finding, ...]
    condition_index: ConditionIndex | None
    causes: tuple[Cause, ...]
    options: tuple[Option, ...]
    not_considered: tuple[tuple[str, Says], ...]
    recommended: str | None
    advice: tuple[Says, ...]
    measure_next: tuple[MeasureNext, ...]
    from_memory: tuple[str, ...] = ()

    def option(self, id: str) -> Option:
        """Return the option with this id; raises KeyError when there is none."""
        for option in self.options:
            if option.id == id:
                return option
        raise KeyError(id)


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdicts on all pads of a site, in the record's order."""

    pads: tuple[PadVerdict, ...]
    schema_version: int = field(default=SCHEMA_VERSION)

    @property
    def facts(self) -> dict[str, Mapping[str, Fact]]:
        """The facts of every pad, by the pad's id."""
        return {pad.id: pad.facts for pad in self.pads}
