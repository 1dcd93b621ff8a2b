"""Values that are exact on a coarse lattice, carried to a fine one by bicubic splines, under control of their error."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from courtwright.ground.lattice import lattice_points

Array = NDArray[np.float64]

#: Coarse nodes stand this many to the covariance's reach; the surface between is as smooth as a spline.
_NODES_PER_REACH = 10
#: The step is halved while a tried place is off by more, at most so often. [m], [-]
_ALLOWED, _MOST_HALVINGS = 3e-5, 2
#: So many places are tried. [-]
_TRIED = 200


def spline_matrix(coarse: Array, fine: Array) -> Array:
    """Return the matrix that carries values at ``coarse`` to ``fine`` by a cubic spline, shape (fine, coarse). [-]"""
    spline: BSpline = make_interp_spline(coarse, np.eye(len(coarse)), k=min(3, len(coarse) - 1))
    return np.asarray(spline(fine))


def carried(
    exact: Callable[[Array], Array], x: Array, y: Array, reach: float, off: Callable[[Array, Array], Array]
) -> Array:
    """Return values at the nodes of a lattice, shape (k, rows, cols).

    Parameters
    ----------
    exact : callable
        Gives k values at places of shape (m, 2) [m], shape (k, m).
    x, y : ndarray
        The lattice's columns and rows, ascending. [m]
    reach : float
        Of the covariance. [m]
    off : callable
        Gives by how much carried values of shape (k, m) differ from exact ones. [m]

    Notes
    -----
    Tried at 200 places of the lattice beside the coarse nodes, spread by multiples of irrational numbers and laid out
    the same on each side, so that a pad turned or mirrored is carried as finely.
    """
    step = reach / _NODES_PER_REACH
    tried = _tried(x, y)
    truth: Array | None = None
    for halving in range(_MOST_HALVINGS + 1):
        coarse_x, coarse_y = _coarser(x, step), _coarser(y, step)
        if coarse_x is x and coarse_y is y:
            break
        nodes = exact(lattice_points(coarse_x, coarse_y)).reshape(-1, len(coarse_y), len(coarse_x))
        up, across = spline_matrix(coarse_y, y), spline_matrix(coarse_x, x)
        if halving == _MOST_HALVINGS:
            return up @ nodes @ across.T
        rows, cols = tried
        truth = exact(np.column_stack([x[cols], y[rows]])) if truth is None else truth
        guess = np.einsum("mi,kij,mj->km", up[rows], nodes, across[cols], optimize=True)
        if off(guess, truth).max() <= _ALLOWED:
            return up @ nodes @ across.T
        step /= 2
    return exact(lattice_points(x, y)).reshape(-1, len(y), len(x))


def _tried(x: Array, y: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns that are the same places however the pad was turned or mirrored."""
    ordinal = np.arange(1, _TRIED // 8 + 1)
    one, other = ordinal * math.sqrt(2) % 1, ordinal * math.sqrt(3) % 1
    up, across = np.concatenate([one, other]), np.concatenate([other, one])
    row, col = (up * len(y)).astype(np.intp), (across * len(x)).astype(np.intp)
    last_row, last_col = len(y) - 1, len(x) - 1
    rows = np.concatenate([row, last_row - row, row, last_row - row])
    return rows, np.concatenate([col, col, last_col - col, last_col - col])


def _coarser(fine: Array, step: float) -> Array:
    span = fine[-1] - fine[0]
    count = max(4, math.ceil(span / step) + 1)
    return fine if count >= len(fine) else np.linspace(fine[0], fine[-1], count)
