"""Each remedy: a case that opens it and one that rules it out, with the reason."""

from __future__ import annotations

from typing import Any

import pytest

from courtwright.trade.judgement import remedies
from courtwright.verdict.rules import hear, reasons, state_of

from .facts import BROKEN, CRACKED, FOOT, INCH, facts

CONCRETE: dict[str, Any] = {"surface": "concrete", "tendons_disproved": None}

#: remedy, facts that rule it out, the rule that does, remedies beside it.
SHUT: list[tuple[str, dict[str, Any], str]] = [
    ("rout-and-seal", {}, "rout-and-seal/coated"),
    ("membrane-repair", {**CRACKED, "free_piece_share": 0.11}, "membrane-repair/free-pieces"),
    ("membrane-repair", {**CRACKED, "pieces_rock": True}, "membrane-repair/rocking-pieces"),
    ("membrane-repair", {**CRACKED, "crack_width_max": 1.6 * INCH}, "membrane-repair/too-wide"),
    ("membrane-repair", {**CRACKED, "crack_step_max": 0.6 * INCH}, "membrane-repair/stepped"),
    ("membrane-repair", {**CRACKED, "edge_crack_length": 3.0}, "membrane-repair/along-edge"),
    ("full-depth-patch", {"surface": "post-tensioned"}, "full-depth-patch/post-tensioned"),
    ("rout-and-seal", {"surface": "post-tensioned", "coated": False}, "rout-and-seal/post-tensioned"),
    ("rout-and-seal", {"coated": False, **CONCRETE}, "rout-and-seal/tendons-not-disproved"),
    ("trench-drain", {"surface": "post-tensioned"}, "trench-drain/post-tensioned"),
    ("trench-drain", CONCRETE, "trench-drain/tendons-not-disproved"),
    ("overlay", {"base_silt_or_clay": True}, "overlay/silt-or-clay"),
    ("mill-and-overlay", {"base_silt_or_clay": True}, "mill-and-overlay/silt-or-clay"),
    ("pulverise-and-pave", {"base_silt_or_clay": True}, "pulverise-and-pave/silt-or-clay"),
    ("grind-heave", {"heave_height_max": 0.02, "asphalt_left_after_grinding": INCH}, "grind-heave/too-thin"),
    ("lower-side", {"low_edge_blocked": True, "low_edge_walled": True}, "lower-side/walled"),
    ("swale", {"run_on": True, "outlet_within": 100.0}, "swale/outlet"),
    ("resurface", {"peeling_share": 0.2}, "resurface/peeling"),
    ("resurface", {"knife_test_fails": True}, "resurface/knife-test"),
    ("resurface", {"coats": 25}, "resurface/many-coats"),
    ("resurface", {"hollow_share": 0.3, "old_repair_length": 20.0}, "resurface/hollow-beneath"),
    ("resurface", {"low_edge_blocked": True}, "resurface/water-held"),
    ("level-low-spots", {"low_spot_depth_max": INCH}, "level-low-spots/too-deep"),
    ("level-low-spots", {"ponding_share": 0.25}, "level-low-spots/too-much"),
    ("level-low-spots", {"plane_slope_min": 0.004}, "level-low-spots/no-fall"),
    ("level-low-spots", {"plane_is_wrong": True}, "level-low-spots/wrong-plane"),
    ("mat-system", {"free_piece_share": 0.01}, "mat-system/no-free-piece"),
    ("mat-system", {"water_from_below": True}, "mat-system/water-below"),
    ("overlay", BROKEN, "overlay/free-pieces"),
    ("overlay", {"pieces_rock": True}, "overlay/rocking-pieces"),
    ("overlay", {"root_heave_height": 1.1 * INCH, "roots_lift_pad": True}, "overlay/root-heave"),
    ("overlay", {"root_heave_height": 0.5 * INCH, "roots_lift_pad": True}, "overlay/roots-first"),
    ("overlay", {"base_wet": True}, "overlay/wet-base"),
    ("overlay", {"base_thickness": 3 * INCH}, "overlay/thin-base"),
    ("overlay", {"surface": "concrete"}, "overlay/asphalt-only"),
    ("mill-and-overlay", {"asphalt_thickness": 2.5 * INCH}, "mill-and-overlay/too-thin"),
    ("pulverise-and-pave", {"machine_access_width": 9 * FOOT}, "pulverise-and-pave/way-in"),
    ("pulverise-and-pave", {"shallow_services": True}, "pulverise-and-pave/services"),
    ("pulverise-and-pave", {"base_wet": True}, "pulverise-and-pave/wet-base"),
    (
        "pulverise-and-pave",
        {"surface": "concrete", "tendons_disproved": None},
        "pulverise-and-pave/tendons-not-disproved",
    ),
    ("full-depth-replacement", {"machine_access_width": 2.0}, "full-depth-replacement/way-in"),
    (
        "full-depth-replacement",
        {"surface": "concrete", "tendons_disproved": False},
        "full-depth-replacement/tendons-not-disproved",
    ),
    ("concrete-over", {"heave_height_max": INCH}, "concrete-over/any-heave"),
    ("concrete-over", {"edges_can_rise": False}, "concrete-over/height"),
]


@pytest.mark.parametrize(("remedy", "changes", "rule"), SHUT, ids=[f"{row[2]}" for row in SHUT])
def test_a_rule_shuts_a_remedy_and_says_why(remedy: str, changes: dict[str, Any], rule: str) -> None:
    """The remedy is ruled out, and the first reason is the rule that does it."""
    heard = hear((remedy,), facts(**changes))
    assert state_of(heard) == "ruled out"
    assert rule in [because.rule for because in reasons(heard, "ruled out") if because.effect == "rules out"]


OPEN_ON_A_SOUND_PAD = sorted(set(remedies()) - {"rout-and-seal"})


@pytest.mark.parametrize("remedy", OPEN_ON_A_SOUND_PAD)
def test_on_a_sound_known_pad_a_remedy_is_open(remedy: str) -> None:
    """Nothing speaks against it, and that is said."""
    heard = hear((remedy,), facts())
    assert state_of(heard) == "open"
    assert reasons(heard, "open")


def test_rout_and_seal_is_open_on_an_uncoated_pad() -> None:
    assert state_of(hear(("rout-and-seal",), facts(coated=False))) == "open"


LIFTED = [
    ("membrane-repair", "full-depth-patch", {**CRACKED, "crack_width_max": 2 * INCH}),
    ("resurface", "strip-coatings", {"peeling_share": 0.3}),
    ("resurface", "replace-membrane", {"hollow_share": 0.5, "old_repair_length": 9.0}),
    ("resurface", "lower-side", {"low_edge_blocked": True}),
    ("overlay", "root-barrier", {"root_heave_height": 0.5 * INCH, "roots_lift_pad": True}),
    ("pulverise-and-pave", "underdrain", {"base_wet": True}),
]


@pytest.mark.parametrize(("remedy", "companion", "changes"), LIFTED)
def test_a_companion_lifts_a_rule(remedy: str, companion: str, changes: dict[str, Any]) -> None:
    """With the remedy that sees to it in the plan, the rule no longer speaks."""
    known = facts(**changes)
    assert state_of(hear((remedy,), known)) == "ruled out"
    assert state_of(hear((companion, remedy), known)) == "open"


@pytest.mark.parametrize("remedy", ["overlay", "mill-and-overlay", "mat-system"])
@pytest.mark.parametrize(
    "changes",
    [{"free_piece_share": 0.12}, {"pieces_rock": True}, {"root_heave_height": 1.2 * INCH, "roots_lift_pad": True}],
)
def test_a_base_that_moved_is_rebuilt_whatever_goes_along(remedy: str, changes: dict[str, Any]) -> None:
    """No companion opens paving or a mat over a base that has moved."""
    everything = tuple(sorted(set(remedies()) - {"rout-and-seal"}))
    assert remedy in everything
    heard = [h for h in hear(everything, facts(**changes)) if h.remedy == remedy]
    assert state_of(heard) == "ruled out"


CUTTERS = ["full-depth-patch", "grind-heave", "mill-and-overlay", "pulverise-and-pave", "full-depth-replacement"]


@pytest.mark.parametrize("remedy", CUTTERS)
def test_a_slab_that_may_hold_tendons_is_never_cut(remedy: str) -> None:
    """Ruled out on post-tensioned and undisproved concrete; undecided while nobody knows what the slab is."""
    assert state_of(hear((remedy,), facts(surface="post-tensioned"))) == "ruled out"
    assert state_of(hear((remedy,), facts(surface="concrete", tendons_disproved=None))) == "ruled out"
    assert state_of(hear((remedy,), facts(surface=None))) == "open if"


def test_every_rule_says_why_in_both_languages() -> None:
    """No rule without words and a listed source."""
    from courtwright.trade.load import check_source

    for name, spec in remedies().items():
        for rule in spec.rule:
            assert rule.because.en, name
            assert rule.because.es, name
            check_source(rule.source, name)


def test_one_rule_that_speaks_shuts_whatever_is_unknown_beside_it() -> None:
    """Rocking pieces rule milling out although nobody knows how thick the asphalt is."""
    heard = hear(("mill-and-overlay",), facts(pieces_rock=True, asphalt_thickness=None))
    assert state_of(heard) == "ruled out"
    found = {because.rule: because.effect for because in reasons(heard, "ruled out")}
    assert found["mill-and-overlay/rocking-pieces"] == "rules out"
    assert found["mill-and-overlay/too-thin"] == "unknown"


def test_an_open_remedy_always_has_something_that_speaks_for_it() -> None:
    """With a note alone it is said that nothing speaks against it; with a rule for it, that rule is enough."""
    noted = reasons(hear(("mill-and-overlay",), facts(crack_length=5.0)), "open")
    assert [(b.rule, b.effect) for b in noted] == [
        ("nothing-against", "for"),
        ("mill-and-overlay/cracks-return", "note"),
    ]
    spoken = reasons(hear(("membrane-repair",), facts(**CRACKED)), "open")
    assert [b.rule for b in spoken if b.effect == "for"] == ["membrane-repair/bridges"]


def test_what_rules_out_is_told_before_what_nobody_knows() -> None:
    """Concrete over a post-tensioned pad: new posts are drilled; that is told first, the base nobody saw after it."""
    heard = hear(("concrete-over", "replace-posts"), facts(surface="post-tensioned", base_wet=None))
    first, second = reasons(heard, state_of(heard))[:2]
    assert (first.rule, first.effect) == ("replace-posts/post-tensioned", "rules out")
    assert (second.rule, second.effect) == ("concrete-over/wet-base", "unknown")


def test_holding_on_closes_what_trips() -> None:
    """A step of over 1/2 in, an open crack or a rocking piece: the part is closed; a step of 1/2 in is not."""
    for changes in ({"crack_step_max": 0.6 * INCH}, {"crack_length_wide": 2.0}, {"pieces_rock": True}):
        said = [b.rule for b in reasons(hear(("cosmetic-fill",), facts(**{**CRACKED, **changes})), "open")]
        assert any("/close-" in rule for rule in said), changes
    level = reasons(hear(("cosmetic-fill",), facts(**{**CRACKED, "crack_step_max": 0.5 * INCH})), "open")
    assert not any("/close-" in b.rule for b in level)
