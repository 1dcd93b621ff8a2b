"""What there is to mend on a pad, and what an option leaves."""

from __future__ import annotations

from collections.abc import Iterable

from courtwright.trade.judgement import DefectSpec, defects, remedies
from courtwright.verdict.logic import Facts, any_holds, hold


def shown(facts: Facts) -> dict[str, DefectSpec]:
    """Return the defects that the facts are known to show."""
    return {name: spec for name, spec in defects().items() if _shows(spec, facts) is True}


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
