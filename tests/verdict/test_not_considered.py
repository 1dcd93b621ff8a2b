"""Why a remedy is in no option: what rules it out, what nobody looked at, or that nothing calls for it."""

from __future__ import annotations

from typing import Any

import pytest

from courtwright.verdict.judge import _why_not

from .facts import INCH, facts, nothing_known

#: remedy, facts, the sentence's id.
CASES: list[tuple[str, dict[str, Any], str]] = [
    (
        "full-depth-patch",
        {"surface": "concrete", "tendons_disproved": None},
        "rules.cuts-slab.rule.tendons-not-disproved",
    ),
    # Disproved tendons no longer speak against it; what is left is that concrete is no asphalt.
    ("full-depth-patch", {"surface": "concrete", "tendons_disproved": True}, "rules.asphalt-only.rule.asphalt-only"),
    ("grind-heave", {"heave_height_max": None}, "verdict.not-looked-at"),
    ("grind-heave", {"heave_height_max": INCH / 8}, "remedies.grind-heave.not_considered"),
    # Called for, and waiting for the outlet; no run-off at all is another thing.
    ("swale", {"run_on": True, "outlet_within": None}, "verdict.not-looked-at"),
    ("swale", {"run_on": False, "outlet_within": None}, "remedies.swale.not_considered"),
]


@pytest.mark.parametrize(("remedy", "changes", "said"), CASES)
def test_what_is_said_of_a_remedy_in_no_option(remedy: str, changes: dict[str, Any], said: str) -> None:
    assert _why_not(remedy, facts(**changes)).id.removesuffix(".because") == said


def test_of_a_pad_nobody_walked_nothing_is_said_to_be_absent() -> None:
    for remedy in ("grind-heave", "root-barrier", "lower-side", "swale", "level-low-spots", "full-depth-patch"):
        assert _why_not(remedy, nothing_known()).id == "verdict.not-looked-at"
