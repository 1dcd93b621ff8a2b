"""What would open an option: the sets found do, and no smaller one does."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from courtwright.trade.judgement import options
from courtwright.verdict.compose import compose, plan_of
from courtwright.verdict.facts import overruled
from courtwright.verdict.flips import opens_if
from courtwright.verdict.logic import Facts
from courtwright.verdict.needs import meet
from courtwright.verdict.records import Flip
from courtwright.verdict.rules import hear, settled_by, state_of

from .facts import BROKEN, CRACKED, INCH, facts, nothing_known


def state_with(option: str, known: Facts, flips: tuple[Flip, ...]) -> str:
    changed = overruled(known, {flip.fact: meet(flip.needs) for flip in flips})
    return state_of(hear(plan_of(options()[option], changed), changed))


PADS: list[dict[str, Any]] = [
    BROKEN,
    {
        **BROKEN,
        "roots_lift_pad": True,
        "root_heave_height": 3 * INCH,
        "heave_height_max": 3 * INCH,
        "base_thickness": 3 * INCH,
    },
    {**CRACKED, "surface": "concrete", "tendons_disproved": None},
    {**CRACKED, "surface": None, "machine_access_width": None, "base_wet": None},
    {"low_edge_blocked": True, "low_edge_walled": True, "outlet_within": None},
    {"knife_test_fails": True, "asphalt_thickness": None},
]


def check_flips(known: Facts) -> int:
    """Every set opens its option; no set less one fact does. Returns how many sets were tried."""
    tried = 0
    for option in compose(known):
        for flips in opens_if(option, known):
            tried += 1
            assert state_with(option, known, ()) != "open"
            assert state_with(option, known, flips) == "open", (option, flips)
            for left_out in flips:
                fewer = tuple(flip for flip in flips if flip != left_out)
                assert state_with(option, known, fewer) != "open", (option, flips, left_out)
    return tried


@pytest.mark.parametrize("changes", PADS)
def test_each_set_opens_its_option_and_less_does_not(changes: dict[str, Any]) -> None:
    assert check_flips(facts(**changes)) > 0


def test_a_pad_of_which_nothing_is_known_names_what_would_open_each_option() -> None:
    """Everything undecided has something that settles it, and a set that opens it."""
    known = nothing_known()
    assert check_flips(known) > 0
    for option, plan in compose(known).items():
        heard = hear(plan, known)
        if state_of(heard) == "open if":
            assert settled_by(heard, known)
            assert opens_if(option, known)


def test_a_post_tensioned_slab_is_not_talked_open_by_disproving_tendons() -> None:
    """For a slab known to be post-tensioned only another material opens cutting."""
    for flips in opens_if("full-depth-replacement", facts(surface="post-tensioned")):
        assert "surface" in {flip.fact for flip in flips}


def test_two_limits_of_one_fact_are_met_by_the_narrower() -> None:
    """A mat wants no free piece at all, paving under a tenth: of a fifth, none is what opens the mat."""
    sets = [
        {flip.fact: flip.needs for flip in flips} for flips in opens_if("mat", facts(**CRACKED, free_piece_share=0.2))
    ]
    assert {"free_piece_share": "<= 0"} in sets


CLAIMS = st.sampled_from(
    ["pieces_rock", "roots_lift_pad", "low_edge_blocked", "low_edge_walled", "base_wet", "knife_test_fails"]
)


@settings(max_examples=40, deadline=None)
@given(
    st.dictionaries(CLAIMS, st.sampled_from([True, False, None])),
    st.floats(0, 0.4),
    st.floats(0, 0.1),
    st.sampled_from(["asphalt", "concrete", "post-tensioned", None]),
)
def test_flips_hold_on_any_pad(claims: dict[str, Any], share: float, heave: float, surface: str | None) -> None:
    """Whatever the facts, the sets open their options and are minimal."""
    check_flips(
        facts(**{**CRACKED, "free_piece_share": share, "root_heave_height": heave, "surface": surface, **claims})
    )
