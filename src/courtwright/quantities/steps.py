"""The steps of an option's work: who, how many crew days, the cure after, and on which visit."""

from __future__ import annotations

import math
from dataclasses import replace

from courtwright.measured import Measured
from courtwright.quantities.coats import times
from courtwright.quantities.known import Known, measured
from courtwright.quantities.records import Quantity, Step
from courtwright.trade.load import scopes
from courtwright.trade.scope_records import StepSpec

#: A cure this long sends the crew home: what follows is another visit. [day]
_LONG_CURE = 10.0
#: Half of the range between a low and a high of the trade, in standard deviations (P10 to P90).
_HALF_RANGE = 1.2816


def crew_days(amount: Measured, spec: StepSpec) -> Measured:
    """Return the crew days of an amount at a production of low to high a day. [day]

    Parameters
    ----------
    amount : Measured
        How much is done. [unit]
    spec : StepSpec
        The production, and the least time. [unit/day, day]

    Returns
    -------
    Measured
        Crew days. [day]
    """
    production = Measured(spec.likely, (spec.high - spec.low) / 2 / _HALF_RANGE)
    days = amount / production
    return Measured(max(days.value, spec.least_days), days.sd)


def option_steps(known: Known, quantities: tuple[Quantity, ...], remedies: tuple[str, ...]) -> tuple[Step, ...]:
    """Return the steps of these remedies in their order; a step with nothing to do is left out."""
    found: list[tuple[int, Step]] = []
    for remedy in remedies:
        amounts = {q.item: q.amount for q in quantities if q.remedy == remedy}
        for spec in scopes()[remedy].steps:
            if amounts[spec.item].value > 0:
                found += [(spec.order, step) for step in _repeated(known, remedy, spec, amounts[spec.item])]
    return _on_visits([step for _, step in sorted(found, key=lambda pair: pair[0])])


def _repeated(known: Known, remedy: str, spec: StepSpec, amount: Measured) -> list[Step]:
    values = {name: measured(value) for name, value in scopes()[remedy].values.items()}
    count = times(spec.times, known, values) if spec.times else 1
    step = Step(spec.id, remedy, spec.crew, crew_days(amount, spec), spec.wait_days, 1, spec.by)
    return [step] * count


def _on_visits(steps: list[Step]) -> tuple[Step, ...]:
    visit, cured, placed = 1, False, list[Step]()
    for step in steps:
        visit += cured
        placed.append(replace(step, visit=visit))
        cured = step.wait_days >= _LONG_CURE
    return tuple(placed)


def elapsed_days(steps: tuple[Step, ...]) -> float:
    """Return the days from the first step's start to the last one's end, cures between them included. [day]

    The last step's cure is not counted. Weather and weekends are not looked at.

    Examples
    --------
    Two coats a quarter day each, 24 h apart, and a day of lines:

    >>> coat = Step("coat", "resurface", 3, Measured(0.25), 1.0, 1)
    >>> elapsed_days((coat, coat, Step("lines", "line-set", 2, Measured(1.0), 0.0, 1)))
    3.5
    """
    if not steps:
        return 0.0
    return math.fsum(step.days.value + step.wait_days for step in steps) - steps[-1].wait_days
