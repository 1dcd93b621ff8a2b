"""Which remedies an option holds, and which options a pad is offered."""

from __future__ import annotations

from typing import Any

import pytest

from courtwright.verdict.compose import compose
from courtwright.verdict.rules import hear, state_of

from .facts import CRACKED, FOOT, INCH, facts, nothing_known

LOW_SPOT: dict[str, Any] = {**CRACKED, "low_spot_depth_max": 0.006, "ponding_share": 0.05}


@pytest.mark.parametrize(
    ("changes", "remedy", "joins"),
    [
        # core: unless known not to be called for
        ({}, "membrane-repair", True),
        ({"crack_length_bridgeable": None}, "membrane-repair", True),
        ({"crack_length_bridgeable": 0.0, "failed_patch_area": 2.0}, "membrane-repair", False),
        # others: when known to be
        ({"roots_lift_pad": True}, "root-barrier", True),
        ({"roots_lift_pad": None}, "root-barrier", False),
        ({"run_on": True, "outlet_within": 190 * FOOT}, "swale", True),
        ({"run_on": True, "outlet_within": None}, "swale", False),
        # any of several
        ({"knife_test_fails": True, "peeling_share": None}, "strip-coatings", True),
        ({"knife_test_fails": None}, "strip-coatings", False),
        # kept out only when known to be
        (LOW_SPOT, "level-low-spots", True),
        ({**LOW_SPOT, "ponding_share": 0.3}, "level-low-spots", False),
        ({**LOW_SPOT, "ponding_share": None}, "level-low-spots", True),
        ({**LOW_SPOT, "low_spot_depth_max": INCH}, "level-low-spots", False),
    ],
)
def test_what_joins_a_repair(changes: dict[str, Any], remedy: str, joins: bool) -> None:
    """A core remedy joins while it may be called for, another when it is; an exclusion has to be known."""
    assert (remedy in compose(facts(**{**CRACKED, **changes}))["repair"]) is joins


def test_an_option_is_left_out_only_when_nothing_it_is_for_can_be_there() -> None:
    """A sound pad is offered no repair; one of which nothing is known is."""
    assert "repair" not in compose(facts())
    assert "repair" in compose(facts(**CRACKED))
    assert "repair" in compose(nothing_known())


def test_the_work_of_an_option_keeps_its_order() -> None:
    """Water first, cracks before low spots, colour and lines last."""
    known = facts(**LOW_SPOT, low_edge_blocked=True, roots_lift_pad=True, sports=2)
    plan = compose(known)["repair"]
    assert plan == ("lower-side", "root-barrier", "membrane-repair", "level-low-spots", "resurface", "line-set")


def test_two_options_are_never_the_same_work() -> None:
    """Low spots and nothing else: what a repair would be is in the new colour already."""
    for changes in (
        {"low_spot_depth_max": 0.006},
        {"low_spot_depth_max": 0.03},
        {"hollow_share": 0.5, "old_repair_length": 9.0},
    ):
        plans = compose(facts(**changes))
        assert "repair" not in plans
        assert len(set(plans.values())) == len(plans)


def test_a_crack_wide_in_one_place_is_cut_out_there() -> None:
    """1/2 in by and large and 2 in at its widest: a patch joins, and the repair is not shut for it."""
    known = facts(**{**CRACKED, "crack_width_max": 0.0508})
    assert "full-depth-patch" in compose(known)["repair"]
    assert state_of(hear(compose(known)["repair"], known)) == "open"
