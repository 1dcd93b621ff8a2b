"""What is counted: sets of lines, pairs of net posts, things done once."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known
from courtwright.trade.load import courts as court_specs


def court_lines(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the sets of lines that go with the colour: one for each court, less those that are extra. [-]"""
    del values
    return _count(known, len(known.pad.courts) - _other_courts(known))


def extra_line_sets(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the further sets: courts of another sport than the first, or further sports wanted on each court. [-]"""
    del values
    other = _other_courts(known)
    sports = known.span("sports")
    further = max(0.0, sports.high - 1) * max(1, len(known.pad.courts)) if sports else 0.0
    return worked(Measured(float(other or round(further))), "count", count=other or round(further))


def post_pairs(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the pairs of net posts: one for each court whose sport has a net. [-]"""
    del values
    return _count(known, sum(has_net(court.sport) for court in known.pad.courts))


def once(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return one: what is done once for the job. [-]"""
    del known, values
    return worked(Measured(1.0), "once")


def has_net(sport: str) -> bool:
    """Tell whether a sport is played over a net; a sport nobody knows counts as one that is."""
    spec = court_specs().get(sport)
    return spec is None or spec.net is not None


def _other_courts(known: Known) -> int:
    """Return the courts whose lines are an extra set, when the option has one. [-]"""
    if "line-set" not in known.remedies:
        return 0
    sports = [court.sport for court in known.pad.courts]
    return sum(sport != sports[0] for sport in sports)


def _count(known: Known, counted: int) -> Worked:
    if known.pad.courts:
        return worked(Measured(float(counted)), "count", count=counted)
    guessed = max(1, round(known.courts))
    return worked(Measured(float(guessed), 0.3 * guessed), "count-guessed", count=guessed)
