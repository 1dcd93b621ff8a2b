"""All facts of a pad by name, each derived where the record supports it.

A pad counts as *walked* when any mark or tally was taken on it: then what was not marked was not
there. On a pad nobody walked, the absence of a mark says nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from courtwright.ground.reading import PadReading
from courtwright.measured import Span
from courtwright.site.record import FactValue, Pad
from courtwright.trade.load import facts as fact_specs
from courtwright.verdict.facts import cracks, slab, surroundings, water
from courtwright.verdict.records import Fact

Facts = Mapping[str, Fact]


def facts_of(pad: Pad, reading: PadReading, year: int | None) -> Mapping[str, Fact]:
    """Return every fact of a pad by name, in the order of the trade's list.

    Parameters
    ----------
    pad : Pad
        The record of the pad.
    reading : PadReading
        What the ground room made of it.
    year : int or None
        Year of the walk; ages are unknown without it. [-]

    Returns
    -------
    mapping of str to Fact
        One for each fact that ``trade.load.facts`` lists.
    """
    derived: dict[str, FactValue] = {
        **slab.facts(pad, reading, year),
        **cracks.facts(pad, reading),
        **water.facts(pad, reading),
        **surroundings.facts(pad, reading),
    }
    known: Facts = {name: Fact(name, derived.get(name)) for name in fact_specs()}
    return overruled(known, {answer.fact: answer.value for answer in pad.answers if answer.value is not None})


def overruled(facts: Facts, answers: Mapping[str, FactValue]) -> Facts:
    """Return the facts with some replaced by answers, and what follows from others worked out anew.

    Parameters
    ----------
    facts : mapping of str to Fact
        As derived.
    answers : mapping of str to FactValue
        By the fact's name.
    """
    changed = {**facts, **{name: Fact(name, value, answered=True) for name, value in answers.items()}}
    name = "asphalt_left_after_grinding"
    if not changed[name].answered:
        changed[name] = Fact(name, _left(changed["asphalt_thickness"].value, changed["heave_height_max"].value))
    return changed


def _left(thickness: FactValue, heave: FactValue) -> FactValue:
    """Return the asphalt left once the highest heave is ground off. [m]."""
    if not isinstance(thickness, Span) or not isinstance(heave, Span):
        return None
    low, high = thickness.low - heave.high, thickness.high - heave.low
    return None if math.isnan(low) or math.isnan(high) else Span(max(low, 0.0), max(high, 0.0))
