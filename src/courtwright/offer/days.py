"""On which days the steps of a job fall, without weather."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from courtwright.quantities.records import OptionWork, Step

_WEEKEND = (5, 6)
_DAY = dt.timedelta(days=1)
_SLIVER = 1e-9


@dataclass(frozen=True, slots=True)
class DatedStep:
    """A step of the work with its first and last day, and the whole days of the wait after it, if any."""

    step: Step
    first: dt.date
    last: dt.date
    wait: tuple[dt.date, dt.date] | None


def dated_steps(work: OptionWork, start: dt.date) -> tuple[DatedStep, ...]:
    """Return the steps of an option on weekdays from ``start`` on.

    Crew days add up in parts of days. A wait counts from the end of its step through weekends, and work
    goes on the first weekday after it: a wait of one day is the night between two working days. A new
    visit begins a new day.

    Parameters
    ----------
    work : OptionWork
        The steps in their order, each with its crew days and its wait. [day]
    start : date
        The first day; the next weekday where it is none.

    Examples
    --------
    A coat on a Friday, 24 h, and lines on the Monday:

    >>> from courtwright.measured import Measured
    >>> coat = Step("coat", "resurface", 3, Measured(0.4), 1.0, 1)
    >>> lines = Step("lines", "line-set", 2, Measured(1.0), 0.0, 1)
    >>> friday = dt.date(2026, 5, 8)
    >>> [(s.first.day, s.last.day) for s in dated_steps(OptionWork("a", "b", (), (), (coat, lines), 1), friday)]
    [(8, 8), (11, 11)]
    """
    found: list[DatedStep] = []
    day, used, visit = _weekday(start), 0.0, work.steps[0].visit if work.steps else 1
    for step in work.steps:
        if (used and step.visit != visit) or used >= 1 - _SLIVER:
            day, used = _weekday(day + _DAY), 0.0
        visit, first = step.visit, day
        day, used = _after(day, used + max(step.days.value, 0.0))
        wait = math.ceil(step.wait_days - _SLIVER)
        cure = (day + _DAY, day + (wait - 1) * _DAY) if wait > 1 else None
        found.append(DatedStep(step, first, day, cure))
        if wait > 0:
            day, used = _weekday(day + wait * _DAY), 0.0
    return tuple(found)


def _after(day: dt.date, ends: float) -> tuple[dt.date, float]:
    """Return the weekday on which work that takes ``ends`` days from the start of ``day`` ends, and how much of it."""
    whole = max(math.ceil(ends - _SLIVER) - 1, 0)
    for _ in range(whole):
        day = _weekday(day + _DAY)
    return day, ends - whole


def _weekday(day: dt.date) -> dt.date:
    while day.weekday() in _WEEKEND:
        day += _DAY
    return day


def half_days(work: OptionWork) -> float:
    """Return the crew days of an option to the half day, and no less than one half: nobody knows them closer. [day]

    Examples
    --------
    >>> from courtwright.measured import Measured
    >>> coat = Step("coat", "resurface", 3, Measured(3.9), 1.0, 1)
    >>> half_days(OptionWork("a", "b", (), (), (coat,), 1)), half_days(OptionWork("a", "b", (), (), (), 0))
    (4.0, 0.0)
    """
    days = work.crew_days
    return max(math.floor(2 * days + 0.5) / 2, 0.5) if days > 0 else 0.0


def in_sequence(works: Iterator[OptionWork], start: dt.date) -> Iterator[tuple[OptionWork, tuple[DatedStep, ...]]]:
    """Yield the dated steps of several options that one crew does one after the other."""
    for work in works:
        steps = dated_steps(work, start)
        yield work, steps
        if steps:
            start = steps[-1].last + _DAY
