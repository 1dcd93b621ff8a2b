"""Days of work with the cures between them."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Sequence

from courtwright.offer.days import DatedStep, half_days, in_sequence
from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section
from courtwright.quantities.records import Step


def days(paper: Paper) -> Section | None:
    """Return the steps of the advised option of every pad (the first, where none is advised)."""
    shown = [(pad, pad.advised or pad.offered[0]) for pad in paper.pads if pad.offered]
    shown = [(pad, offered) for pad, offered in shown if offered.work.steps]
    if not shown:
        return None
    start = paper.request.start
    dated: dict[str, tuple[DatedStep, ...]] = {}
    if start is not None:
        dated = {work.pad: steps for work, steps in in_sequence((o.work for _, o in shown), start)}
    return Section(
        "days",
        {
            "heading": paper.say("days-heading"),
            "intro": paper.say("days-intro"),
            "starting": "" if start is None else paper.say("days-starting", date=paper.date(start)),
            "pads": [_pad(paper, pad, offered, dated.get(pad.pad.id, ())) for pad, offered in shown],
        },
    )


def _pad(paper: Paper, pad: PadOffer, offered: Offered, dated: tuple[DatedStep, ...]) -> dict[str, object]:
    head = ["column-step", "column-people", "column-days", "column-wait", *(["column-dates"] if dated else [])]
    option = paper.say("option-heading", letter=offered.letter, title=paper.title(offered))
    return {
        "heading": "" if paper.is_small else f"{paper.say('pad-heading', pad=pad.pad.id)}, {option}",
        "head": [paper.say(name) for name in head],
        "rows": _rows(paper, offered, dated),
        "total": _total(paper, offered),
    }


def _rows(paper: Paper, offered: Offered, dated: tuple[DatedStep, ...]) -> list[list[str]]:
    rows: list[list[str]] = []
    visit = None
    done = 0
    for alike in _repeated(offered.work.steps):
        step, times = alike[0], len(alike)
        name = paper.step(step.id)
        if times > 1:
            name = paper.say("step-times", step=name, times=times)
        if visit is not None and step.visit != visit:
            name = paper.say("new-visit", step=name)
        visit = step.visit
        days = sum(one.days.value for one in alike)
        row = [name, str(step.crew), paper.say("crew-days", days=round(days, 1)), _wait(paper, step, times)]
        if dated:
            row.append(_dates(paper, dated[done].first, dated[done + times - 1].last))
        done += times
        rows.append(row)
    return rows


def _repeated(steps: Sequence[Step]) -> list[list[Step]]:
    """Return the steps in their order, those together that are the same work done several times."""
    return [list(alike) for _, alike in itertools.groupby(steps, lambda s: (s.id, s.remedy, s.visit, s.wait_days))]


def _wait(paper: Paper, step: Step, times: int) -> str:
    if step.wait_days <= 0:
        return paper.say("wait-none")
    return paper.say("lasts-days" if times == 1 else "wait-each", days=step.wait_days)


def _dates(paper: Paper, first: dt.date, last: dt.date) -> str:
    """Return the days of a row; with the year only where it is not that of the start."""
    if first == last:
        return _day(paper, first)
    if first.month == last.month and _is_of_first_year(paper, last):
        return paper.say("dates-of-month", month=paper.month(first), first=first.day, last=last.day)
    return paper.say("dates", first=_day(paper, first), last=_day(paper, last))


def _day(paper: Paper, day: dt.date) -> str:
    if not _is_of_first_year(paper, day):
        return paper.date(day)
    return paper.say("day", month=paper.month(day), day=day.day)


def _is_of_first_year(paper: Paper, day: dt.date) -> bool:
    return paper.request.start is not None and day.year == paper.request.start.year


def _total(paper: Paper, offered: Offered) -> str:
    working, waiting = half_days(offered.work), sum(step.wait_days for step in offered.work.steps)
    weeks = math.ceil(working / 5 + waiting / 7)
    if weeks < 2:
        return paper.say("days-total-short", days=working)
    return paper.say("days-total", days=working, weeks=weeks)
