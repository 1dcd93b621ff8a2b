"""Answers are read in the words and units of people, and as the tool itself writes what a fact would have to be."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from courtwright.measured import Span
from courtwright.site.record import FactValue
from courtwright.trade.load import facts
from tests.site.sites import PAD, read

INF = math.inf


def answered(tmp_path: Path, line: str, head: str = "") -> dict[str, FactValue]:
    """Return the answers of a site with one line under ``[answers]``."""
    record = read(tmp_path, {"site.toml": f"{head}{PAD}[answers]\n{line}\n"})
    assert record.complaints == ()
    return {answer.fact: answer.value for answer in record.pads[0].answers}


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ('machine_access_width = "11 ft"', Span.exactly(3.3528)),
        ("machine_access_width = 11", Span.exactly(3.3528)),
        ('crack_width_max = "1-1/2 in"', Span.exactly(0.0381)),
        ("hollow_share = 0.3", Span.exactly(0.3)),
        ('hollow_share = "30 %"', Span.exactly(0.3)),
        ('plane_slope_min = "0.8 %"', Span.exactly(0.008)),
        ("plane_slope_min = 0.008", Span.exactly(0.008)),
        ("coats = 12", Span.exactly(12)),
        ("age = 40", Span.exactly(40)),
        ('coats = "unknown"', None),
        ('irrigation_beside = "don\'t know"', None),
        ("irrigation_beside = true", True),
        ('irrigation_beside = "no"', False),
        ('irrigation_beside = "sí"', True),
        ('surface = "Post tensioned"', "post-tensioned"),
        ("Outlet-Within = 60", Span.exactly(60 * 0.3048)),
    ],
)
def test_an_answer_is_read_by_the_kind_of_its_fact(line: str, value: FactValue, tmp_path: Path):
    """Lengths and shares with or without a unit, claims in words, "don't know" as unknown."""
    (found,) = answered(tmp_path, line).values()
    assert found == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize("head", ["", '[job]\nunits = "metric"\n'])
@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("<= 0.1", -INF, 0.1),
        ("< 0.1", -INF, math.nextafter(0.1, -INF)),
        (">= 3", 3, INF),
        ("> 3.05", math.nextafter(3.05, INF), INF),
        ("= 3", 3, 3),
        ("≤ 1e-2", -INF, 0.01),
        (">= 10 ft", 3.048, INF),
    ],
)
def test_an_operator_and_an_si_value_is_a_span(head: str, text: str, low: float, high: float, tmp_path: Path):
    """Whatever the job's units: after an operator a bare number is SI; "more than" leaves its limit out."""
    (span,) = answered(tmp_path, f'outlet_within = "{text}"', head).values()
    assert span == Span(low, high)


def test_more_than_is_above_and_less_than_is_below(tmp_path: Path):
    """The limit itself is decided: ``> x`` is above x, ``< x`` is not at least x."""
    above = answered(tmp_path / "a", 'outlet_within = "> 3.05"')["outlet_within"]
    below = answered(tmp_path / "b", 'outlet_within = "< 3.05"')["outlet_within"]
    assert isinstance(above, Span)
    assert isinstance(below, Span)
    assert (above.is_above(3.05), below.is_at_least(3.05), below.is_above(3.0)) == (True, False, None)


@pytest.mark.parametrize("name", sorted(facts()))
def test_every_fact_takes_an_answer(name: str, tmp_path: Path):
    """Whatever ``check --facts`` names may be answered, known or "unknown"."""
    spec = facts()[name]
    given = {"claim": "true", "word": f'"{spec.words[0]}"' if spec.words else '"x"'}.get(spec.kind, '">= 0.5"')
    given = '">= 2"' if spec.kind in ("count", "years", "hours") else given
    assert answered(tmp_path / "known", f"{name} = {given}")[name] is not None
    assert answered(tmp_path / "unknown", f'{name} = "unknown"')[name] is None


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        "hollow_share = 30",
        "outlet_within = true",
        "outlet_within = [1, 2]",
        'outlet_within = "> far"',
        'outlet_within = ">"',
        'irrigation_beside = "perhaps"',
        "irrigation_beside = 1",
        'surface = "grass"',
        "coats = 2.5",
        "coats = -1",
        "plane_slope_min = 80",
        "outlet_wihtin = 3",
    ],
)
def test_an_answer_nobody_can_read_is_told_and_left_unanswered(line: str, tmp_path: Path):
    """One error at its name; the derived fact stands."""
    record = read(tmp_path, {"site.toml": f"{PAD}[answers]\n{line}\n"})
    assert [(c.at.split(", ")[0], c.weight) for c in record.complaints] == [("answers", "error")]
    assert record.pads[0].answers == ()
