"""The same answers the slow and plain way."""

from __future__ import annotations

import heapq
import math

import numpy as np


def flooded(height: np.ndarray, drains_at: np.ndarray) -> np.ndarray:
    """Fill a raster by priority-flood on a heap (Barnes, Lehman and Mulla 2014, algorithm 1), from given outlets."""
    level = np.full(height.shape, np.nan)
    queue = [(drains_at[cell], cell) for cell in np.ndindex(height.shape) if np.isfinite(drains_at[cell])]
    heapq.heapify(queue)
    while queue:
        at, (row, col) = heapq.heappop(queue)
        if not math.isnan(level[row, col]):
            continue
        level[row, col] = at
        for r in range(max(row - 1, 0), min(row + 2, height.shape[0])):
            for c in range(max(col - 1, 0), min(col + 2, height.shape[1])):
                if math.isnan(level[r, c]) and not math.isnan(height[r, c]):
                    heapq.heappush(queue, (max(at, height[r, c]), (r, c)))
    return level


def straightedge_gap(profile: np.ndarray, spacing: float, length: float) -> float:
    """Lay a straightedge at every start on a profile and build the upper hull under it, point by point."""
    spans = math.floor(length / spacing + 1e-9)
    worst = 0.0
    if (len(profile) - 1) * spacing < length - 1e-9:
        return worst
    for start in range(len(profile) - spans):
        window = profile[start : start + spans + 1]
        hull = [0]
        for i in range(1, len(window)):
            while len(hull) > 1 and _is_below(window, hull[-2], hull[-1], i):
                hull.pop()
            hull.append(i)
        worst = max(worst, float((np.interp(np.arange(len(window)), hull, window[hull]) - window).max()))
    return worst


def _is_below(z: np.ndarray, a: int, b: int, c: int) -> bool:
    return (z[b] - z[a]) * (c - a) <= (z[c] - z[a]) * (b - a)


def kriged(xyz: np.ndarray, at: np.ndarray, sill: float, reach: float, nugget: float) -> tuple[np.ndarray, np.ndarray]:
    """Universal kriging as its bordered system of equations (Cressie 1993, section 3.4), solved at once."""

    def covariance(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        d = math.sqrt(3) * np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1]) / reach
        return sill * (1 + d) * np.exp(-d)

    def drift(places: np.ndarray) -> np.ndarray:
        return np.column_stack([np.ones(len(places)), places])

    n, shots = len(xyz), xyz[:, :2]
    system = np.zeros((n + 3, n + 3))
    system[:n, :n] = covariance(shots, shots) + nugget * np.eye(n)
    system[:n, n:] = drift(shots)
    system[n:, :n] = drift(shots).T
    right = np.vstack([covariance(shots, at), drift(at).T])
    solved = np.linalg.solve(system, right)
    return solved[:n].T @ xyz[:, 2], sill - np.einsum("ij,ij->j", solved, right)
