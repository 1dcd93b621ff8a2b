"""Heights between the shots: universal kriging to a grid, with its standard uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import KDTree
from shapely import Polygon

from courtwright.ground.kriging.nearest import thinned_places
from courtwright.ground.kriging.surface import SHOT_LIMIT, Surface, estimated_for
from courtwright.ground.lattice import cell_for, lattice, lattice_points, nodes_on
from courtwright.ground.reading import HeightGrid
from courtwright.says import Says, say
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import tolerances

__all__ = [
    "SHOT_LIMIT", "Heights", "Surface", "cell_for", "doubtful_shots", "gridded", "heights", "lattice", "lattice_points",
    "nodes_on", "usable_shots",
]  # fmt: skip

Array = NDArray[np.float64]

#: A scan has at most 40,000 blocks; of more shots than these, so many that stand evenly are kept. [-]
SCAN_LIMIT = 60_000
#: Shots within this share of their spread of one line tell no plane.
_COLLINEAR = 1e-3
#: Of a scan, a shot is of no ground that stands so many robust deviations, and so far, off the middle of so many
#: around. [-], [m], [-]
_STRAY, _STRAY_OFF, _AROUND = 6.0, 0.03, 15
#: So seldom may any shot of a survey be called doubtful by chance alone. [-]
_BY_CHANCE = 0.01
#: Less than this is not worth a second look; and so many are named. [m], [-]
_LEAST_OVER, _MOST_NAMED = 0.005, 5


@dataclass(frozen=True, slots=True)
class Heights:
    """A pad's heights: the grid, and the surface that it was taken from."""

    grid: HeightGrid
    surface: Surface


def heights(pad: Pad) -> tuple[Heights | None, tuple[Says, ...]]:
    """Return the heights of a pad, None when its shots tell no surface, and notes on what was done to the shots.

    Parameters
    ----------
    pad : Pad
        A pad, its shots with it. Shots farther than a foot off the pad are of other ground and left out.

    Returns
    -------
    Heights or None
        None with fewer than three shots on the pad, or with all of them on one line.
    tuple of Says
        What was done to the shots; why there is no surface although there are shots.
    """
    xyz, notes = usable_shots(pad)
    if len(xyz) < 3 or _is_on_a_line(xyz):
        why = () if pad.shots is None else (say("ground.no-surface", count=len(xyz), source=pad.shots.source),)
        return None, (*notes, *why)
    first = Surface.through(xyz, estimated_for(xyz))
    surface = first.loosened(xyz)
    doubts = doubtful_shots(first, xyz, pad.shots) if pad.shots and len(xyz) <= SHOT_LIMIT else ()
    return Heights(gridded(surface, pad.outline, len(xyz)), surface), (*notes, *doubts)


def doubtful_shots(surface: Surface, xyz: Array, shots: Shots) -> tuple[Says, ...]:
    """Return a note on each shot that stands over or under what all others say there, by more than chance makes of it.

    Parameters
    ----------
    surface : Surface
        The surface near the shots, with the covariance that they make most likely.
    xyz : ndarray, shape (n, 3)
        The shots. [m]
    shots : Shots
        As read, with their names.
    """
    over, sd = surface.without_each()
    limit = NormalDist().inv_cdf(1 - _BY_CHANCE / (2 * len(xyz)))
    bad = np.flatnonzero((np.abs(over) > limit * sd) & (np.abs(over) > _LEAST_OVER))
    worst = bad[np.argsort(-np.abs(over[bad]) / sd[bad])][:_MOST_NAMED]
    return tuple(_doubt(float(over[i]), xyz[i], shots) for i in worst)


def _doubt(over: float, shot: Array, shots: Shots) -> Says:
    x, y = (float(v) for v in shot[:2])
    nearest = int(np.hypot(*(shots.xyz[:, :2] - shot[:2]).T).argmin())
    name = shots.names[nearest] if shots.names else ""
    way = "ground.shot-high" if over > 0 else "ground.shot-low"
    return say(way, name=name, x=x, y=y, off=abs(over), source=shots.source)


def usable_shots(pad: Pad) -> tuple[Array, tuple[Says, ...]]:
    """Return the shots on the pad, shape (n, 3) [m], those at one place merged, and notes on what was done."""
    if pad.shots is None:
        return np.empty((0, 3)), ()
    xyz = np.asarray(pad.shots.xyz, dtype=np.float64).reshape(-1, 3)
    xyz = xyz[np.isfinite(xyz).all(axis=1)]
    near = pad.outline.buffer(tolerances().shot_reach)
    on_pad = shapely.intersects_xy(near, xyz[:, 0], xyz[:, 1])
    kept = _merged(xyz[on_pad])
    notes: list[Says] = []
    if not on_pad.all():
        notes.append(say("ground.shots-off-pad", count=int((~on_pad).sum()), source=pad.shots.source))
    if len(kept) > SHOT_LIMIT:
        kept, told = _scanned(kept, pad.shots.source)
        notes.extend(told)
    return kept, tuple(notes)


def _scanned(xyz: Array, source: str) -> tuple[Array, list[Says]]:
    """Return the shots of a scan without those that are of no ground, as many as can be solved for, and notes."""
    stray = _stray(xyz)
    kept, notes = xyz[~stray], [say("ground.shots-stray", count=int(stray.sum()), source=source)] if stray.any() else []
    if len(kept) > SCAN_LIMIT:
        thinned = kept[thinned_places(kept[:, :2], SCAN_LIMIT)]
        notes.append(say("ground.shots-thinned", count=len(kept), kept=len(thinned), source=source))
        kept = thinned
    return kept, notes


def _stray(xyz: Array) -> NDArray[np.bool_]:
    """Return which shots stand far off the middle height of those around, a plane taken off all. shape (n,)"""
    terms = np.column_stack([np.ones(len(xyz)), xyz[:, :2] - xyz[:, :2].mean(axis=0)])
    level = xyz[:, 2] - terms @ np.linalg.lstsq(terms, xyz[:, 2])[0]
    _, around = KDTree(xyz[:, :2]).query(xyz[:, :2], k=_AROUND)
    off = np.abs(level - np.median(level[around], axis=1))
    return off > max(_STRAY * 1.4826 * float(np.median(off)), _STRAY_OFF)


def _merged(xyz: Array) -> Array:
    """Return the shots with those at exactly one place replaced by their mean, in the order of first reading."""
    _, first, group = np.unique(xyz[:, :2], axis=0, return_index=True, return_inverse=True)
    if len(first) == len(xyz):
        return xyz
    group = group.ravel()
    mean = np.bincount(group, xyz[:, 2]) / np.bincount(group)
    order = np.argsort(first)
    return np.column_stack([xyz[first[order], :2], mean[order]])


def _is_on_a_line(xyz: Array) -> bool:
    spread = np.linalg.svd(xyz[:, :2] - xyz[:, :2].mean(axis=0), compute_uv=False)
    return bool(spread[1] <= _COLLINEAR * spread[0])


def gridded(surface: Surface, outline: Polygon, shots: int) -> HeightGrid:
    """Return a surface on the grid of a pad.

    Parameters
    ----------
    surface : Surface
        The surface.
    outline : Polygon
        The pad's outline; nodes off it are NaN. [m]
    shots : int
        How many shots the surface rests on. [-]
    """
    left, low, right, high = outline.bounds
    cell = cell_for(right - left, high - low, is_scanned=shots > SHOT_LIMIT)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    height, sd = surface.both_on(x, y)
    off = ~nodes_on(outline, x, y)
    height[off] = np.nan
    sd[off] = np.nan
    return HeightGrid(float(x[0]), float(y[0]), cell, height, sd, shots)
