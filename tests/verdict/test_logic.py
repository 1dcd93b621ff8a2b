"""Three-valued logic over facts."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.measured import Span
from courtwright.trade.judgement import Condition
from courtwright.verdict.logic import all_hold, any_holds, assertion, denial, holds
from courtwright.verdict.needs import meet
from courtwright.verdict.records import Fact

KLEENE = {
    # (a, b): (and, or); Kleene 1952, section 64
    (True, True): (True, True),
    (True, None): (None, True),
    (True, False): (False, True),
    (None, None): (None, None),
    (None, False): (False, None),
    (False, False): (False, False),
}


@pytest.mark.reference("kleene-1952")
def test_connectives_are_kleenes() -> None:
    """All nine rows of the strong tables, in either order."""
    for a, b in itertools.product((True, None, False), repeat=2):
        both, either = KLEENE.get((a, b)) or KLEENE[(b, a)]
        assert all_hold([a, b]) is both
        assert any_holds([a, b]) is either


#: Only limits of the trade's precision, six digits, are ever named.
LIMITS = st.floats(-10, 10).map(lambda x: float(f"{x:.6g}"))
CONDITIONS = st.one_of(
    LIMITS.map(lambda x: Condition("crack_width_max", above=x)),
    LIMITS.map(lambda x: Condition("crack_width_max", at_least=x)),
    LIMITS.map(lambda x: Condition("crack_width_max", below=x)),
    LIMITS.map(lambda x: Condition("crack_width_max", at_most=x)),
)


@given(CONDITIONS, st.floats(-20, 20), st.floats(0, 5))
def test_a_span_never_says_more_than_a_number_in_it(condition: Condition, low: float, width: float) -> None:
    """What holds of a span holds of both its ends and its middle."""
    span = Span(low, low + width)
    told = holds(condition, {"crack_width_max": Fact("crack_width_max", span)})
    for value in (span.low, span.middle, span.high):
        exact = holds(condition, {"crack_width_max": Fact("crack_width_max", Span.exactly(value))})
        assert exact is not None
        assert told is None or told is exact


@given(CONDITIONS)
def test_a_denial_denies_and_an_assertion_asserts(condition: Condition) -> None:
    """The fact as it would need to be settles the condition, one way or the other."""
    assert holds(condition, {"crack_width_max": Fact("crack_width_max", meet(denial(condition)))}) is False
    assert holds(condition, {"crack_width_max": Fact("crack_width_max", meet(assertion(condition)))}) is True


def test_every_limit_of_the_rules_can_be_named() -> None:
    """No limit of a rule needs more than the six digits in which it is told."""
    from courtwright.trade.judgement import remedies

    for spec in remedies().values():
        for rule in spec.rule:
            for condition in (*rule.when, *rule.unless):
                fact = Fact(condition.fact, meet(denial(condition)))
                assert holds(condition, {condition.fact: fact}) is False, (rule.id, condition)
                fact = Fact(condition.fact, meet(assertion(condition)))
                assert holds(condition, {condition.fact: fact}) is True, (rule.id, condition)


def test_an_unknown_fact_settles_nothing() -> None:
    """Unknown is not false."""
    assert holds(Condition("pieces_rock", equals=True), {}) is None
    assert holds(Condition("pieces_rock", equals=True), {"pieces_rock": Fact("pieces_rock", None)}) is None
