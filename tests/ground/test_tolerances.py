"""By what the ground is judged."""

from __future__ import annotations

import dataclasses

import pytest

from courtwright.errors import TradeDataError
from courtwright.trade import tables
from courtwright.trade.load import sources, tolerances
from courtwright.trade.records import Limit, Tolerances


def test_every_limit_has_a_listed_source_and_a_sane_size():
    """Each is a positive number of SI units under a kilometre, and names where it comes from."""
    found = tolerances()
    names = [f.name for f in dataclasses.fields(Tolerances) if f.name != "sources"]
    assert sorted(found.sources) == sorted(names)
    assert all(0 < getattr(found, name) < 1000 for name in names if name not in ("old_coating", "water_test_wait"))
    assert 1900 < found.old_coating < 2000
    assert found.water_test_wait == 3600
    assert all(source.split(", ")[0] in sources() for source in found.sources.values())


def test_limits_are_in_si():
    """Ten feet, an eighth of an inch, 12 in, 30 ft, and a lane of 8 to 15 ft, in metres."""
    found = tolerances()
    assert (found.straightedge, found.straightedge_gap) == pytest.approx((3.048, 0.003175))
    assert (found.edge_distance, found.tree_reach) == pytest.approx((0.3048, 9.144))
    assert (found.lane_min, found.lane_max) == pytest.approx((2.4384, 4.572))
    assert (found.fine_crack, found.wide_crack) == pytest.approx((0.003175, 0.0381))


def test_a_limit_without_a_source_is_refused():
    """A value that nobody vouches for is no limit."""
    with pytest.raises(TradeDataError):
        tables.record(Limit, {"value": 1}, "tolerances.toml, straightedge")
