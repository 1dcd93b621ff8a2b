"""The facts of a pad: derived from record and reading, then overruled by what was answered."""

from courtwright.verdict.facts.derive import facts_of, overruled
from courtwright.verdict.facts.places import places_of

__all__ = ["facts_of", "overruled", "places_of"]
