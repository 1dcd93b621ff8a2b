"""Which option is advised, and that the reasons are the right ones."""

from __future__ import annotations

from typing import Any

import pytest

from courtwright.says import say
from courtwright.verdict.advise import advise
from courtwright.verdict.compose import compose
from courtwright.verdict.logic import Facts
from courtwright.verdict.records import Option
from courtwright.verdict.rules import hear, reasons, settled_by, state_of

from .facts import BROKEN, CRACKED, FOOT, INCH, facts, nothing_known


def offered(known: Facts) -> tuple[Option, ...]:
    found = []
    for name, plan in compose(known).items():
        heard = hear(plan, known)
        state = state_of(heard)
        found.append(Option(name, say(name), plan, state, reasons(heard, state), (), settled_by(heard, known)))
    return tuple(found)


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
