"""What there is to mend on a pad, and what an option leaves."""

from __future__ import annotations

from collections.abc import Iterable

from courtwright.measured import Span
from courtwright.trade.judgement import Condition, DefectSpec, defects, remedies
from courtwright.verdict.logic import Facts, any_holds, hold, holds, value_of


def shown(facts: Facts) -> dict[str, DefectSpec]:
    """Return the defects that the facts are known to show."""
    return {name: spec for name, spec in defects().items() if _shows(spec, facts) is True}


def doubtful(facts: Facts) -> dict[str, tuple[Condition, ...]]:
    """Return the defects to mend that were found but not fully measured, each with the conditions left open."""
    found: dict[str, tuple[Condition, ...]] = {}
    for name, spec in defects().items():
        if spec.must and _shows(spec, facts) is None:
            part = [one for one in (_partly(alternative.when, facts) for alternative in spec.shown) if one]
            if part:
                found[name] = part[0]
    return found


def _partly(conditions: tuple[Condition, ...], facts: Facts) -> tuple[Condition, ...]:
    """Return the open conditions when all of them are of numbers known in part; none otherwise."""
    left_open = tuple(condition for condition in conditions if holds(condition, facts) is None)
    known = all(isinstance(value_of(condition.fact, facts), Span) for condition in left_open)
    return left_open if known and hold(conditions, facts) is None else ()


def _shows(spec: DefectSpec, facts: Facts) -> bool | None:
    return any_holds(hold(alternative.when, facts) for alternative in spec.shown)


def mended(plan: Iterable[str]) -> frozenset[str]:
    """Return the defects that a plan of remedies mends."""
    specs = remedies()
    return frozenset(defect for remedy in plan for defect in specs[remedy].mends)


def left(plan: Iterable[str], facts: Facts) -> tuple[str, ...]:
    """Return the shown defects that a plan leaves unmended, in the trade's order."""
    gone = mended(plan)
    return tuple(name for name in shown(facts) if name not in gone)
