"""Lives: percentiles as given, shortened by what is left unmended, kept up or neglected."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.cost.life import court_life, drawn_life, life_factor, main_remedies
from courtwright.cost.streams import Streams
from courtwright.measured import Span
from courtwright.quantities.standard import standard_facts
from courtwright.trade.load import scopes
from courtwright.verdict.records import Fact


def _with(**values: Span | bool | None) -> dict[str, Fact]:
    return standard_facts() | {name: Fact(name, value) for name, value in values.items()}


@pytest.mark.parametrize("remedy", [r for r, s in scopes().items() if s.life is not None])
def test_drawn_lives_have_the_percentiles_of_the_scope(remedy: str):
    """With nothing left unmended."""
    life = scopes()[remedy].life
    assert life is not None
    drawn = drawn_life(remedy, (remedy,), standard_facts(), Streams(1, (remedy,), 20_000))
    assert np.quantile(drawn, (0.1, 0.5, 0.9)) == pytest.approx([life.p10, life.p50, life.p90], rel=0.03)


def test_an_option_lives_as_long_as_the_remedy_it_is_named_after():
    """A resurfacing with one strip replaced is a resurfacing; else the largest remedy counts."""
    assert main_remedies("resurface", ("replace-membrane", "resurface")) == ("resurface",)
    assert main_remedies("repair", ("replace-membrane", "membrane-repair", "resurface")) == (
        "replace-membrane",
        "membrane-repair",
    )
    assert main_remedies("pave", ("root-barrier", "pulverise-and-pave", "resurface")) == ("pulverise-and-pave",)


def test_an_option_serves_as_long_as_the_shorter_of_its_main_remedies():
    """Two membranes that each last 15 years together last less: in each draw the one that fails first counts."""
    streams, both = Streams(1, ("x",), 4000), ("replace-membrane", "membrane-repair")
    first, second = (drawn_life("o", (remedy,), standard_facts(), streams) for remedy in both)
    together = drawn_life("repair", both, standard_facts(), streams)
    assert np.array_equal(together, np.minimum(first, second))
    assert np.median(together) < 15 * 0.95


@pytest.mark.parametrize(("holds", "factor"), [(True, 0.3), (False, 1.0), (None, 0.65)])
def test_roots_left_in_place_shorten_an_overlay(holds: bool | None, factor: float):
    """True takes the whole factor, unknown half of it: (1 + 0.3) / 2."""
    assert life_factor("overlay", ("overlay",), _with(roots_lift_pad=holds)) == pytest.approx(factor)


def test_mending_the_cause_gives_the_life_back():
    """A barrier against roots, a side set lower against water."""
    facts = _with(roots_lift_pad=True, low_edge_blocked=True)
    alone = life_factor("overlay", ("overlay",), facts)
    mended = life_factor("overlay", ("overlay", "root-barrier", "lower-side"), facts)
    assert alone < mended == 1.0


def test_hollow_repairs_left_in_place_count_from_a_tenth_on():
    """A share above 10 % shortens; one that may lie on both sides counts half."""
    shares = (Span.exactly(0.05), Span(0.05, 0.3), Span.exactly(0.3))
    factors = [life_factor("membrane-repair", ("membrane-repair",), _with(hollow_share=s)) for s in shares]
    assert factors == pytest.approx([1.0, 0.85, 0.7])


@given(st.floats(0.5, 60), st.floats(0.5, 60))
def test_recolouring_more_often_never_shortens_a_courts_life(a: float, b: float):
    """Between neglected and kept up, whatever the interval."""
    often, seldom = sorted((a, b))
    assert court_life(None) <= court_life(seldom) <= court_life(often) <= court_life(6.0)


def test_every_factor_that_shortens_does():
    """Between nothing and one, mended by remedies that exist."""
    for scope in scopes().values():
        for shortened in scope.shortened:
            assert 0 < shortened.factor < 1
            assert set(shortened.unless) <= set(scopes())
