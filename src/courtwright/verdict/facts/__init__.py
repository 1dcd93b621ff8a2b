"""The facts of a pad: derived from record and reading, then overruled by what was answered."""

from courtwright.verdict.facts.derive import facts_of, overruled

__all__ = ["facts_of", "overruled"]
