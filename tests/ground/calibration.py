"""Pads whose true surface is known, surveyed with a level: how likely a low spot is said to be, and whether it is."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator

import numpy as np
from scipy.interpolate import RectBivariateSpline
from shapely import box

from courtwright.ground.covariance import Covariance
from courtwright.ground.filling import areas, filled
from courtwright.ground.heights import heights, lattice_points, nodes_on
from courtwright.ground.low_spots import low_spots, water_of
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import tolerances

#: One court. [m]
SIZE = (18.3, 36.6)
#: Noise of a shot. [m]
NOISE = 0.001


@functools.cache
def _root(reach: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return columns, rows and the root of a unit covariance on a lattice of 0.6 m."""
    x, y = np.linspace(0, SIZE[0], 31), np.linspace(0, SIZE[1], 61)
    places = lattice_points(x, y)
    joint = Covariance(1.0, reach, 0.0).between(places, places)
    return x, y, np.linalg.cholesky(joint + 1e-8 * np.eye(len(places)))


def _surface(random: np.random.Generator) -> Callable[[np.ndarray, np.ndarray], np.ndarray]:
    """Return a tilted surface with undulations of 4 to 12 mm over 2 to 4.5 m. [m]"""
    x, y, root = _root(float(random.choice([2.0, 3.0, 4.5])))
    spread, slope = random.uniform(0.004, 0.012), random.uniform(0.001, 0.008)
    waves = RectBivariateSpline(y, x, spread * (root @ random.standard_normal(len(root))).reshape(len(y), len(x)))
    return lambda at_x, at_y: waves(at_y, at_x, grid=False) + slope * at_y


def told_and_true(seed: int) -> Iterator[tuple[float, bool]]:
    """Yield, for each low spot of a surveyed pad, how likely it is said to be and whether it holds water."""
    random = np.random.default_rng(seed)
    height = _surface(random)
    spacing = float(random.choice([1.5, 2.0, 3.0]))
    x, y = np.meshgrid(*(np.arange(0.3, side, spacing) for side in SIZE))
    places = np.column_stack([x.ravel(), y.ravel()]) + random.uniform(-0.1, 0.1, (x.size, 2))
    shots = np.column_stack([places, height(*places.T) + random.normal(0, NOISE, x.size)])
    pad = Pad("p", box(0, 0, *SIZE), shots=Shots(shots))
    found, _ = heights(pad)
    grid = found.grid
    across = grid.x0 + grid.cell * np.arange(grid.height.shape[1])
    up = grid.y0 + grid.cell * np.arange(grid.height.shape[0])
    truth = height(*np.meshgrid(across, up))
    depth = filled(truth).level - truth
    label, count = areas(depth > 0)
    holds = np.zeros(count + 1, dtype=bool)
    holds[label[depth > tolerances().water_test]] = True
    for spot in low_spots(pad, found, (), water_of(pad, found, (), 1)):
        yield spot.likelihood, bool(holds[label[nodes_on(spot.outline, across, up)]].any())


def by_class(pairs: list[tuple[float, bool]], edges: tuple[float, ...]) -> list[tuple[int, float, float]]:
    """Return, by class of likelihood, how many, how likely they were said to be on average, how often they were."""
    told, true = (np.array(values, dtype=float) for values in zip(*pairs, strict=True))
    inside = [(told >= low) & (told < high) for low, high in itertools.pairwise(edges)]
    return [(int(i.sum()), float(told[i].mean()), float(true[i].mean())) for i in inside if i.any()]
