"""The command ``drain``: answers, units of rain, refusals."""

from __future__ import annotations

import json

import pytest

from .test_commands import DEMO, answer, run, site

__all__ = ["site"]
KEYS = {"id", "run_on_m2", "peak_l_s", "lower_side", "channel"}


def test_without_an_intensity_no_peak_is_told_and_the_answer_says_what_is_needed(site):
    """A bare pad: what is unknown is null, each with its note."""
    (pad,) = answer("drain", site)["pads"]
    assert set(pad) >= KEYS
    assert [pad[key] for key in ("run_on_m2", "peak_l_s", "channel")] == [None, None, None]
    assert pad["lower_side"] == {"length_m": None, "depth_mm": None, "volume_m3": None}
    assert any("--intensity" in note for note in pad["notes"])
    assert pad["from_memory"] == []


@pytest.mark.parametrize("rain", ["5 in/h", "5 in per hour", "127 mm/h", "12.7 cm/hr", "5in/h"])
def test_a_court_in_five_inches_an_hour_whatever_the_unit(site, rain: str):
    """60 by 120 ft, 0.90: 0.75 cfs, 21.238 l/s, as handbooks have it."""
    (pad,) = answer("drain", site, "--intensity", rain)["pads"]
    assert pad["peak_l_s"] == pytest.approx(0.75 * 0.3048**3 * 1000, abs=6e-4)
    assert pad["channel"]["swale"]["depth_mm"] > 0
    assert "roughness.swale" in pad["from_memory"]


def test_a_flatter_channel_runs_deeper(site):
    """Its fall is the asker's, and then none from memory."""
    usual, flat = (
        answer("drain", site, "--intensity", "5 in/h", *more)["pads"][0] for more in ((), ("--fall", "0.5 %"))
    )
    assert flat["channel"]["slope_pct"] == 0.5
    assert flat["channel"]["swale"]["depth_mm"] > usual["channel"]["swale"]["depth_mm"]
    assert ("slope" in usual["from_memory"], "slope" in flat["from_memory"]) == (True, False)


@pytest.mark.parametrize(
    "arguments",
    [
        ("--intensity", "5"),
        ("--intensity", "5/h"),
        ("--intensity", "in/h"),
        ("--intensity", "5 in/day"),
        ("--intensity", "0 in/h"),
        ("--intensity", "nan in/h"),
        ("--intensity", "1e999 in/h"),
        ("--fall", "0 %"),
        ("--fall", "steep"),
        ("--ground", "moss"),
    ],
)
def test_a_rain_without_its_unit_and_other_wrong_calls_exit_2(site, arguments: tuple[str, str]):
    """Nothing is guessed."""
    assert "Error" in run("drain", site, *arguments, code=2).stderr


def test_marks_and_shots_around_the_pad(site):
    """Sod 1 in above the south edge; a lawn of 60 by 30 ft that falls on from the north: 1,800 sf, at least."""
    rows = [f"{x},{y},{y * 0.01}" for x in range(-10, 71, 5) for y in range(-10, 151, 5)]
    (site / "shots.csv").write_text("easting,northing,elevation\n" + "\n".join(rows) + "\n", encoding="utf-8")
    edge = {
        "type": "Feature",
        "geometry": {"type": "LineString", "coordinates": [[0, 0], [60, 0]]},
        "properties": {"mark": "edge", "pad": "a", "stands": "above", "of": "sod", "height": "1 in"},
    }
    marks = json.dumps({"type": "FeatureCollection", "features": [edge]})
    (site / "marks.geojson").write_text(marks, encoding="utf-8")
    toml = (site / "site.toml").read_text(encoding="utf-8") + 'shots = "shots.csv"\n'
    (site / "site.toml").write_text(toml, encoding="utf-8")
    told = answer("drain", site, "--intensity", "5 in/h", "--ground", "lawn-heavy-flat")
    (pad,) = told["pads"]
    assert pad["run_on_m2"] == pytest.approx(1800 * 0.3048**2, rel=0.03)
    rain = 5 * 0.0254 / 3600
    assert pad["peak_l_s"] == pytest.approx(1000 * rain * (0.9 * 7200 * 0.3048**2 + 0.17 * pad["run_on_m2"]), abs=2e-3)
    side = pad["lower_side"]
    assert side["length_m"] == pytest.approx(60 * 0.3048, abs=0.01)
    assert side["depth_mm"] == pytest.approx(76.2, abs=0.01)  # an inch, and two below the pad
    assert side["volume_m3"] == pytest.approx(60 * 0.25 * 3 * 0.3048**3, rel=1e-3)
    assert pad["concentration_min"] > 1


def test_words_for_a_person_in_both_languages():
    """The same in words, without a placeholder left."""
    english, spanish = (run("drain", DEMO, "--intensity", "5 in/h", "--lang", way).stdout for way in ("en", "es"))
    assert "Peak of run-off" in english
    assert "Caudal máximo" in spanish
    assert not any(mark in english + spanish for mark in "{}")
