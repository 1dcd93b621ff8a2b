"""What may be found: laws of the drawn extents."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.cost import price_option
from courtwright.cost.hidden import drawn_extent, expected_extent, hidden_work
from courtwright.cost.spread import Draws
from courtwright.cost.streams import Streams
from courtwright.measured import Measured
from courtwright.quantities import option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.trade.load import rates, scopes
from courtwright.trade.scope_records import HiddenState

STATES = (HiddenState("eroded", 0.3, 0.1, 0.2, 0.6), HiddenState("failed", 0.1, 0.6, 1.0, 1.8))
STREAMS = Streams(3, ("test",), 20_000)


def _drawn(base: float, piece: float = 6.0) -> Draws:
    return drawn_extent(base, piece, STATES, STREAMS.normal("shared"), STREAMS, "states")


@pytest.mark.parametrize("base", [1.0, 6.0, 20.0, 200.0, 5000.0])
def test_the_mean_is_the_expected_extent_whatever_the_length(base: float):
    """0.3 x 0.3 + 0.1 x 1.1333 = 0.2033 for each metre opened."""
    assert expected_extent(STATES) == pytest.approx(0.3 * 0.3 + 0.1 * (0.6 + 1.0 + 1.8) / 3)
    assert _drawn(base).mean() == pytest.approx(base * expected_extent(STATES), rel=0.06)


def test_a_single_piece_is_sound_as_often_as_the_chances_say():
    """Six in ten of one piece are sound."""
    assert (_drawn(5.0) == 0).mean() == pytest.approx(0.6, abs=0.015)


@given(st.floats(0.5, 500), st.floats(1.0, 4.0))
def test_opening_more_never_finds_less(base: float, factor: float):
    """In each draw, not only on average."""
    streams = Streams(3, ("law",), 400)
    shared = streams.normal("shared")
    less, more = (drawn_extent(b, 6.0, STATES, shared, streams, "x") for b in (base, base * factor))
    assert (more >= less - 1e-9 * base * factor).all()


def test_many_pieces_of_one_pad_share_their_luck():
    """Were they independent, forty pieces would spread half as much."""
    drawn = _drawn(240.0)
    independent = (40 * 36 * (0.3 * 0.3**2 + 0.1 * 1.13**2)) ** 0.5
    assert drawn.std() > 1.5 * independent


@pytest.mark.parametrize(("remedy", "spec"), [(r, a) for r, s in scopes().items() for a in s.allowances])
def test_every_chance_of_the_scopes_is_one(remedy: str, spec):
    """Chances of one piece sum to at most 1, extents rise, and the base is an item of the same remedy."""
    assert 0 < sum(state.chance for state in spec.states) <= 1
    assert all(0 <= s.low <= s.likely <= s.high for s in spec.states)
    assert spec.base in {item.id for item in scopes()[remedy].items}
    assert spec.if_false <= 1 <= spec.if_true


def test_an_allowance_tells_the_middle_and_the_upper_end_of_what_was_drawn():
    """Percentiles 50 and 80 of the contingent work, and its expectation."""
    pad, facts = standard_pad(), standard_facts()
    work = option_work(pad, standard_reading(pad), facts, "o", ("replace-membrane",))
    work = replace(work, quantities=tuple(replace(q, amount=Measured(60.0, 6.0)) for q in work.quantities))
    (drawn,) = hidden_work(work, facts, Streams(1, work.remedies, 10_000))
    (allowance,) = price_option(work, rates(), facts).allowances
    p50, p80 = np.quantile(drawn.amounts, (0.5, 0.8))
    assert 0 < p50 < p80
    assert (allowance.p50, allowance.p80, allowance.expected) == pytest.approx((p50, p80, drawn.expected))


def test_draws_are_finite_and_never_negative():
    """Whatever is opened."""
    drawn = np.concatenate([_drawn(b) for b in (0.1, 7.0, 1e4)])
    assert np.isfinite(drawn).all()
    assert (drawn >= 0).all()
