"""The command ``ground``: where to shoot next, and how long water takes to dry."""

from __future__ import annotations

import pytest

from .test_commands import DEMO, answer, run

MILD = ("--air", "70 F", "--humidity", "50 %", "--wind", "5 mph")


def test_places_to_shoot_are_told_as_many_as_asked():
    """The demo's upper pad has a low spot in doubt, its lower one none; nought asks for none."""
    upper, lower = answer("ground", DEMO, "--next", "2")["pads"]
    assert [place["rank"] for place in upper["shoot_next"]["places"]] == [1, 2]
    first = upper["shoot_next"]["places"][0]
    assert first["settles"][0]["low_spot"] in {spot["id"] for spot in upper["low_spots"]}
    assert first["doubt_after_bits"] < first["doubt_before_bits"]
    assert lower["shoot_next"]["places"] == []
    assert "settled" in lower["shoot_next"]["says"]
    assert [pad["shoot_next"] for pad in answer("ground", DEMO, "--next", "0")["pads"]] == [None, None]


def test_a_low_spot_dries_in_the_weather_that_is_given():
    """In frost it does not; without a weather nothing is said; the deeper the longer."""
    told = [spot for pad in answer("ground", DEMO, *MILD, "--next", "0")["pads"] for spot in pad["low_spots"]]
    assert len(told) > 1
    deepest, shallowest = (pick(told, key=lambda spot: spot["depth_max_mm"]) for pick in (max, min))
    assert deepest["dry_h"][0] > shallowest["dry_h"][0] > 0
    assert all(spot["dry_h"][0] < spot["dry_h"][1] for spot in told)
    # 70 °F, 50 %, 5 mph: 0.3002 mm/h by Uno, 40 % quicker.
    assert deepest["dry_h"][0] == pytest.approx(deepest["depth_max_mm"] / 0.3002 / 1.4, rel=5e-3)
    frost = answer("ground", DEMO, "--air", "-5 C", *MILD[2:], "--next", "0")["pads"][0]["low_spots"][0]
    assert frost["dry_h"] is None
    assert "freezes" in frost["drying_says"]
    assert "dry_h" not in answer("ground", DEMO, "--next", "0")["pads"][0]["low_spots"][0]


@pytest.mark.parametrize(
    "arguments",
    [
        ("--air", "70", *MILD[2:]),
        ("--air", "500 F", *MILD[2:]),
        (*MILD[:2], "--humidity", "150 %", *MILD[4:]),
        (*MILD[:4], "--wind", "5"),
        (*MILD[:4], "--wind", "-5 mph"),
        MILD[:2],
        ("--surface", "90 F"),
    ],
)
def test_half_a_weather_or_none_that_occurs_is_refused(arguments: tuple[str, ...]):
    """A number without its unit, a humidity beyond 100 %, only some of the three: nothing is guessed."""
    assert "--" in run("ground", DEMO, *arguments, code=2).stderr
