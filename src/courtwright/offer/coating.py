"""Whether the coats of an option fall on days on which they can be laid, by the trade's rules of thumb."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from courtwright.offer.days import dated_steps
from courtwright.quantities.records import OptionWork, Step
from courtwright.says import Says, say
from courtwright.trade.load import materials, scopes
from courtwright.trade.scope_records import MaterialSpec
from courtwright.trade.seasons import CoatingSeason, coating_season, seasons

_DAY = dt.timedelta(days=1)

#: The saying of coats that would fall outside their season.
SEASON_OUTSIDE = "offer.season-outside"


def earliest_start(issued_on: dt.date, start: dt.date | None) -> dt.date:
    """Return the agreed first day of work; where none is agreed, that of the usual lead after the offer."""
    return start or issued_on + seasons().lead.size * _DAY


def coating_says(work: OptionWork, start: dt.date, lat: float | None, lon: float | None) -> Says | None:
    """Return what the season asks of an option's coats; None of an option without coats, or in their season.

    Parameters
    ----------
    work : OptionWork
        The option's steps.
    start : date
        The earliest first day of work.
    lat, lon : float or None
        Of the site. [°]

    Returns
    -------
    Says or None
        Outside the season: when they would fall, and from when we would lay them. Where no season is known: what they
        need.

    Notes
    -----
    By the dates of ``dated_steps``, weather aside, from the first coat to the end of the last one's cure.
    """
    used = [material for step in work.steps if (material := _coat_of(step)) is not None]
    if not used:
        return None
    air = max(material.limits["night_least"].size for material in used)
    season = coating_season(lat, lon)
    if season is None:
        return say("offer.season-needs", air=air)
    first, cured = _coating_days(work, start)
    opens, closes = season.of(first.year)
    if opens <= first and cured <= closes:
        return None
    return say(
        SEASON_OUTSIDE,
        air=air,
        opens=_day(opens),
        closes=_day(closes),
        start=_day(start, with_year=True),
        again=_day(_next(season, first), with_year=True),
    )


def _next(season: CoatingSeason, day: dt.date) -> dt.date:
    """Return the first day of the season that opens on a day or after it."""
    opens, _ = season.of(day.year)
    return opens if day <= opens else season.of(day.year + 1)[0]


def _coating_days(work: OptionWork, start: dt.date) -> tuple[dt.date, dt.date]:
    """Return the day of the first coat, and that on which the last one has cured."""
    laid = [dated for dated in dated_steps(work, start) if _coat_of(dated.step) is not None]
    return laid[0].first, max(dated.wait[1] if dated.wait else dated.last for dated in laid)


def _coat_of(step: Step) -> MaterialSpec | None:
    """Return the coat that a step lays: a material that asks for warm nights, and cures; None of other steps."""
    if step.remedy not in scopes() or step.wait_days <= 0:
        return None
    item = next((spec.item for spec in scopes()[step.remedy].steps if spec.id == step.id), "")
    return _coats().get(item)


def _coats() -> Mapping[str, MaterialSpec]:
    return {item: spec for spec in materials().values() if "night_least" in spec.limits for item in spec.items}


def _day(day: dt.date, *, with_year: bool = False) -> Says:
    month = say(f"offer.month-{day.month}")
    if with_year:
        return say("offer.date", month=month, day=day.day, year=day.year)
    return say("offer.day", month=month, day=day.day)
