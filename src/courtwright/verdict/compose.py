"""Composes complete options from remedies: what goes with what, in the order of the work."""

from __future__ import annotations

from courtwright.trade.judgement import Companion, OptionSpec, options
from courtwright.verdict.logic import Facts, any_holds, hold, holds


def compose(facts: Facts) -> dict[str, tuple[str, ...]]:
    """Return the plan of every option that the pad could be offered, lowest reach first.

    An option is left out when nothing it is for is on the pad, or when another of less reach is the same work; its
    id never depends on what goes with it.
    """
    plans: dict[str, tuple[str, ...]] = {}
    for name, spec in options().items():
        plan = plan_of(spec, facts)
        if _is_for_this_pad(spec, facts) and plan not in plans.values():
            plans[name] = plan
    return plans


def _is_for_this_pad(spec: OptionSpec, facts: Facts) -> bool:
    if not spec.only_when:
        return True
    return any_holds(hold(alternative.when, facts) for alternative in spec.only_when) is not False


def plan_of(spec: OptionSpec, facts: Facts) -> tuple[str, ...]:
    """Return the remedies of an option for a pad, in order."""
    return tuple(c.remedy for c in spec.plan if _joins(c, facts, is_core=c.remedy in spec.core))


def _joins(companion: Companion, facts: Facts, *, is_core: bool) -> bool:
    """Tell whether a remedy joins: a core one unless known not to be called for, another only when known to be."""
    if any(holds(condition, facts) is True for condition in companion.unless):
        return False
    called = hold(companion.when, facts)
    if companion.any:
        called = any_holds(hold(alternative.when, facts) for alternative in companion.any)
    return called is not False if is_core else called is True
