"""Heights beside pykrige, filling beside scikit-image, and a pad read whole; a 156 by 120 ft battery."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pykrige
import skimage
from pykrige.uk import UniversalKriging
from shapely import box
from skimage.morphology import reconstruction

from courtwright.ground import read_pad
from courtwright.ground.covariance import Covariance
from courtwright.ground.filling import filled
from courtwright.ground.flatness import largest_gaps
from courtwright.ground.heights import Surface, heights, lattice, lattice_points
from courtwright.site.record import Court, Pad, Shots

SIZE = (156 * 0.3048, 120 * 0.3048)
SHOTS = 250
KNOWN = Covariance(sill=0.006**2, reach=4.0, nugget=0.001**2)
X, Y = lattice(0, SIZE[0], 0.254), lattice(0, SIZE[1], 0.254)


def _survey() -> Pad:
    random = np.random.default_rng(0)
    places = random.random((SHOTS, 2)) * SIZE
    x, y = places.T
    height = 0.009 * x + 0.006 * np.sin(x / 2.2) * np.cos(y / 3) + random.normal(0, 0.001, SHOTS)
    courts = tuple(Court(str(i + 1), "tennis", (30 * 0.3048 + i * 48 * 0.3048, 60 * 0.3048)) for i in range(3))
    return Pad("pad", box(0, 0, *SIZE), courts=courts, shots=Shots(np.column_stack([places, height])))


def _peer(xyz: np.ndarray) -> UniversalKriging:
    def variogram(parameters: Any, distance: np.ndarray) -> np.ndarray:
        scaled = math.sqrt(3) * distance / parameters[1]
        return parameters[2] + parameters[0] * (1 - (1 + scaled) * np.exp(-scaled))

    return UniversalKriging(
        *xyz.T * [[1], [1], [1000]], variogram_model="custom", variogram_function=variogram,
        variogram_parameters=[36.0, 4.0, 1.0], drift_terms=["regional_linear"], exact_values=False,
    )  # fmt: skip


def test_heights_and_uncertainty_on_a_grid(beside: Any):
    """27,000 nodes with their uncertainty, parameters given; the two agree within 0.1 mm."""
    xyz = _survey().shots.xyz
    nodes = lattice_points(X, Y)
    surface, peer = Surface.through(xyz, KNOWN), _peer(xyz)
    theirs, variance = peer.execute("points", *nodes.T)
    ours, sd = surface.height_on(X, Y).ravel(), surface.sd_on(X, Y).ravel()
    assert np.abs(ours * 1000 - theirs).max() < 0.1
    assert np.abs(sd * 1000 - np.sqrt(variance - 1.0)).max() < 0.1

    def solve_and_grid() -> None:
        fresh = Surface.through(xyz, KNOWN)
        fresh.height_on(X, Y)
        fresh.sd_on(X, Y)

    beside(
        f"kriging, {len(nodes)} nodes", solve_and_grid, f"pykrige {pykrige.__version__}",
        lambda: _peer(xyz).execute("points", *nodes.T), most=0.5, rounds=3,
    )  # fmt: skip


def test_depressions_filled(beside: Any):
    """A rough 400 by 400 raster, level and way out of every cell; scikit-image gives the level alone."""
    height = np.random.default_rng(1).normal(size=(400, 400)).cumsum(0).cumsum(1) * 1e-3
    seed = height.copy()
    seed[1:-1, 1:-1] = height.max()
    footprint = np.ones((3, 3))
    assert np.array_equal(filled(height).level, reconstruction(seed, height, method="erosion", footprint=footprint))
    beside(
        "filling, 160,000 cells", lambda: filled(height), f"scikit-image {skimage.__version__} reconstruction",
        lambda: reconstruction(seed, height, method="erosion", footprint=footprint), most=8.0,
    )  # fmt: skip


def test_the_largest_gap_under_a_straightedge(within: Any):
    """16 directions over 40,000 nodes in under 0.6 s; there is no peer."""
    height = np.random.default_rng(2).normal(size=(200, 200)) * 1e-3
    assert largest_gaps(height, 0.254, 3.048) is not None
    within("straightedge, 40,000 nodes", lambda: largest_gaps(height, 0.254, 3.048), limit=0.6, rounds=5)


def test_heights_of_a_pad(within: Any):
    """250 shots on 156 by 120 ft, parameters estimated, under 0.5 s."""
    pad = _survey()
    assert heights(pad)[0] is not None
    within(f"heights of a pad, {SHOTS} shots", lambda: heights(pad), limit=0.5, rounds=5)


def test_a_pad_read_whole(within: Any):
    """The same pad with its courts, flatness, low spots and their likelihoods, under 1.5 s."""
    pad = _survey()
    assert read_pad(pad).heights is not None
    within(f"a pad read whole, {SHOTS} shots", lambda: read_pad(pad), limit=1.5, rounds=5)
