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

STREAMS = Streams(1, ("x",), 10_000)


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


@pytest.mark.parametrize(("holds", "factor"), [(True, 0.3), (False, 1.0), (None, 0.895)])
def test_roots_left_in_place_shorten_an_overlay(holds: bool | None, factor: float):
    """Known roots take the whole factor; unknown ones are there in 15 draws of 100: 0.85 + 0.15 × 0.3 on average."""
    drawn = life_factor("overlay", ("overlay",), _with(roots_lift_pad=holds), STREAMS)
    assert drawn.mean() == pytest.approx(factor, abs=0.01)
    assert set(drawn) <= {0.3, 1.0}


def test_what_nobody_looked_at_widens_a_life_and_leaves_its_likely_end_near():
    """A membrane serves about 15 years; with base and edge not looked at the median falls by a fifth at most."""
    known = drawn_life("membrane-repair", ("membrane-repair",), standard_facts(), STREAMS)
    unknown = drawn_life("membrane-repair", ("membrane-repair",), _with(base_wet=None, low_edge_blocked=None), STREAMS)
    assert 12 < np.median(unknown) < np.median(known)
    assert np.quantile(unknown, 0.1) < np.quantile(known, 0.1)


def test_mending_the_cause_gives_the_life_back():
    """A barrier against roots, a side set lower against water."""
    facts = _with(roots_lift_pad=True, low_edge_blocked=True)
    alone = life_factor("overlay", ("overlay",), facts, STREAMS)
    mended = life_factor("overlay", ("overlay", "root-barrier", "lower-side"), facts, STREAMS)
    assert alone.max() < mended.min() == mended.max() == 1.0


def test_hollow_repairs_left_in_place_count_from_a_tenth_on():
    """A share above 10 % shortens; one that may lie on both sides does in 15 draws of 100: 0.85 + 0.15 × 0.7."""
    shares = (Span.exactly(0.05), Span(0.05, 0.3), Span.exactly(0.3))
    drawn = [life_factor("membrane-repair", ("membrane-repair",), _with(hollow_share=s), STREAMS) for s in shares]
    assert [each.mean() for each in drawn] == pytest.approx([1.0, 0.955, 0.7], abs=0.01)


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
