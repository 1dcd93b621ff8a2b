"""What the client carries is what the trade's data says."""

from __future__ import annotations

import importlib.util
import json
import math
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from shapely import LineString, union_all

from courtwright.site.formats.fields import is_unknown
from courtwright.site.lines import court_lines
from courtwright.site.record import Court
from courtwright.trade.load import courts, facts, mark_kinds
from courtwright.units import parse_quantity

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "web" / "src" / "data"


@pytest.fixture(scope="module")
def make_client_data() -> ModuleType:
    """Return the script that makes the client's data."""
    spec = importlib.util.spec_from_file_location("make_client_data", ROOT / "scripts" / "make_client_data.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _read(name: str) -> list[dict[str, Any]]:
    return json.loads((DATA / name).read_text(encoding="utf-8"))


def test_the_data_is_what_the_script_makes(make_client_data: ModuleType, tmp_path: Path):
    """Files made from the trade's data follow it; when this fails, run ``make docs``."""
    make_client_data.main(tmp_path)
    made = {file.name: file.read_text(encoding="utf-8") for file in tmp_path.iterdir()}
    there = {file.name: file.read_text(encoding="utf-8") for file in DATA.glob("*.json")}
    assert {name for name in made | there if made.get(name) != there.get(name)} == set()


def test_no_fact_no_mark_and_no_sport_is_left_out():
    """The lists hold what the trade holds, in its order."""
    assert [one["id"] for one in _read("facts.json")] == list(facts())
    assert [one["id"] for one in _read("courts.json")] == list(courts())
    marks = _read("marks.json")
    assert [one["id"] for one in marks] == list(mark_kinds())
    for mark in marks:
        assert [one["id"] for one in mark["properties"]] == list(mark_kinds()[mark["id"]].properties)


def test_every_value_offered_as_a_key_can_be_read_as_its_kind():
    """A quick value is a text that the office reads, above nothing and below what it takes for a slip."""
    tried = 0
    for mark in _read("marks.json"):
        for one in mark["properties"]:
            limit = mark_kinds()[mark["id"]].properties[one["id"]].impossible_over or math.inf
            kind = "length" if one["kind"] == "small" else one["kind"]
            for system, values in one.get("quick", {}).items():
                read = [parse_quantity(value, kind, system) for value in values]
                assert all(0 < value < limit for value in read), one
                assert read == sorted(set(read)), one
                tried += len(read)
    assert tried > 50


def test_no_choice_is_a_word_that_says_nothing():
    """``unknown`` is an answer to everything, and no choice of its own."""
    for of in (*_read("facts.json"), *(one for mark in _read("marks.json") for one in mark["properties"])):
        assert not any(is_unknown(choice["id"]) for choice in of.get("choices", []))


@pytest.mark.parametrize("sport", list(courts()))
def test_the_lines_of_a_court_are_drawn_where_they_are_painted(sport: str):
    """A brush as wide as each line, drawn along its path, paints the court: 3 % of an arc's chord off at most."""
    (court,) = (one for one in _read("courts.json") if one["id"] == sport)
    painted = union_all(court_lines(courts()[sport], Court("1", sport, (0.0, 0.0))))
    brushed = union_all(
        [LineString(line["points_m"]).buffer(line["width_m"] / 2, cap_style="flat") for line in court["lines"]]
    )
    assert painted.symmetric_difference(brushed).area < 0.03 * painted.area


def test_a_pad_has_room_for_its_court():
    """The usual pad is at least as large as the court."""
    for court in _read("courts.json"):
        assert court["pad"]["length_m"] >= court["length_m"]
        assert court["pad"]["width_m"] >= court["width_m"]
