"""What produced the findings: how evidence adds up."""

from __future__ import annotations

import pytest

from courtwright.trade.judgement import causes
from courtwright.verdict.causes import causes_of

from .facts import INCH, facts, nothing_known


def test_evidence_combines_as_independent_witnesses() -> None:
    """Heaves beside trees (0.8) and over 1 in (0.5): 1 - 0.2 x 0.5 = 0.9; the first alone 0.8."""
    assert [e.weight for e in causes()["roots"].speaks_for] == [0.8, 0.5]
    for height, strength in ((2 * INCH, 0.9), (0.5 * INCH, 0.8)):
        found = {c.cause: c for c in causes_of(facts(roots_lift_pad=True, root_heave_height=height))}
        assert found["roots"].strength == pytest.approx(strength)


def test_what_speaks_against_a_cause_weakens_it() -> None:
    """Water runs on (0.4), but edges are free and nothing ponds (0.7 against): 0.4 x 0.3 = 0.12."""
    (drainage,) = (c for c in causes_of(facts(run_on=True)) if c.cause == "drainage")
    assert drainage.strength == pytest.approx(0.12)
    assert (len(drainage.evidence_for), len(drainage.evidence_against)) == (1, 1)


def test_the_strongest_cause_comes_first_and_none_without_evidence() -> None:
    """Roots before drainage; of a pad of which nothing is known no cause is named."""
    found = causes_of(facts(roots_lift_pad=True, root_heave_height=2 * INCH, run_on=True))
    strengths = [cause.strength for cause in found]
    assert strengths == sorted(strengths, reverse=True)
    assert found[0].cause == "roots"
    assert found[-1].strength < found[0].strength
    assert causes_of(nothing_known()) == ()
