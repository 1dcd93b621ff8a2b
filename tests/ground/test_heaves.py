"""Heaves, and the trees that they lie near."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, Point

from courtwright.ground import read_pad
from courtwright.site.record import Mark

from .pads import FOOT, INCH, pad


def _heave(*trees: Mark, **properties: object):
    (found,) = read_pad(pad(Mark("heave", "heave", Point(5, 5), properties), *trees)).heaves
    return found


def _trees(away: float) -> Mark:
    return Mark("trees", "trees", LineString([(0, 5 + away), (20, 5 + away)]), {})


def test_a_heave_within_30_ft_of_trees_is_near_them():
    """Trees may stand off the pad; beyond 30 ft they are not what lifts it."""
    near, far, none = _heave(_trees(29 * FOOT)), _heave(_trees(31 * FOOT)), _heave()
    assert (near.near_trees, far.near_trees, none.near_trees) == (True, False, False)
    assert near.tree_distance == pytest.approx(29 * FOOT)
    assert none.tree_distance is None


def test_a_heave_nobody_measured_has_no_height():
    """Its area is that of its radius, 0 when nobody gave one; its height stays unknown."""
    assert (_heave().height, _heave().area) == (None, 0.0)
    assert _heave(radius=2.0, height=INCH).area == pytest.approx(4 * math.pi)
