"""The trade's data of drainage: in order, with sources, in SI."""

import pytest

from courtwright.trade.drainage import drainage_facts
from courtwright.trade.load import check_source


def test_shares_of_rain_lie_in_order_and_below_one():
    """The usual share is within its range."""
    for name, spec in drainage_facts().run_off.items():
        assert 0 < spec.low <= spec.usual <= spec.high <= 1, name


@pytest.mark.reference("asce-run-off")
def test_shares_of_rain_are_those_of_the_table():
    """Asphalt 0.70 to 0.95; lawns by soil and slope; suburban ground."""
    table = {
        "asphalt": (0.70, 0.95),
        "lawn-sandy-flat": (0.05, 0.10),
        "lawn-heavy-flat": (0.13, 0.17),
        "lawn-heavy-steep": (0.25, 0.35),
        "suburban": (0.25, 0.40),
    }
    assert {name: (spec.low, spec.high) for name, spec in drainage_facts().run_off.items()} == table


def test_sizes_are_in_metres_and_grow():
    """Six inches are 0.1524 m; a swale's slope is a share."""
    facts = drainage_facts()
    assert facts.channel.slope.size == pytest.approx(0.01)
    assert facts.sizes.pipes[1] == pytest.approx(0.1524)
    assert facts.sizes.trench_widths[1] == pytest.approx(0.1524)
    for sizes in (facts.sizes.pipes, facts.sizes.trench_widths):
        assert list(sizes) == sorted(sizes)
    for amount in (facts.channel.swale_bottom, facts.channel.side_drop, facts.channel.trench_height):
        assert amount.unit == "m"
        check_source(amount.source, "here")
