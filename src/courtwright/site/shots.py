"""Makes the shots of a pad from the points of its file: those that are heights of this pad and agree."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.site.complaints import Complaints
from courtwright.site.formats.points_csv import PointList
from courtwright.site.record import Shots

#: A shot may lie so far outside the outline and still be a height of the pad: the outline was taped. [m]
MARGIN = 0.6
#: Two shots nearer than this are one place; there they may differ by so much. [m]
ONE_PLACE = 0.02
AGREE = 0.01
#: Heights of exactly zero mean "none" when nearly all others are farther from zero than this. [m]
FAR_FROM_ZERO = 1.0
#: A shot so far off the plane of the others, and so many times as far as most, is a blunder, no place on a court. [m]
STANDS_OUT = 0.5
_TIMES_MOST = 20.0
#: No plane is known well enough to tell with fewer shots; where more than this share stands out, it is no blunder.
_LEAST_TO_TELL = 8
_MOST_STAND_OUT = 0.05
_ROUNDS = 30
#: So many points are named in a complaint about many.
_NAMED = 5
#: So many places at odds are told one by one.
_MOST_TOLD = 1000


def shots_of(points: PointList, outline: Polygon, file: str, complaints: Complaints) -> Shots | None:
    """Return the heights of one pad, and complain of each point that is none.

    Parameters
    ----------
    points : PointList
        As read. [m]
    outline : Polygon
        The pad. [m]
    file : str
        Where they come from.
    complaints : Complaints
        Takes in what is left out, and why.

    Returns
    -------
    Shots or None
        Places and heights; None when no point is a height of this pad. [m]
    """
    keep = _have_height(points, file, complaints)
    on_pad = _lie_on(points, keep, outline, file, complaints)
    around = points.xyz[keep & ~on_pad]
    keep &= on_pad
    groups = _agreeing(points, np.flatnonzero(keep), file, complaints)
    xyz = np.array([points.xyz[group].mean(axis=0) for group in groups], dtype=np.float64).reshape(-1, 3)
    fits = _fit_in(xyz, [points.lines[group[0]] for group in groups], file, complaints)
    xyz = xyz[fits]
    names = tuple(points.names[group[0]] for group, is_good in zip(groups, fits, strict=True) if is_good)
    return Shots(xyz, names if any(names) else (), file, around) if len(xyz) else None


def _some(points: PointList, which: NDArray[np.bool_]) -> str:
    """Return the first few names (or lines) of some points."""
    chosen = np.flatnonzero(which)
    labels = [points.names[i] or f"line {points.lines[i]}" for i in chosen[:_NAMED]]
    return ", ".join(labels) + (" …" if len(chosen) > _NAMED else "")


def _have_height(points: PointList, file: str, complaints: Complaints) -> NDArray[np.bool_]:
    """Return which points have a height, asking about zeros that most likely mean "none"."""
    z = points.xyz[:, 2]
    blank, zero = np.isnan(z), z == 0.0
    if blank.any():
        complaints.note(file, "", "elevation-blank", points=int(blank.sum()), of=len(z), some=_some(points, blank))
    if not zero.any():
        return ~blank
    others = z[~blank & ~zero]
    if not len(others):
        complaints.error(file, "", "elevation-all-zero", points=int(zero.sum()))
        return np.zeros_like(blank)
    low, high = np.percentile(others, (5, 95))
    if low > FAR_FROM_ZERO or high < -FAR_FROM_ZERO:
        complaints.note(file, "", "elevation-zero", points=int(zero.sum()), of=len(z), some=_some(points, zero))
        return ~blank & ~zero
    return ~blank


def _lie_on(
    points: PointList, keep: NDArray[np.bool_], outline: Polygon, file: str, complaints: Complaints
) -> NDArray[np.bool_]:
    """Return which points lie on the pad, telling how many do not and what would bring them there."""
    on = np.asarray(shapely.dwithin(outline, shapely.points(points.xyz[:, :2]), MARGIN))
    off = keep & ~on
    if off.any():
        lost, total, some = int(off.sum()), int(keep.sum()), _some(points, off)
        if lost < total:
            complaints.note(file, "", "shots-off-pad", points=lost, of=total, some=some)
        else:
            complaints.error(file, "", _code_off(points.xyz[keep], outline), points=lost, some=some)
    return on


def _code_off(xyz: NDArray[np.float64], outline: Polygon) -> str:
    """Return the code that tells what change of reading would bring the shots onto the pad."""
    readings = {
        "shots-all-off-pad-swapped": xyz[:, [1, 0]],
        "shots-all-off-pad-metres": xyz[:, :2] / 0.3048,
        "shots-all-off-pad-feet": xyz[:, :2] * 0.3048,
    }
    for name, xy in readings.items():
        if np.mean(shapely.dwithin(outline, shapely.points(xy), MARGIN)) > 0.5:
            return name
    return "shots-all-off-pad"


def _fit_in(xyz: NDArray[np.float64], lines: list[int], file: str, complaints: Complaints) -> NDArray[np.bool_]:
    """Return which shots are no blunder, and complain of the others: a rod misread, a row cut short, a wall's top."""
    fits = np.ones(len(xyz), dtype=np.bool_)
    if len(xyz) < _LEAST_TO_TELL:
        return fits
    off = _off_common_plane(xyz)
    stands_out = off > max(STANDS_OUT, _TIMES_MOST * float(np.median(off)))
    if stands_out.sum() > max(1, _MOST_STAND_OUT * len(xyz)):
        return fits
    for i in np.flatnonzero(stands_out)[:_MOST_TOLD]:
        complaints.error(file, f"line {lines[i]}", "shot-stands-out", gap=float(off[i]))
    return ~stands_out


def _off_common_plane(xyz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far each height lies off the plane that is nearest to most: least absolute deviations. [m]"""
    centred = xyz - xyz.mean(axis=0)
    drift = np.column_stack([centred[:, :2], np.ones(len(xyz))])
    off = np.abs(centred[:, 2] - np.median(centred[:, 2]))
    for _ in range(_ROUNDS):
        share = 1 / np.sqrt(np.maximum(off, 1e-6))
        plane = np.linalg.lstsq(drift * share[:, None], centred[:, 2] * share, rcond=None)[0]
        off = np.abs(centred[:, 2] - drift @ plane)
    return off


def _agreeing(points: PointList, chosen: NDArray[np.intp], file: str, complaints: Complaints) -> list[list[int]]:
    """Return the points of each place that has one height; places whose shots are at odds are told and left out."""
    xyz = points.xyz[chosen]
    groups = _same_places(xyz[:, :2])
    at_odds = [group for group in groups if float(np.ptp(xyz[group, 2])) > AGREE]
    agreeing = [group for group in groups if float(np.ptp(xyz[group, 2])) <= AGREE]
    for group in at_odds[:_MOST_TOLD]:
        _tell_odds(points, [int(chosen[i]) for i in group], file, complaints)
    if len(at_odds) > _MOST_TOLD:
        complaints.error(file, "", "shots-disagree-more", places=len(at_odds) - _MOST_TOLD)
    twice = sum(len(group) > 1 for group in agreeing)
    if twice:
        complaints.note(file, "", "shots-twice", places=twice)
    return [[int(chosen[i]) for i in group] for group in agreeing]


def _tell_odds(points: PointList, group: list[int], file: str, complaints: Complaints) -> None:
    """Complain of shots at one place whose heights differ."""
    lines = ", ".join(str(points.lines[i]) for i in group[:_NAMED]) + (" …" if len(group) > _NAMED else "")
    x, y, _ = (float(v) for v in points.xyz[group[0]])
    gap = float(np.ptp(points.xyz[group, 2]))
    complaints.error(file, f"lines {lines}", "shots-disagree", x=x, y=y, gap=gap)


def _same_places(xy: NDArray[np.float64]) -> list[list[int]]:
    """Return the indices of points in groups that share a place, in the order of their first.

    Points are first gathered by cells of `ONE_PLACE`, so that many at one place cost no more than few.
    """
    if not len(xy):
        return []
    _, heads, cell = np.unique(np.floor(xy / ONE_PLACE), axis=0, return_index=True, return_inverse=True)
    cell = cell.reshape(-1)
    dots = np.asarray(shapely.points(xy[heads]))
    a, b = shapely.STRtree(dots).query(dots, predicate="dwithin", distance=ONE_PLACE)
    leader = np.arange(len(heads))
    for i, j in zip(a[a < b], b[a < b], strict=True):
        leader[j] = leader[i] = min(leader[j], leader[i])
    groups: dict[int, list[int]] = {}
    for index, own in enumerate(cell):
        groups.setdefault(int(leader[own]), []).append(index)
    return list(groups.values())
