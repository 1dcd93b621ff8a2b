"""Whole sites with their papers: the demo, and one court told in several ways."""

from __future__ import annotations

import datetime as dt
import functools
import tempfile
from dataclasses import replace
from pathlib import Path

import courtwright.site
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import OfferRequest
from courtwright.site import read_site
from courtwright.trade.words import Language

DEMO = Path(courtwright.site.__file__).parent / "demo_site"
#: In the North of the trade's seasons.
HERE = "lat = 41.5\nlon = -74.5\n"

_COURT = """
[job]
name = "Alder Lane court"
customer = "home"

[site]
{place}walked_on = {walked}

[[pad]]
id = "court"
outline = [[0, 0], [60, 0], [60, 120], [0, 120]]
built = 2004
surface = "asphalt"
coating = {coating}
last_resurfaced = 2018

[[pad.court]]
id = "1"
sport = "tennis"
centre = [30, 60]
{tallies}
[pad.answers]
coats = 3
peeling_share = 0.0
knife_test_fails = false
low_edge_blocked = {blocked}
run_on = false
pieces_rock = false
full_depth_cracks = {deep}
roots_lift_pad = false
posts_sound = {posts}
plane_is_wrong = false
shallow_services = false
"""

_WORN = '[[pad.tally]]\ncourt = "1"\nmark = "worn"\narea = 900\nwear = "faded"\n'


def _crack(length: int, width: str) -> str:
    return f'[[pad.tally]]\ncourt = "1"\nmark = "crack"\nlength = {length}\nwidth = "{width}"\n'


_FINE, _OPEN, _WIDE = _crack(60, "3/32 in"), _crack(180, "1/4 in"), _crack(40, "2 in")
_SOUND = {"coating": '"acrylic"', "blocked": "false", "deep": "false", "posts": "true", "place": HERE}

#: What is told of the court, by what is the matter with it.
COURTS = {
    "worn": {"tallies": _WORN + _FINE},
    "cracked": {"tallies": _WORN + _FINE + _OPEN},
    "wide": {"tallies": _WORN + _OPEN + _WIDE, "deep": "true", "posts": "false"},
    "blocked": {"tallies": _WORN + _FINE + _OPEN, "blocked": "true"},
    "bare": {"tallies": _FINE + _OPEN, "coating": '"none"'},
    "nothing": {"tallies": ""},
}


@functools.cache
def request_of(
    name: str, walked: dt.date = dt.date(2026, 5, 5), place: str = HERE, language: Language = "en"
) -> OfferRequest:
    """Return the paper of the demo or of one court, with every option that has a price."""
    if name == "demo":
        record = read_site(DEMO)
    else:
        with tempfile.TemporaryDirectory() as folder:
            told = {**_SOUND, **COURTS[name], "walked": walked.isoformat(), "place": place}
            (Path(folder) / "site.toml").write_text(_COURT.format_map(told), encoding="utf-8")
            record = read_site(Path(folder))
    request = offer_request(estimate(record), issued_on=walked, start=None, budget=False, language=language, photos={})
    return replace(
        request, options={pad.id: {option for of, option in request.prices if of == pad.id} for pad in record.pads}
    )


def short_of(name: str, option: str, **changes: object) -> OfferRequest:
    """Return the short paper of one court with one option."""
    keys = ("walked", "place", "language")
    request = request_of(name, **{key: value for key, value in changes.items() if key in keys})  # pyright: ignore[reportArgumentType]  # by name
    rest = {key: value for key, value in changes.items() if key not in keys}
    return replace(request, options={"court": {option}}, **rest)
