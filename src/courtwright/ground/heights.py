"""Heights between the shots: universal kriging to a grid, with its standard uncertainty."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import RectBivariateSpline
from scipy.linalg import cho_factor, cho_solve, solve_triangular
from scipy.sparse import csr_matrix, identity
from scipy.spatial import KDTree
from shapely import Polygon

from courtwright.ground.covariance import Covariance, estimated, nearest_spacing
from courtwright.ground.reading import HeightGrid
from courtwright.says import Says, say
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Beyond this many shots the exact solve takes seconds and gigabytes; they are thinned by cell median.
SHOT_LIMIT = 3_000
CELL_LIMIT = 40_000
#: Spacing of nodes, in parts of the straightedge, so that it spans a whole number of them; the first that fits.
_PARTS_OF_STRAIGHTEDGE = (12, 10, 8, 6, 5, 4, 3, 2, 1)
#: Each wider spacing for a pad that is no court's, in parts of the last.
_WIDER = 1.05
#: Coarse nodes stand this many to the covariance's reach; the surface between is as smooth as a spline.
_NODES_PER_REACH = 10
#: Shots within this share of their spread of one line tell no plane.
_COLLINEAR = 1e-3
#: Neighbours lie within this many times the usual spacing: on a square lattice the eight around.
_BESIDE = 1.5
#: How often the surface may be given twice the play, and how much of the miss each must leave at most.
_MOST_DOUBLINGS, _HELPS = 6, 0.8
_CHUNK = 4_000
#: So seldom may any shot of a survey be called doubtful by chance alone. [-]
_BY_CHANCE = 0.01
#: Less than this is not worth a second look; and so many are named. [m], [-]
_LEAST_OVER, _MOST_NAMED = 0.005, 5


@dataclass(frozen=True, slots=True)
class Surface:
    """The surface that the shots make most likely, and how far it may be off.

    Universal kriging with a plane as drift. Everything is exact but ``height_on`` and ``sd_on``, which interpolate.

    References
    ----------
    Cressie, "Statistics for Spatial Data", revised ed., 1993, section 3.4.
    Rasmussen and Williams, "Gaussian Processes for Machine Learning", 2006, eq. 2.41 and 2.42.
    """

    covariance: Covariance
    places: Array
    centre: Array
    scale: float
    whitener: Array
    weights: Array
    plane: Array
    white_drift: Array
    plane_factor: Array

    @classmethod
    def near(cls, xyz: Array) -> Surface:
        """Return the surface near shots, shape (n, 3) [m], with the covariance that they make most likely.

        Notes
        -----
        One dip in a true plane is rare and so counts little in the likelihood, which would smooth it away. But
        shots err by no more than chance allows, and neighbours do not err together: while the surface misses a
        shot, or the mean of it and its neighbours, by more, it is given twice the play, as long as that helps.
        """
        return cls.through(xyz, estimated_for(xyz)).loosened(xyz)

    def loosened(self, xyz: Array) -> Surface:
        """Return the surface near the same shots, shape (n, 3) [m], with as much play as they need; see ``near``."""
        surface = self
        beside = _neighbours(surface.places)
        for _ in range(_MOST_DOUBLINGS):
            miss = surface.largest_miss(beside)
            if miss <= _by_chance(len(xyz)):
                break
            looser = Surface.through(xyz, replace(surface.covariance, sill=4 * surface.covariance.sill))
            if looser.largest_miss(beside) > _HELPS * miss:
                break
            surface = looser
        return surface

    def largest_miss(self, beside: csr_matrix) -> float:
        """Return by how much the surface misses a shot or a shot's surroundings, in what chance makes of it. [-]

        Parameters
        ----------
        beside : csr_matrix, shape (n, n)
            Ones where two shots are neighbours, each of itself too. [-]
        """
        off = math.sqrt(self.covariance.nugget) * self.weights
        together = np.abs(beside @ off) / np.sqrt(np.asarray(beside.sum(axis=1)).ravel())
        return float(max(np.abs(off).max(), together.max()))

    @classmethod
    def through(cls, xyz: Array, covariance: Covariance) -> Surface:
        """Return the surface near shots, shape (n, 3) [m], with a given covariance."""
        centre = xyz[:, :2].mean(axis=0)
        places = xyz[:, :2] - centre
        scale = math.sqrt(float(np.mean(np.sum(places**2, axis=1))))
        drift = _drift(places, scale)
        base = float(xyz[:, 2].mean())
        height = xyz[:, 2] - base
        shots = covariance.between(places, places)
        shots[np.diag_indices_from(shots)] += covariance.nugget
        factor: Array = cho_factor(shots, lower=True)[0]
        whitener: Array = solve_triangular(factor, np.eye(len(places)), lower=True)
        white_drift = whitener @ drift
        plane_factor: Array = cho_factor(white_drift.T @ white_drift, lower=True)[0]
        white = whitener @ height
        plane: Array = cho_solve((plane_factor, True), white_drift.T @ white)
        weights = whitener.T @ (white - white_drift @ plane)
        plane[0] += base
        return cls(covariance, places, centre, scale, whitener, weights, plane, white_drift, plane_factor)

    def height(self, at: Array) -> Array:
        """Return the height [m] at places of shape (m, 2) [m]."""
        return np.concatenate([self._height(at[i : i + _CHUNK]) for i in range(0, len(at), _CHUNK)])

    def _height(self, at: Array) -> Array:
        near = at - self.centre
        return _drift(near, self.scale) @ self.plane + self.covariance.between(near, self.places) @ self.weights

    def variance(self, at: Array) -> Array:
        """Return the variance of the height [m²] at places of shape (m, 2) [m], the plane's doubt included."""
        return np.concatenate([self._variance(at[i : i + _CHUNK]) for i in range(0, len(at), _CHUNK)])

    def _variance(self, at: Array) -> Array:
        white, off = self._doubts(at)
        known, drifted = np.einsum("ij,ij->j", white, white), np.einsum("ij,ij->j", off, off)
        return np.maximum(self.covariance.sill - known + drifted, 0.0)

    def joint(self, at: Array) -> Array:
        """Return the joint covariance (m, m) of the heights [m²] at places of shape (m, 2) [m]."""
        white, off = self._doubts(at)
        near = at - self.centre
        return self.covariance.between(near, near) - white.T @ white + off.T @ off

    def _doubts(self, at: Array) -> tuple[Array, Array]:
        near = at - self.centre
        white = self.whitener @ self.covariance.between(self.places, near)
        off = _drift(near, self.scale).T - self.white_drift.T @ white
        return white, solve_triangular(self.plane_factor, off, lower=True)

    def without_each(self) -> tuple[Array, Array]:
        """Return by how much each shot stands over what all others say there, and the standard deviation of that. [m]

        References
        ----------
        Dubrule, "Cross validation of kriging in a unique neighborhood", Mathematical Geology 15 (1983).
        """
        known = np.einsum("ij,ij->j", self.whitener, self.whitener)
        off = solve_triangular(self.plane_factor, (self.whitener.T @ self.white_drift).T, lower=True)
        precision = np.maximum(known - np.einsum("ij,ij->j", off, off), 1e-12)
        return self.weights / precision, 1 / np.sqrt(precision)

    def height_on(self, x: Array, y: Array) -> Array:
        """Return the height at the nodes of a lattice, shape (rows, cols). [m]

        Parameters
        ----------
        x, y : ndarray
            The lattice's columns and rows, ascending. [m]

        Notes
        -----
        Solved exactly on a coarser lattice of a tenth of the covariance's reach and carried to the nodes by
        bicubic splines: within 0.1 mm of the exact surface, at a fraction of the cost.
        """
        return self._carried_to(x, y, self.height)

    def sd_on(self, x: Array, y: Array) -> Array:
        """Return the standard uncertainty at the nodes of a lattice, shape (rows, cols). [m]

        Interpolated as in ``height_on``: within 0.1 mm, or 0.3 mm beside shots that have no noise of their own.
        """
        return np.sqrt(np.maximum(self._carried_to(x, y, self.variance), 0.0))

    def _carried_to(self, x: Array, y: Array, exact: Callable[[Array], Array]) -> Array:
        step = self.covariance.reach / _NODES_PER_REACH
        coarse_x, coarse_y = _coarser(x, step), _coarser(y, step)
        values = exact(lattice_points(coarse_x, coarse_y)).reshape(len(coarse_y), len(coarse_x))
        return _upsampled(coarse_y, coarse_x, values, y, x)


def estimated_for(xyz: Array) -> Covariance:
    """Return the covariance that shots, shape (n, 3) [m], make most likely."""
    places = xyz[:, :2] - xyz[:, :2].mean(axis=0)
    scale = math.sqrt(float(np.mean(np.sum(places**2, axis=1))))
    return estimated(places, xyz[:, 2] - xyz[:, 2].mean(), _drift(places, scale))


def _by_chance(count: int) -> float:
    """Return the largest of so many misses that chance makes, in standard uncertainties. [-]

    The largest of n normal errors comes to about √(2 ln n); the surface takes up a fifth of it.
    """
    return 0.8 * math.sqrt(2 * math.log(max(count, 2)))


def _neighbours(places: Array) -> csr_matrix:
    """Return which shots are neighbours: those within half as far again as the usual nearest."""
    pairs = KDTree(places).query_pairs(_BESIDE * nearest_spacing(places), output_type="ndarray")
    ones = np.ones(len(pairs))
    one_way = csr_matrix((ones, (pairs[:, 0], pairs[:, 1])), shape=(len(places), len(places)))
    return csr_matrix(one_way + one_way.T + identity(len(places)))


def _drift(places: Array, scale: float) -> Array:
    return np.column_stack([np.ones(len(places)), places / scale])


def lattice_points(x: Array, y: Array) -> Array:
    """Return the nodes of a lattice row by row, shape (rows · cols, 2). [m]"""
    across, up = np.meshgrid(x, y)
    return np.column_stack([across.ravel(), up.ravel()])


def _coarser(fine: Array, step: float) -> Array:
    span = fine[-1] - fine[0]
    count = max(4, math.ceil(span / step) + 1)
    return fine if count >= len(fine) else np.linspace(fine[0], fine[-1], count)


def _upsampled(rows: Array, cols: Array, values: Array, y: Array, x: Array) -> Array:
    if rows is y and cols is x:
        return values
    degrees = {"kx": min(3, len(rows) - 1), "ky": min(3, len(cols) - 1)}
    return np.asarray(RectBivariateSpline(rows, cols, values, s=0, **degrees)(y, x))


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
    doubts = doubtful_shots(first, xyz, pad.shots) if pad.shots else ()
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
        thinned = _thinned(kept)
        notes.append(say("ground.shots-thinned", count=len(kept), kept=len(thinned), source=pad.shots.source))
        kept = thinned
    return kept, tuple(notes)


def _merged(xyz: Array) -> Array:
    """Return the shots with those at exactly one place replaced by their mean, in the order of first reading."""
    _, first, group = np.unique(xyz[:, :2], axis=0, return_index=True, return_inverse=True)
    if len(first) == len(xyz):
        return xyz
    group = group.ravel()
    mean = np.bincount(group, xyz[:, 2]) / np.bincount(group)
    order = np.argsort(first)
    return np.column_stack([xyz[first[order], :2], mean[order]])


def _thinned(xyz: Array) -> Array:
    """Return at most 3,000 shots: in each cell of a lattice, the middle one by height."""
    low, high = xyz[:, :2].min(axis=0), xyz[:, :2].max(axis=0)
    side = math.sqrt(float(np.prod(high - low)) / SHOT_LIMIT)
    while True:
        place = np.floor((xyz[:, :2] - (low + high) / 2) / side).astype(np.int64)
        _, cell = np.unique(place, axis=0, return_inverse=True)
        cell = cell.ravel()
        if int(cell.max()) < SHOT_LIMIT:
            break
        side *= 1.1
    order = np.lexsort((xyz[:, 2], cell))
    start = np.searchsorted(cell[order], np.arange(int(cell.max()) + 1))
    stop = np.append(start[1:], len(xyz))
    return xyz[np.sort(order[(start + stop - 1) // 2])]


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
    cell = cell_for(right - left, high - low)
    x, y = lattice(left, right, cell), lattice(low, high, cell)
    height, sd = surface.height_on(x, y), surface.sd_on(x, y)
    off = ~nodes_on(outline, x, y)
    height[off] = np.nan
    sd[off] = np.nan
    return HeightGrid(float(x[0]), float(y[0]), cell, height, sd, shots)


def cell_for(width: float, depth: float) -> float:
    """Return the spacing of nodes for a pad of this size: parts of a straightedge, at most 40,000 nodes. [m]

    Parameters
    ----------
    width, depth : float
        Sides of the pad's bounding box. [m]

    Examples
    --------
    A 156 by 120 ft battery, and a square kilometre:

    >>> round(cell_for(47.5488, 36.576), 4), round(cell_for(1000.0, 1000.0), 2)
    (0.254, 5.21)
    """
    straightedge = tolerances().straightedge
    whole_parts = (straightedge / parts for parts in _PARTS_OF_STRAIGHTEDGE)
    wider = (straightedge * _WIDER**power for power in itertools.count(1))
    sizes = itertools.chain(whole_parts, wider)
    return next(cell for cell in sizes if _nodes(width, cell) * _nodes(depth, cell) <= CELL_LIMIT)


def _nodes(span: float, cell: float) -> int:
    return math.floor(span / cell + 1e-9) + 1


def lattice(low: float, high: float, cell: float) -> Array:
    """Return nodes spaced ``cell`` [m] that lie symmetrically between two ends. [m]

    Examples
    --------
    >>> lattice(0.0, 1.1, 0.5).round(2)
    array([0.05, 0.55, 1.05])
    """
    count = _nodes(high - low, cell)
    return np.asarray((low + high) / 2 + (np.arange(count) - (count - 1) / 2) * cell, dtype=np.float64)


def nodes_on(outline: Polygon, x: Array, y: Array) -> NDArray[np.bool_]:
    """Return which nodes of a lattice lie on the pad, its border included, shape (rows, cols)."""
    widened = outline.buffer(1e-7, join_style="mitre")
    points = lattice_points(x, y)
    shapely.prepare(widened)
    return shapely.intersects_xy(widened, points[:, 0], points[:, 1]).reshape(len(y), len(x))
