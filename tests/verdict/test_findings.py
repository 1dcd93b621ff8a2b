"""What the record supports, in plain statements."""

from __future__ import annotations

import math

import pytest

from courtwright.measured import Span
from courtwright.trade.judgement import findings
from courtwright.trade.words import render
from courtwright.verdict.findings import find
from courtwright.verdict.logic import assertion
from courtwright.verdict.needs import meet

from .facts import INCH, facts


def test_a_finding_prints_what_was_measured() -> None:
    (found,) = find(facts(crack_length=30.0, crack_length_fine=30.0, crack_width_max=INCH / 8))
    assert found.says.id == "findings.cracks.says"


@pytest.mark.parametrize(
    ("changes", "finding"),
    [
        ({"crack_length": 30.0, "crack_width_max": None}, "cracks"),
        ({"roots_lift_pad": True, "root_heave_height": Span(0.0, math.inf)}, "root-heave"),
        ({"low_spot_depth_max": Span(0.002, math.inf), "ponding_share": None}, "low-spots"),
        ({"hollow_share": 0.5, "old_repair_length": Span(1.0, math.inf)}, "hollow"),
    ],
)
def test_a_finding_without_its_measure_says_so(changes: dict[str, object], finding: str) -> None:
    """No number is made up for what nobody measured."""
    said = {found.id: found.says.id for found in find(facts(**changes))}
    assert said[finding] == f"findings.{finding}.says_less"


@pytest.mark.parametrize("name", findings())
def test_every_finding_can_be_said_of_an_answer_that_only_sets_a_limit(name: str) -> None:
    """An answer such as "> 1 in" is enough to find, and is told without an end that nobody gave."""
    spec = findings()[name]
    told = {condition.fact: meet(assertion(condition)) for condition in spec.when}
    found = {one.id: one for one in find(facts(**dict.fromkeys(spec.facts) | told))}
    for language in ("en", "es"):
        assert "inf" not in render(found[name].says, language).split()
