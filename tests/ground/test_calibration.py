"""What is said to be likely happens about as often: of low spots, and of heights where nobody shot."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import settings

from courtwright.ground.heights import Surface
from courtwright.site.complaints import Complaints
from courtwright.site.formats.las import open_scan

from ..places import shared_data
from .calibration import by_class, told_and_true

#: Pads, and classes of likelihood: few in `make test`, many in `make soak`.
IS_QUICK = settings.get_current_profile_name() == "quick"
PADS = range(5000, 5030) if IS_QUICK else range(1000, 1400)
EDGES = (0.0, 0.8, 0.95, 1.01) if IS_QUICK else (0.0, 0.5, 0.7, 0.85, 0.95, 1.01)


@pytest.mark.soak
def test_a_low_spot_is_there_about_as_often_as_it_is_said_to_be():
    """Surveyed pads with a known surface: in each class the share that is there is the likelihood, within 0.1."""
    pairs = [pair for seed in PADS for pair in told_and_true(seed)]
    assert len(pairs) > len(PADS)
    for number, told, true in by_class(pairs, EDGES):
        # Chance alone moves a share of so many by its standard deviation.
        chance = math.sqrt(max(told * (1 - told), 0.01) / number)
        assert abs(true - told) < 0.1 + 2.5 * chance, (number, told, true)


@pytest.mark.reference("open-scans")
@pytest.mark.parametrize(
    "name",
    ["laspy/file_with_both_wkt_and_geotiff_vlrs.las", "pdal/autzen-bmx-2010.las", "pdal/autzen_trim.las"],
)
def test_nine_in_ten_intervals_hold_the_height_that_was_left_out(name):
    """150 ground points of an open scan as shots, ten times over: 90 % intervals hold 85 to 95 % of the others."""
    with shared_data("elevation", *name.split("/")).open("rb") as handle:
        parts = list(open_scan(handle, name, "us", Complaints()).parts())
    ground = np.concatenate([xyz[is_ground] for xyz, is_ground in parts])
    middle = np.median(ground[:, :2], axis=0)
    ground = ground[(np.abs(ground[:, :2] - middle) < 40).all(axis=1)]
    covered = []
    for seed in range(10):
        order = np.random.default_rng(seed).permutation(len(ground))
        surface = Surface.near(ground[order[:150]])
        held = ground[order[150:1150]]
        sd = np.sqrt(surface.variance(held[:, :2]) + surface.covariance.nugget)
        covered.append(np.mean(np.abs(held[:, 2] - surface.height(held[:, :2])) < 1.645 * sd))
    assert 0.85 < np.mean(covered) < 0.95
