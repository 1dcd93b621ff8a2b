"""Coats and their season: when an option says that it has to wait, and from when it could be done."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.measured import Measured
from courtwright.offer.answer import offer_json
from courtwright.offer.coating import SEASON_OUTSIDE, coating_says, earliest_start
from courtwright.offer.days import dated_steps
from courtwright.offer.paper import Paper
from courtwright.quantities.records import OptionWork, Step
from courtwright.says import Says
from courtwright.trade.load import materials
from courtwright.trade.seasons import coating_season, seasons
from courtwright.trade.words import render
from tests.offer.sites import request_of, short_of

NORTH = (41.5, -74.5)
SEASON = coating_season(*NORTH)
MAY, OCTOBER = dt.date(2026, 5, 5), dt.date(2026, 10, 20)
#: A wash and two coats of a day each, a day between them and after the last.
COATED = (
    Step("wash", "resurface", 2, Measured(1.0), 0.0, 1),
    Step("filler-coat", "resurface", 3, Measured(1.0), 1.0, 1),
    Step("colour-coat", "resurface", 3, Measured(1.0), 1.0, 1),
)
PAVED = (Step("overlay", "overlay", 8, Measured(2.0), 14.0, 1), *COATED)


def _work(*steps: Step) -> OptionWork:
    return OptionWork("court", "o", (), (), steps, 1)


def _says(start: dt.date, *steps: Step, place: tuple[float | None, float | None] = NORTH) -> Says | None:
    return coating_says(_work(*(steps or COATED)), start, *place)


def test_in_the_season_nothing_is_said():
    """A wash in June, coats the days after."""
    assert _says(dt.date(2026, 6, 8)) is None


@pytest.mark.parametrize(
    ("start", "again"),
    [
        (dt.date(2026, 11, 3), dt.date(2027, 5, 15)),
        (dt.date(2026, 4, 6), dt.date(2026, 5, 15)),
        (dt.date(2026, 9, 24), dt.date(2027, 5, 15)),
    ],
)
def test_outside_the_season_it_is_said_from_when(start: dt.date, again: dt.date):
    """After it the next year's first day, before it this year's; so too when begun too near its end."""
    says = _says(start)
    assert says is not None
    assert says.id == SEASON_OUTSIDE
    assert render(says.values["again"]) == f"May {again.day}, {again.year}"
    assert f"{start:%B} {start.day}, {start.year}" in render(says)


def test_it_is_the_coats_that_have_to_fall_in_the_season():
    """A wash on the day before it opens and the first coat on the day that it does; then a day sooner."""
    assert SEASON is not None
    opens, _ = SEASON.of(2026)
    assert opens == dt.date(2026, 5, 15)
    assert _says(opens - dt.timedelta(days=1)) is None
    assert _says(opens - dt.timedelta(days=2)) is not None


def test_paving_that_still_cures_pushes_the_coats_out():
    """Paved in mid-September: two days and fourteen of cure put the coats into October; coats alone are in time."""
    start = dt.date(2026, 9, 14)
    assert _says(start) is None
    says = _says(start, *PAVED)
    assert says is not None
    assert says.id == SEASON_OUTSIDE


@pytest.mark.parametrize("place", [(None, None), (41.5, None), (30.3, -97.7), (-41.5, -74.5), (48.1, 11.6)])
def test_without_a_known_season_it_is_said_what_the_coats_need(place: tuple[float | None, float | None]):
    """No place, the South, another continent: no date is named, in any month."""
    for month in range(1, 13):
        says = _says(dt.date(2026, month, 1), place=place)
        assert says is not None
        assert says.id == "offer.season-needs"
        assert "50 °F" in render(says)
        assert "10 °C" in render(says, "es", "metric")


def test_without_coats_nothing_is_said():
    """Neither of work that coats nothing, nor of no work, nor of steps that nobody knows."""
    assert coating_says(_work(), OCTOBER, *NORTH) is None
    assert _says(OCTOBER, Step("overlay", "overlay", 8, Measured(2.0), 14.0, 1)) is None
    assert _says(OCTOBER, Step("a", "no-such-remedy", 1, Measured(1.0), 0.0, 1)) is None


def test_the_temperature_is_that_of_the_materials():
    """The sentence has no number of its own."""
    says = _says(OCTOBER)
    assert says is not None
    assert says.values["air"] == materials()["acrylic"].limits["night_least"].size


def test_a_start_is_the_agreed_one_or_the_usual_lead_after_the_offer():
    """The lead is the trade's."""
    assert earliest_start(MAY, OCTOBER) == OCTOBER
    assert (earliest_start(MAY, None) - MAY).days == seasons().lead.size


@given(st.dates(dt.date(2024, 1, 1), dt.date(2032, 12, 31)), st.sampled_from([COATED, PAVED]))
def test_silence_means_that_every_coat_falls_in_the_season(start: dt.date, steps: tuple[Step, ...]):
    """Whatever the day: each coat and its cure lie within it, or it is said that they do not."""
    assert SEASON is not None
    coats = [dated for dated in dated_steps(_work(*steps), start) if dated.step.id.endswith("-coat")]
    opens, closes = SEASON.of(coats[0].first.year)
    inside = all(opens <= dated.first and (dated.wait[1] if dated.wait else dated.last) <= closes for dated in coats)
    assert (_says(start, *steps) is None) == inside


# --- on the paper -------------------------------------------------------------------------------


def _season(paper: Paper, option: str) -> str:
    return next(paper.season(o) for pad in paper.pads for o in pad.offered if o.option.id == option)


def test_a_recoat_offered_in_october_says_so_on_its_strip_its_first_page_and_in_its_file():
    """In every place where the option is told, with the first day of the next season; none of it in May."""
    late, early = Paper.of(request_of("worn", OCTOBER)), Paper.of(request_of("worn", MAY))
    assert "above 50 °F" in _season(late, "resurface")
    assert "May 15, 2027" in _season(late, "resurface")
    assert _season(late, "retire") == _season(early, "resurface") == ""
    for paper, is_told in ((late, True), (early, False)):
        options = json.loads(offer_json(paper, ()))["pads"][0]["options"]
        told = {option["id"]: option.get("season") for option in options}
        assert (told["resurface"] is not None) == is_told
        assert told["retire"] is None


def test_an_agreed_start_in_the_season_takes_the_sentence_away():
    """Offered in October for next June."""
    request = replace(request_of("worn", OCTOBER), start=dt.date(2027, 6, 7))
    assert _season(Paper.of(request), "resurface") == ""


def test_it_is_said_in_spanish_and_in_degrees_celsius():
    """The customer's language and units."""
    request = short_of("worn", "resurface", walked=OCTOBER, language="es", units="metric")
    said = _season(Paper.of(request), "resurface")
    assert "10 °C" in said
    assert "15 de mayo de 2027" in said
