"""What to measure next, and in which order."""

from __future__ import annotations

import itertools

from courtwright.trade.load import facts as fact_specs
from courtwright.verdict.compose import compose
from courtwright.verdict.measure import measure_next
from courtwright.verdict.rules import hear, settled_by

from .facts import BROKEN, facts, nothing_known


def _heard(known):
    return {option: hear(plan, known) for option, plan in compose(known).items()}


def test_what_settles_most_comes_first_and_then_the_quickest() -> None:
    """No measurement settles fewer undecided options than a later one; of equals the quicker comes first."""
    known = nothing_known()
    heard = _heard(known)
    settled = [fact for of_option in heard.values() for fact in settled_by(of_option, known)]
    found = measure_next(heard, known)
    counts = [settled.count(next_.fact) for next_ in found]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]
    minutes = {next_.fact: fact_specs()[next_.fact].minutes for next_ in found}
    equals = [
        (a.fact, b.fact)
        for a, b in itertools.pairwise(found)
        if settled.count(a.fact) == settled.count(b.fact) == 0 and len(a.settles) == len(b.settles)
    ]
    assert any(minutes[a] < minutes[b] for a, b in equals)
    assert all(minutes[a] <= minutes[b] for a, b in equals)


def test_a_fact_names_the_options_that_wait_for_it() -> None:
    """Free pieces and a way in that nobody measured: pulverising waits for the tape."""
    known = facts(**{**BROKEN, "machine_access_width": None})
    (first, *_) = measure_next(_heard(known), known)
    assert (first.fact, "pulverise-and-pave" in first.settles) == ("machine_access_width", True)


def test_where_all_is_known_nothing_is_measured() -> None:
    """No fact of the sound pad is unknown."""
    known = facts()
    assert measure_next(_heard(known), known) == ()
