"""Which option is advised, and that the reasons are the right ones."""

from __future__ import annotations

import math
from typing import Any

import pytest

from courtwright.measured import Span
from courtwright.says import say
from courtwright.verdict.advise import advise
from courtwright.verdict.compose import compose
from courtwright.verdict.flips import opens_if
from courtwright.verdict.logic import Facts
from courtwright.verdict.records import Option
from courtwright.verdict.rules import hear, reasons, settled_by, state_of

from .facts import BROKEN, CRACKED, FOOT, INCH, facts, nothing_known


def offered(known: Facts) -> tuple[Option, ...]:
    found = []
    for name, plan in compose(known).items():
        heard = hear(plan, known)
        state = state_of(heard)
        found.append(
            Option(name, say(name), plan, state, reasons(heard, state), opens_if(name, known), settled_by(heard, known))
        )
    return tuple(found)


INF = math.inf
MANY_CRACKS: dict[str, Any] = {
    **CRACKED,
    "crack_length": 190.0,
    "crack_length_bridgeable": 190.0,
    "crack_length_per_court": 190.0,
}
SMALL_ROOT_HEAVE: dict[str, Any] = {
    "heave_height_max": 0.5 * INCH,
    "root_heave_height": 0.5 * INCH,
    "roots_lift_pad": True,
    "asphalt_left_after_grinding": 3.5 * INCH,
}

CASES: list[tuple[str, dict[str, Any], str | None]] = [
    ("nothing wrong, young colour", {}, "hold"),
    ("nothing wrong, old colour", {"coating_age": 9}, "resurface"),
    ("cracks that do not join", CRACKED, "repair"),
    (
        "more cracks than repair is worth",
        MANY_CRACKS,
        "overlay",
    ),
    ("free pieces", BROKEN, "pulverise-and-pave"),
    ("free pieces, narrow way in", {**BROKEN, "machine_access_width": 9 * FOOT}, "full-depth-replacement"),
    ("free pieces, way in not measured", {**BROKEN, "machine_access_width": None}, None),
    (
        "small root heave",
        {
            "heave_height_max": 0.5 * INCH,
            "root_heave_height": 0.5 * INCH,
            "roots_lift_pad": True,
            "asphalt_left_after_grinding": 3.5 * INCH,
        },
        "repair",
    ),
    ("uncoated and cracked", {**CRACKED, "coated": False}, "seal"),
    ("wrong plane", {"plane_is_wrong": True}, "overlay"),
    ("hollow old repairs", {"hollow_share": 0.6, "old_repair_length": 30.0}, "resurface"),
    # Resurfacing reaches less far and mends the old repairs, but leaves the cracks.
    ("hollow old repairs and cracks", {**CRACKED, "hollow_share": 0.6, "old_repair_length": 30.0}, "repair"),
]


CASES += [
    (
        "hairline with a step that trips",
        {"crack_length": 9.0, "crack_length_fine": 9.0, "crack_step_max": INCH},
        "repair",
    ),
    # Nothing cures: rule 10 of the trade then says to hold.
    ("free pieces, no machine gets in", {**BROKEN, "machine_access_width": 7 * FOOT}, "hold"),
    ("free pieces in a post-tensioned slab", {**BROKEN, "surface": "post-tensioned"}, "hold"),
    # Its tendons may yet be disproved, and then it can be dug out.
    ("free pieces in concrete", {**BROKEN, "surface": "concrete", "tendons_disproved": None}, None),
    # Worth less than new asphalt, which cannot be had.
    (
        "too many cracks and no base to pave on",
        {**MANY_CRACKS, "base_thickness": 2 * INCH, "water_from_below": True, "machine_access_width": 7 * FOOT},
        "repair",
    ),
    # Found, not measured, and the advice hangs on it.
    (
        "root heave of any height",
        {"heave_height_max": Span(0.0, INF), "root_heave_height": Span(0.0, INF), "roots_lift_pad": True},
        None,
    ),
    (
        "cracks of any width",
        {"crack_length": 40.0, "crack_length_fine": Span(0, 40.0), "crack_length_bridgeable": Span(0, 40.0)},
        None,
    ),
    # A wide one among them would be patched within the same option.
    ("cracks to bridge, perhaps a wide one", {**CRACKED, "crack_length_wide": Span(0, 2.0)}, "repair"),
    ("low spots of any depth", {"low_spot_depth_max": Span(0.002, INF)}, "resurface"),
]


@pytest.mark.parametrize(("case", "changes", "expected"), CASES, ids=[row[0] for row in CASES])
def test_advice(case: str, changes: dict[str, Any], expected: str | None) -> None:
    """The least work that mends what must be mended; nothing where a cheaper cure waits for a measurement."""
    known = facts(**changes)
    chosen, why = advise(known, offered(known))
    assert chosen == expected, case
    assert why


def test_nothing_is_advised_of_a_pad_nobody_walked() -> None:
    known = nothing_known()
    chosen, why = advise(known, offered(known))
    assert chosen is None
    assert why[0].id == "verdict.not-walked"


def test_the_advice_says_why_not_the_others() -> None:
    """Every other option but retirement gets its sentence."""
    known = facts(**BROKEN)
    options = offered(known)
    _, why = advise(known, options)
    assert len(why) == 1 + len(options) - 2


def _why_not(changes: dict[str, Any]) -> dict[str, str]:
    """Return what is said of each option that is not advised."""
    known = facts(**changes)
    _, why = advise(known, offered(known))
    return {says.values["option"].id: says.id.removeprefix("verdict.not-") for says in why[1:]}


@pytest.mark.parametrize(
    ("changes", "option", "said"),
    [
        (BROKEN, "overlay", "ruled-out"),
        (BROKEN, "hold", "leaves"),
        (CRACKED, "resurface", "leaves"),
        (CRACKED, "mill-and-overlay", "further"),
        (CRACKED, "pulverise-and-pave", "further"),
        ({**CRACKED, "machine_access_width": None}, "pulverise-and-pave", "undecided"),
        (MANY_CRACKS, "repair", "uneconomic"),
    ],
)
def test_each_other_option_gets_its_own_reason(changes: dict[str, Any], option: str, said: str) -> None:
    """What is ruled out, what leaves something that must be mended, is not worth it, waits, or reaches further."""
    assert _why_not(changes)[option] == said
