"""What the nearest shots alone say: a bound of the doubt, and a first guess that makes the whole solve quick."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular
from scipy.sparse import csr_matrix
from scipy.spatial import KDTree

from courtwright.ground.covariance import Covariance, correlation

Array = NDArray[np.float64]

_FIRST, _BEFORE = 256, 32
_CHUNK = 2_000
_GROWTH = 1.2


def variance_by_nearest(
    covariance: Covariance, tree: KDTree, at: Array, count: int, without_itself: bool = False
) -> Array:
    """Return the variance that the nearest shots leave of a surface without drift, shape (m,). [m²]

    Parameters
    ----------
    covariance : Covariance
        Of the surface and of a shot.
    tree : KDTree
        Of all shots.
    at : ndarray, shape (m, 2)
        Places. [m]
    count : int
        So many shots. [-]
    without_itself : bool
        The places are shots, of which each is left out where it stands.

    Notes
    -----
    Never under the variance that all shots leave: a further shot only narrows it.
    """
    places = np.asarray(tree.data)
    count = min(count + without_itself, len(places))
    found = np.empty(len(at))
    for i in range(0, len(at), _CHUNK):
        there = at[i : i + _CHUNK]
        near = np.asarray(tree.query(there, k=count)[1], dtype=np.intp).reshape(len(there), count)
        _, found[i : i + _CHUNK] = _predicted(covariance, places[near[:, int(without_itself) :]], there)
    return found


def _predicted(covariance: Covariance, near: Array, at: Array) -> tuple[Array, Array]:
    """Return weights (m, k) of shots at (m, k, 2) for the surface at (m, 2), and the variance that they leave (m,)."""
    between = _covariance(covariance, near[:, :, None, :] - near[:, None, :, :])
    diagonal = np.arange(near.shape[1])
    between[:, diagonal, diagonal] += covariance.nugget
    towards = _covariance(covariance, near - at[:, None, :])
    weights = np.asarray(np.linalg.solve(between, towards[:, :, None])[:, :, 0], dtype=np.float64)
    left = covariance.sill - np.einsum("ij,ij->i", weights, towards)
    return weights, np.maximum(left, 0.0)


def _covariance(covariance: Covariance, off: Array) -> Array:
    return covariance.sill * correlation(np.hypot(off[..., 0], off[..., 1]), covariance.reach)


def whitening(covariance: Covariance, places: Array) -> csr_matrix:
    """Return a sparse matrix R, shape (n, n), with RᵀR near the inverse of the shots' covariance. [1/m]

    Parameters
    ----------
    covariance : Covariance
        Of the surface and of a shot.
    places : ndarray, shape (n, 2)
        Where the shots are. [m]

    Notes
    -----
    In a random order each shot is told by the nearest 32 before it: near enough to start from, and no more is asked.

    References
    ----------
    Vecchia, "Estimation and model identification for continuous spatial processes", J. R. Statist. Soc. B 50 (1988).
    """
    n = len(places)
    order = np.random.default_rng(0).permutation(n)
    ordered = places[order]
    first = min(_FIRST, n)
    among = _covariance(covariance, ordered[:first, None] - ordered[None, :first])
    among[np.diag_indices(first)] += covariance.nugget
    factor = solve_triangular(np.linalg.cholesky(among), np.eye(first), lower=True)
    rows, cols = np.tril_indices(first)
    parts = [(rows, cols, factor[rows, cols])]
    while first < n:
        last = min(int(_GROWTH * first), n)
        parts.extend(_rows_before(covariance, ordered, first, last))
        first = last
    row, col, value = (np.concatenate([part[i] for part in parts]) for i in range(3))
    return csr_matrix((value, (row, order[col])), shape=(n, n))


def _rows_before(
    covariance: Covariance, ordered: Array, first: int, last: int
) -> list[tuple[NDArray[np.intp], NDArray[np.intp], Array]]:
    tree = KDTree(ordered[:first])
    parts: list[tuple[NDArray[np.intp], NDArray[np.intp], Array]] = []
    for i in range(first, last, _CHUNK):
        rows = np.arange(i, min(i + _CHUNK, last))
        _, near = tree.query(ordered[rows], k=min(_BEFORE, first))
        near = np.asarray(near, dtype=np.intp)
        weights, left = _predicted(covariance, ordered[near], ordered[rows])
        scale = 1 / np.sqrt(left + covariance.nugget)
        parts.append((rows, rows, scale))
        parts.append((np.repeat(rows, near.shape[1]), near.ravel(), (-weights * scale[:, None]).ravel()))
    return parts


def thinned_places(places: Array, most: int) -> NDArray[np.intp]:
    """Return the ordinals of at most so many shots, spread over all: the one nearest to each square's middle.

    Parameters
    ----------
    places : ndarray, shape (n, 2)
        Where the shots are. [m]
    most : int
        So many at most. [-]
    """
    low, high = places.min(axis=0), places.max(axis=0)
    side = math.sqrt(float(np.prod(high - low)) / most)
    while True:
        at = (places - (low + high) / 2) / side
        _, square = np.unique(np.floor(at).astype(np.int64), axis=0, return_inverse=True)
        square = square.ravel()
        if int(square.max()) < most:
            break
        side *= 1.05
    away = np.hypot(*(at - np.floor(at) - 0.5).T)
    order = np.lexsort((away, square))
    return np.sort(order[np.searchsorted(square[order], np.arange(int(square.max()) + 1))])
