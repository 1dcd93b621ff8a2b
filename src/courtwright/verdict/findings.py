"""What the record supports, in plain statements."""

from __future__ import annotations

import math

from courtwright.measured import Span
from courtwright.says import say
from courtwright.trade.judgement import FindingSpec, findings
from courtwright.verdict.logic import Facts, hold, value_of
from courtwright.verdict.records import Finding


def find(facts: Facts) -> tuple[Finding, ...]:
    """Return every finding whose conditions are known to hold."""
    return tuple(_finding(name, spec, facts) for name, spec in findings().items() if hold(spec.when, facts) is True)


def _finding(name: str, spec: FindingSpec, facts: Facts) -> Finding:
    if spec.says_less and not all(_is_told(fact, facts) for fact in spec.facts):
        return Finding(name, say(f"findings.{name}.says_less"), spec.facts)
    return Finding(
        name, say(f"findings.{name}.says", **{fact: shown_value(fact, facts) for fact in spec.facts}), spec.facts
    )


def _is_told(fact: str, facts: Facts) -> bool:
    """Tell whether a fact can be printed: a claim, a word, or a number between two ends."""
    value = value_of(fact, facts)
    return math.isfinite(value.low) and math.isfinite(value.high) if isinstance(value, Span) else value is not None


def shown_value(fact: str, facts: Facts) -> object:
    """Return one number, claim or word to print for a fact; the middle of a span."""
    value = value_of(fact, facts)
    return value.middle if isinstance(value, Span) else value
