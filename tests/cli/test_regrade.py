"""The command ``regrade``: answers, options, stake-out files, refusals."""

from __future__ import annotations

import io
import math
from pathlib import Path

import ezdxf
import numpy as np
import openpyxl
import pytest

from .test_commands import DEMO, answer, run, site

__all__ = ["site"]
FT = 0.3048
KEYS = {"id", "plane", "slope_pct", "bearing_deg", "volume_m3", "mass_t", "thickness_min_mm", "thickness_max_mm"}


@pytest.fixture
def shot(site: Path) -> Path:
    """Return the pad of 60 by 120 ft with shots every 5 ft: a true plane of 0.5 % and a wave on it, in feet."""
    places = [(x, y) for x in range(0, 61, 5) for y in range(0, 121, 5)]
    rows = [f"{x},{y},{100 - 0.003 * x + 0.004 * y + 0.02 * math.sin(x / 9) * math.cos(y / 14)}" for x, y in places]
    (site / "shots.csv").write_text("easting,northing,elevation\n" + "\n".join(rows) + "\n", encoding="utf-8")
    toml = (site / "site.toml").read_text(encoding="utf-8") + 'shots = "shots.csv"\n'
    (site / "site.toml").write_text(toml, encoding="utf-8")
    return site


def _heights(site: Path) -> np.ndarray:
    return np.loadtxt(site / "shots.csv", delimiter=",", skiprows=1) * FT


def test_the_plane_covers_every_shot_and_says_what_it_takes(shot: Path):
    """In pad metres and the heights of the shots: slope, bearing, volume and mass follow from the plane."""
    (pad,) = answer("regrade", shot)["pads"]
    assert set(pad) >= KEYS
    a, b, c = pad["plane"]
    x, y, z = _heights(shot).T
    above = a + b * x + c * y - z
    assert above.min() * 1000 == pytest.approx(38, abs=1)
    assert pad["thickness_min_mm"] == 38.0
    assert above.max() * 1000 == pytest.approx(pad["thickness_max_mm"], abs=1)
    assert math.hypot(b, c) * 100 == pytest.approx(pad["slope_pct"], abs=1e-3)
    assert 0.83 <= pad["slope_pct"] <= 1.0
    assert math.degrees(math.atan2(-b, -c)) % 360 == pytest.approx(pad["bearing_deg"], abs=0.1)
    ends = np.where((x == 0) | (x > 60 * FT - 0.01), 0.5, 1.0) * np.where((y == 0) | (y > 120 * FT - 0.01), 0.5, 1.0)
    assert pad["volume_m3"] == pytest.approx(7200 * FT**2 * np.average(above, weights=ends), rel=0.005)
    assert pad["mass_t"] == pytest.approx(pad["volume_m3"] * 110 * 0.45359237 / 1000 / 0.9144**2 / 0.0254, rel=1e-4)


def test_options_bind(shot: Path):
    """Slopes, thickness and a point that is fixed."""
    (steep,) = answer("regrade", shot, "--slope-min", "1.5 %", "--slope-max", "1.5 %")["pads"]
    assert steep["slope_pct"] == 1.5
    (thick,) = answer("regrade", shot, "--least", "3 in")["pads"]
    assert thick["thickness_min_mm"] == 76.2
    (met,) = answer("regrade", shot, "--fixed", "30,60,100.1")["pads"]
    a, b, c = met["plane"]
    assert a + b * 30 * FT + c * 60 * FT == pytest.approx(100.1 * FT, abs=1e-4)
    assert met["cut_m3"] > 0
    (both,) = answer("regrade", shot, "--fixed", "30,60,100.1", "--fixed", "30,60,100.3")["pads"]
    assert [both[key] for key in KEYS - {"id"}] == [None] * 7
    assert any("misses" in note for note in both["notes"])


def test_stakes_are_written_together_and_the_same_each_time(shot: Path, tmp_path: Path):
    """The workbook holds what the plane says, in feet and inches; the drawing has its points at their new height."""
    out = tmp_path / "stakes"
    told = answer("regrade", shot, "--out", str(out), "--stakes", "20 ft")
    assert told["files"] == ["stakes.xlsx", "stakes.dxf", "cut-fill-a.svg", "cut-fill-a.png"]
    before = [(out / name).read_bytes() for name in told["files"]]
    answer("regrade", shot, "--out", str(out), "--stakes", "20 ft")
    assert [(out / name).read_bytes() for name in told["files"]] == before
    a, b, c = told["pads"][0]["plane"]
    sheet = openpyxl.load_workbook(io.BytesIO(before[0])).active
    assert sheet is not None
    rows = [row for row in sheet.iter_rows(min_row=5, values_only=True) if row[0]]
    assert len(rows) == 4 + 4 * 7
    for _, x, y, existing, design, fill in rows:
        assert design * FT == pytest.approx(a + b * x * FT + c * y * FT, abs=1e-4)
        assert fill == pytest.approx((design - existing) * 12, abs=2e-3)
    drawing = ezdxf.readfile(out / "stakes.dxf")
    assert not drawing.audit().has_errors
    points = drawing.modelspace().query("POINT")
    assert len(points) == len(rows)
    for point in points:
        x, y, z = point.dxf.location
        assert z == pytest.approx(a + b * x + c * y, abs=1e-5)


def test_an_offer_in_the_same_folder_is_left_alone(shot: Path, tmp_path: Path):
    """Stakes replace stakes and nothing else."""
    out = tmp_path / "both"
    run("offer", DEMO, "--out", str(out))
    there = sorted(path.name for path in out.iterdir())
    run("regrade", shot, "--out", str(out))
    new = ["stakes.xlsx", "stakes.dxf", "cut-fill-a.svg", "cut-fill-a.png"]
    assert sorted(path.name for path in out.iterdir()) == sorted([*there, *new])


def test_without_heights_nothing_is_told_nor_written(site: Path, tmp_path: Path):
    """Null for each number, a note that says what to do, and no file."""
    told = answer("regrade", site, "--out", str(tmp_path / "none"))
    (pad,) = told["pads"]
    assert [pad[key] for key in KEYS - {"id"}] == [None] * 7
    assert pad["notes"]
    assert told["files"] == []
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("--slope-min", "steep"),
        ("--slope-min", "-1 %"),
        ("--slope-max", "0.5 %"),
        ("--slope-min", "2 %"),
        ("--least", "0 in"),
        ("--least", "nan in"),
        ("--stone", "9"),
        ("--stakes", "1 mm"),
        ("--layout", "many"),
        ("--fixed", "1"),
        ("--fixed", "1,nan"),
        ("--fixed", "1e308,1"),
        ("--fixed", "30,60,1e12"),
        ("--fixed", "900,900"),
    ],
)
def test_wrong_calls_exit_2_and_say_why(shot: Path, arguments: tuple[str, str]):
    """Nothing is guessed and nothing comes as a traceback."""
    told = run("regrade", shot, *arguments, code=2).stderr
    assert told
    assert "Traceback" not in told


def test_words_for_a_person_in_both_languages():
    """The demo, with folds, in words, without a placeholder left."""
    english, spanish = (run("regrade", DEMO, "--layout", "least", "--lang", way).stdout for way in ("en", "es"))
    assert "asphalt" in english
    assert "asfalto" in spanish
    assert not any(mark in english + spanish for mark in "{}⟨⟩")
