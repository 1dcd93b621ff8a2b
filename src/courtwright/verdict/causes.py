"""What produced the findings: each cause with the evidence for and against it.

The strength of a cause combines its pieces of evidence as independent witnesses: one minus the
product of what each leaves to doubt, lessened the same way by what speaks against.
"""

from __future__ import annotations

import math

from courtwright.says import Says, say
from courtwright.trade.judgement import CauseSpec, Evidence, causes
from courtwright.verdict.logic import Facts, hold
from courtwright.verdict.records import Cause


def causes_of(facts: Facts) -> tuple[Cause, ...]:
    """Return the causes for which something speaks, strongest first."""
    weighed = (_weigh(name, spec, facts) for name, spec in causes().items())
    return tuple(sorted((c for c in weighed if c.evidence_for), key=lambda c: (-c.strength, c.cause)))


def _weigh(name: str, spec: CauseSpec, facts: Facts) -> Cause:
    speaking, opposing = (_heard(spec.speaks_for, facts), _heard(spec.speaks_against, facts))
    strength = (1 - _doubt(speaking)) * _doubt(opposing)
    texts = [
        tuple(_text(name, side, evidence) for evidence in heard)
        for side, heard in (("speaks_for", speaking), ("speaks_against", opposing))
    ]
    return Cause(name, round(strength, 3), texts[0], texts[1])


def _heard(evidence: tuple[Evidence, ...], facts: Facts) -> list[Evidence]:
    return [item for item in evidence if hold(item.when, facts) is True]


def _doubt(evidence: list[Evidence]) -> float:
    """Return what the evidence leaves to doubt, 0 to 1. [-]."""
    return math.prod(1 - item.weight for item in evidence)


def _text(cause: str, side: str, evidence: Evidence) -> Says:
    return say(f"causes.{cause}.{side}.{evidence.id}.says")
