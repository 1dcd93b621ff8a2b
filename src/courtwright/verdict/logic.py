"""Three-valued logic over facts: a claim holds, does not hold, or nobody knows.

``None`` stands for unknown. Conjunction and disjunction are Kleene's: an unknown spreads only where
it could change the outcome.

References
----------
S. C. Kleene, "Introduction to Metamathematics", 1952, section 64 (strong three-valued connectives).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from courtwright.measured import Span
from courtwright.site.record import FactValue
from courtwright.trade.judgement import Condition
from courtwright.verdict.records import Fact

Facts = Mapping[str, Fact]


def all_hold(claims: Iterable[bool | None]) -> bool | None:
    """Return whether all claims hold.

    Examples
    --------
    >>> all_hold([True, None]), all_hold([False, None]), all_hold([])
    (None, False, True)
    """
    known = list(claims)
    return False if False in known else None if None in known else True


def any_holds(claims: Iterable[bool | None]) -> bool | None:
    """Return whether any claim holds.

    Examples
    --------
    >>> any_holds([True, None]), any_holds([False, None]), any_holds([])
    (True, None, False)
    """
    known = list(claims)
    return True if True in known else None if None in known else False


def value_of(fact: str, facts: Facts) -> FactValue:
    """Return a fact's value; None when it is unknown or was never derived."""
    known = facts.get(fact)
    return known.value if known else None


def holds(condition: Condition, facts: Facts) -> bool | None:
    """Return whether a condition holds; None when the fact is unknown or its span straddles the limit."""
    value = value_of(condition.fact, facts)
    if value is None:
        return None
    if isinstance(value, Span):
        return _number_holds(condition, value)
    if condition.one_of:
        return value in condition.one_of
    return value == condition.equals


def _number_holds(condition: Condition, value: Span) -> bool | None:
    if condition.above is not None:
        return value.is_above(condition.above)
    if condition.at_least is not None:
        return value.is_at_least(condition.at_least)
    if condition.at_most is not None:
        return _not(value.is_above(condition.at_most))
    if condition.below is not None:
        return _not(value.is_at_least(condition.below))
    return None


def _not(claim: bool | None) -> bool | None:
    return None if claim is None else not claim


def hold(conditions: Iterable[Condition], facts: Facts) -> bool | None:
    """Return whether all conditions hold."""
    return all_hold(holds(condition, facts) for condition in conditions)


def denial(condition: Condition) -> str:
    """Return what the fact needs to be for the condition not to hold, as ``[answers]`` takes it."""
    for limit, operator in (
        (condition.above, "<="),
        (condition.at_least, "<"),
        (condition.at_most, ">"),
        (condition.below, ">="),
    ):
        if limit is not None:
            return f"{operator} {limit:.6g}"
    if isinstance(condition.equals, bool):
        return "false" if condition.equals else "true"
    return "asphalt" if condition.fact == "surface" else f"not {condition.equals}"


def assertion(condition: Condition) -> str:
    """Return what the fact needs to be for the condition to hold, as ``[answers]`` takes it."""
    for limit, operator in (
        (condition.above, ">"),
        (condition.at_least, ">="),
        (condition.at_most, "<="),
        (condition.below, "<"),
    ):
        if limit is not None:
            return f"{operator} {limit:.6g}"
    if isinstance(condition.equals, bool):
        return "true" if condition.equals else "false"
    return condition.one_of[0] if condition.one_of else str(condition.equals)
