"""On which days the steps of a job fall, without weather."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from courtwright.quantities.records import OptionWork, Step

_WEEKEND = (5, 6)


@dataclass(frozen=True, slots=True)
class DatedStep:
    """A step of the work with its first and last day, and the last day of the wait after it, if any."""

    step: Step
    first: dt.date
    last: dt.date
    wait_until: dt.date | None


def dated_steps(work: OptionWork, start: dt.date) -> tuple[DatedStep, ...]:
    """Return the steps of an option on weekdays from ``start`` on.

    Crew days add up in parts of days; a wait runs through weekends, and work goes on the first weekday
    after it; a new visit begins a new day.
    """
    found: list[DatedStep] = []
    day, used, visit = _weekday(start), 0.0, None
    for step in work.steps:
        if used and visit is not None and step.visit != visit:
            day, used = _weekday(day + dt.timedelta(days=1)), 0.0
        visit = step.visit
        if used >= 1 - 1e-9:
            day, used = _weekday(day + dt.timedelta(days=1)), 0.0
        first = day
        ends = used + max(step.days.value, 0.0)
        day, used = _after(day, ends)
        wait = math.ceil(step.wait_days - 1e-9)
        found.append(DatedStep(step, first, day, day + dt.timedelta(days=wait) if wait > 0 else None))
        if wait > 0:
            day, used = _weekday(day + dt.timedelta(days=wait + 1)), 0.0
    return tuple(found)


def _after(day: dt.date, ends: float) -> tuple[dt.date, float]:
    """Return the weekday on which work that takes ``ends`` days from the start of ``day`` ends, and how much of it."""
    whole = max(math.ceil(ends - 1e-9) - 1, 0)
    for _ in range(whole):
        day = _weekday(day + dt.timedelta(days=1))
    return day, ends - whole


def _weekday(day: dt.date) -> dt.date:
    while day.weekday() in _WEEKEND:
        day += dt.timedelta(days=1)
    return day


def crew_days(work: OptionWork) -> float:
    """Return the crew days of an option. [day]"""
    return sum(step.days.value for step in work.steps)


def in_sequence(works: Iterator[OptionWork], start: dt.date) -> Iterator[tuple[OptionWork, tuple[DatedStep, ...]]]:
    """Yield the dated steps of several options that one crew does one after the other."""
    for work in works:
        steps = dated_steps(work, start)
        yield work, steps
        if steps:
            start = steps[-1].last + dt.timedelta(days=1)
