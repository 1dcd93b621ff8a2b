"""What to measure next: the facts nobody knows, and which options each would settle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from courtwright.says import Says, say
from courtwright.trade.load import facts as fact_specs
from courtwright.verdict.logic import Facts, holds
from courtwright.verdict.records import MeasureNext
from courtwright.verdict.rules import Heard


def measure_next(heard_by: Mapping[str, tuple[Heard, ...]], facts: Facts) -> tuple[MeasureNext, ...]:
    """Return the measurements worth making, those that settle most options first, then the quickest.

    Parameters
    ----------
    heard_by : mapping
        The rules that each option hears, by the option's id.
    facts : mapping
        The pad's facts.
    """
    specs = fact_specs()
    blocks = _waiting(heard_by, facts, "blocks")
    asks = _waiting(heard_by, facts, "asks")
    order = sorted(
        set(blocks) | set(asks),
        key=lambda fact: (-len(blocks.get(fact, ())), -len(asks.get(fact, ())), specs[fact].minutes, fact),
    )
    return tuple(MeasureNext(fact, how(fact), tuple({**blocks.get(fact, {}), **asks.get(fact, {})})) for fact in order)


def _waiting(heard_by: Mapping[str, Iterable[Heard]], facts: Facts, unknown: str) -> dict[str, dict[str, None]]:
    """Return the options that wait for each unknown fact, through rules that ask or block."""
    waiting: dict[str, dict[str, None]] = {}
    for option, heard in heard_by.items():
        for h in heard:
            if h.speaks is None and h.rule.unknown == unknown:
                for condition in h.rule.when:
                    if holds(condition, facts) is None:
                        waiting.setdefault(condition.fact, {})[option] = None
    return waiting


def how(fact: str) -> Says:
    """Return how to find a fact out: the way, the tool, the minutes, and whether it leaves a hole."""
    spec = fact_specs()[fact]
    with_tool = "verdict.measure-with" if spec.tool else "verdict.measure"
    parts = {"what": say(f"facts.{fact}.title"), "how": say(f"facts.{fact}.how"), "minutes": spec.minutes}
    if spec.tool:
        parts["tool"] = say(f"facts.{fact}.tool")
    sentence = say(with_tool, **parts)
    return say("verdict.leaves-hole", measure=sentence) if spec.leaves_hole else sentence
