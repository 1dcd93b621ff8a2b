"""What would have to be different for an option to be open: the smallest sets of facts.

Every set is tried: the facts are replaced as an answer would replace them, the option is composed
and judged anew, and the set is kept only when the option opens and stays shut with any one of its
facts left out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from courtwright.measured import Span
from courtwright.trade.judgement import options
from courtwright.verdict.compose import plan_of
from courtwright.verdict.facts import overruled
from courtwright.verdict.logic import Facts, assertion, denial, value_of
from courtwright.verdict.needs import meet
from courtwright.verdict.records import Flip
from courtwright.verdict.rules import Heard, blockers, hear, state_of

#: No set of more facts than this is looked for, and no more combinations than this are tried.
_MOST_FACTS, _MOST_TRIES = 8, 256

Change = tuple[str, str]


def opens_if(option: str, facts: Facts) -> tuple[tuple[Flip, ...], ...]:
    """Return the smallest sets of facts that would open an option which is not open.

    Parameters
    ----------
    option : str
        The option's id.
    facts : mapping
        The pad's facts.

    Returns
    -------
    tuple of tuple of Flip
        Fewest facts first; empty when the option is open or nothing within reach opens it.
    """
    plan = plan_of(options()[option], facts)
    blocking = blockers(hear(plan, facts))
    if not blocking:
        return ()
    found: list[frozenset[Change]] = []
    for changes in sorted(set(_candidates(blocking)), key=lambda c: (len(c), sorted(c))):
        if len(changes) <= _MOST_FACTS and not any(known <= changes for known in found):
            smallest = _smallest(option, changes, facts)
            if smallest and smallest not in found:
                found.append(smallest)
    kept = [f for f in found if not any(other < f for other in found)]
    return tuple(tuple(Flip(fact, value_of(fact, facts), needs) for fact, needs in sorted(f)) for f in kept)


def _candidates(blocking: tuple[Heard, ...]) -> Iterator[frozenset[Change]]:
    """Yield ways to lift all blocking rules at once: one way for each rule."""
    ways = [tuple(_ways(h)) for h in blocking]
    for choice in itertools.islice(itertools.product(*ways), _MOST_TRIES):
        merged = _merged(itertools.chain.from_iterable(choice))
        if merged is not None:
            yield merged


def _ways(heard: Heard) -> Iterator[frozenset[Change]]:
    for condition in heard.rule.when:
        yield frozenset({(condition.fact, denial(condition))})
    if heard.rule.unless:
        yield frozenset((condition.fact, assertion(condition)) for condition in heard.rule.unless)


def _merged(changes: Iterator[Change]) -> frozenset[Change] | None:
    """Return the changes with one need for each fact, the narrower; None when two cannot both be met."""
    needs: dict[str, str] = {}
    for fact, need in changes:
        both = need if fact not in needs else _narrower(needs[fact], need)
        if both is None:
            return None
        needs[fact] = both
    return frozenset(needs.items())


def _narrower(one: str, other: str) -> str | None:
    a, b = meet(one), meet(other)
    if isinstance(a, Span) and isinstance(b, Span):
        if a.low >= b.low and a.high <= b.high:
            return one
        return other if b.low >= a.low and b.high <= a.high else None
    return one if a == b else None


def _smallest(option: str, changes: frozenset[Change], facts: Facts) -> frozenset[Change] | None:
    """Return the changes with those left out that are not needed; None when they do not open the option."""
    if not _opens(option, changes, facts):
        return None
    needed = changes
    for change in sorted(changes):
        fewer = needed - {change}
        if _opens(option, fewer, facts):
            needed = fewer
    return needed


def _opens(option: str, changes: frozenset[Change], facts: Facts) -> bool:
    changed = overruled(facts, {fact: meet(need) for fact, need in changes})
    return state_of(hear(plan_of(options()[option], changed), changed)) == "open"
