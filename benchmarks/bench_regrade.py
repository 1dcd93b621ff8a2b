"""The plane of least asphalt: a million nodes beside the whole linear programme, and a battery of four courts."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.optimize import linprog
from shapely import box

from courtwright.ground.regrade.plane import Ground, LeastPlane, least_plane
from courtwright.ground.regrade.read import Asked, pad_regrade
from courtwright.site.record import Court, Pad, Shots
from courtwright.trade.load import tolerances

FOOT, LEAST, STEEP = 0.3048, 0.038, 0.05
BATTERY = (204 * FOOT, 120 * FOOT)


def _surface(x: np.ndarray, y: np.ndarray, grain: float) -> np.ndarray:
    """Return a fall of 1 %, undulations of some metres, and grain. [m]"""
    waves = 0.006 * np.sin(x / 3 + 1) * np.cos(y / 4) + 0.004 * np.sin((x + y) / 7)
    return 30 - 0.0095 * x + 0.002 * y + waves + np.random.default_rng(0).normal(0, grain, x.shape)


def _nodes(side: int, width: float, length: float) -> Ground:
    x, y = (axis.ravel() for axis in np.meshgrid(np.linspace(0, width, side), np.linspace(0, length, side)))
    return Ground(x, y, _surface(x, y, 0.0003), np.full(side**2, width * length / side**2))


def _whole(ground: Ground) -> np.ndarray:
    """Return level and gradient from every node a row, the gradient in a square."""
    matrix = np.column_stack([np.ones(len(ground.x)), ground.x, ground.y])
    goal = ground.area @ matrix / ground.area.sum()
    square = (-STEEP, STEEP)
    return linprog(goal, -matrix, -ground.z - LEAST, bounds=[(None, None), square, square], method="highs").x


def _mean(ground: Ground, level: float, gradient: Any) -> float:
    above = level + gradient[0] * ground.x + gradient[1] * ground.y - ground.z
    return float(ground.area @ above / ground.area.sum())


@pytest.mark.parametrize("side", [100, 1000])
def test_a_plane_beside_the_whole_programme(beside: Any, side: int):
    """Any slope up to 5 %, which binds neither: the same mean thickness within 0.1 µm."""
    ground = _nodes(side, 18.0, 36.0)
    ours, theirs = least_plane(ground, LEAST, 0.0, STEEP), _whole(ground)
    assert isinstance(ours, LeastPlane)
    assert math.hypot(*theirs[1:]) < STEEP
    assert _mean(ground, ours.plane.level, ours.plane.gradient) == pytest.approx(
        _mean(ground, theirs[0], theirs[1:]), abs=1e-7
    )
    beside(
        f"plane over {side**2} nodes", lambda: least_plane(ground, LEAST, 0.0, STEEP),
        f"HiGHS, all rows, scipy {scipy.__version__}", lambda: _whole(ground),
        most=0.01 if side == 1000 else 0.6, rounds=7 if side == 1000 else 10,
    )  # fmt: skip


@pytest.mark.parametrize("fall", [0.0095, 0.001, 0.02])
def test_a_plane_in_the_slope_window_over_a_million_nodes(within: Any, fall: float):
    """0.83 to 1 %: inside it, too flat and too steep; there is no peer, since the window is no convex set."""
    ground, limits = _nodes(1000, *BATTERY), tolerances()
    tilted = Ground(ground.x, ground.y, ground.z + (0.0095 - fall) * ground.x, ground.area)
    found = least_plane(tilted, LEAST, limits.slope_min, limits.slope_max)
    assert isinstance(found, LeastPlane)
    assert tilted.above(found.plane).min() == pytest.approx(LEAST, abs=1e-9)
    within(
        f"plane in its window, a million nodes, {100 * fall:g} %",
        lambda: least_plane(tilted, LEAST, limits.slope_min, limits.slope_max), limit=0.05, rounds=7,
    )  # fmt: skip


def _battery() -> Pad:
    x, y = (axis.ravel() for axis in np.meshgrid(np.linspace(0, BATTERY[0], 25), np.linspace(0, BATTERY[1], 15)))
    courts = tuple(Court(str(i + 1), "tennis", ((30 + 48 * i) * FOOT, 60 * FOOT)) for i in range(4))
    return Pad(
        "battery", box(0, 0, *BATTERY), courts=courts, shots=Shots(np.column_stack([x, y, _surface(x, y, 1e-3)]))
    )


@pytest.mark.parametrize(("layout", "limit"), [("one", 3.0), ("courts", 8.0)])
def test_a_battery_of_four_courts_regraded_whole(within: Any, layout: Any, limit: float):
    """204 by 120 ft, 375 shots: heights, planes, stakes."""
    pad = _battery()
    assert pad_regrade(pad, Asked(layout=layout)).surface is not None
    within(f"four courts made even, layout {layout}", lambda: pad_regrade(pad, Asked(layout=layout)), limit, rounds=3)
