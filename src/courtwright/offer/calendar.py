"""The days of work as a calendar file, when a start is agreed."""

from __future__ import annotations

import datetime as dt
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from courtwright.offer.days import DatedStep, in_sequence
from courtwright.offer.paper import Paper

_DAY = dt.timedelta(days=1)


def schedule_ics(paper: Paper, start: dt.date) -> bytes:
    """Return all-day events for the steps of the advised options, one pad after the other, with their waits.

    Parameters
    ----------
    paper : Paper
        What is offered.
    start : date
        The first day of work.

    Returns
    -------
    bytes
        The file; an event keeps its identity when the offer is written again.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//courtwright//offer//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add(
        "x-wr-calname", paper.say("calendar-name", job=paper.request.site.job.name or paper.say("job-unnamed"))
    )
    advised = [pad.advised.work for pad in paper.pads if pad.advised is not None]
    for work, steps in in_sequence(iter(advised), start):
        for number, step in enumerate(steps):
            identity = f"{paper.request.site.job.name}/{work.pad}/{work.option}/{number}/{step.step.id}"
            for event in _events(paper, work.pad, identity, step):
                calendar.add_component(event)
    return calendar.to_ical()


def _events(paper: Paper, pad: str, identity: str, step: DatedStep) -> list[Event]:
    name = paper.step(step.step.id)
    events = [
        _event(paper, f"{identity}/work", paper.say("event-work", pad=pad, step=name), step.first, step.last, "OPAQUE")
    ]
    if step.wait is not None:
        says = paper.say("event-wait", pad=pad, step=name)
        events.append(_event(paper, f"{identity}/wait", says, *step.wait, "TRANSPARENT"))
    return events


def _event(paper: Paper, identity: str, says: str, first: dt.date, last: dt.date, transparency: str) -> Event:
    event, day = Event(), paper.request.issued_on
    event.add("uid", f"{uuid5(NAMESPACE_URL, identity)}@courtwright")
    event.add("dtstamp", dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC))
    event.add("summary", says)
    event.add("dtstart", first)
    event.add("dtend", last + _DAY)
    event.add("transp", transparency)
    event.add("description", paper.say("event-note"))
    if paper.request.site.address:
        event.add("location", paper.request.site.address)
    return event
