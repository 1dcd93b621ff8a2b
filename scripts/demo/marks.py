"""Marks as a walker draws them: lines with a gentle tremor, ends that meet, properties in trade notation."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Line = NDArray[np.float64]

#: How far a walker's end stops short of the line it meets. [ft]
SHORT_OF = 0.08


def wandering(rng: np.random.Generator, rough: Sequence[Point], *, reach: float = 0.5, step: float = 4.0) -> Line:
    """Return a line through ``rough`` with points every ``step`` that stray up to about ``reach``; ends stay. [ft]"""
    corners = np.asarray(rough, dtype=float)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    count = max(3, round(along[-1] / step) + 1)
    stations = np.linspace(0.0, along[-1], count)
    base = np.column_stack([np.interp(stations, along, corners[:, i]) for i in (0, 1)])
    heading = np.gradient(base, axis=0)
    heading /= np.hypot(*heading.T)[:, None]
    stray = np.zeros(count)
    for i in range(1, count):
        stray[i] = 0.6 * stray[i - 1] + rng.normal(0.0, 0.5 * reach)
    stray *= np.minimum(1.0, 2.5 * np.sin(np.pi * stations / along[-1]))
    return base + np.column_stack([-heading[:, 1], heading[:, 0]]) * stray[:, None]


def place_on(line: Line, near: Point) -> Point:
    """Return the place on a line that is nearest to a point. [ft]"""
    start, run = line[:-1], np.diff(line, axis=0)
    share = np.clip(np.sum((np.asarray(near) - start) * run, axis=1) / np.sum(run**2, axis=1), 0.0, 1.0)
    feet = start + share[:, None] * run
    x, y = feet[np.argmin(np.hypot(*(feet - np.asarray(near)).T))]
    return float(x), float(y)


def meeting(line: Line, near: Point, coming_from: Point) -> Point:
    """Return where a crack that comes from a point stops, just short of the line that it meets near a place. [ft]"""
    foot = np.asarray(place_on(line, near))
    back = np.asarray(coming_from) - foot
    x, y = foot + SHORT_OF * back / np.hypot(*back)
    return float(x), float(y)


def feature(pad: str, mark: str, geometry: object, **properties: object) -> dict[str, object]:
    """Return one GeoJSON feature; geometry is a point, a line or a ring by its depth. [ft]"""
    return {
        "type": "Feature",
        "properties": {"mark": mark, "pad": pad, **properties},
        "geometry": _geometry(geometry),
    }


def ring(corners: Sequence[Point]) -> list[list[Point]]:
    """Return the corners as a polygon's one closed ring. [ft]"""
    return [[*corners, corners[0]]]


def round_ring(rng: np.random.Generator, centre: Point, half_axes: Point, count: int = 14) -> list[list[Point]]:
    """Return a chalked oval that is not quite true. [ft]"""
    angles = np.arange(count) * 2 * np.pi / count
    scale = 1.0 + rng.normal(0.0, 0.05, count)
    x = centre[0] + half_axes[0] * scale * np.cos(angles)
    y = centre[1] + half_axes[1] * scale * np.sin(angles)
    return ring([(float(a), float(b)) for a, b in zip(x, y, strict=True)])


def _geometry(coordinates: object) -> dict[str, object]:
    places = np.round(np.asarray(coordinates, dtype=float), 2)
    return {"type": ("Point", "LineString", "Polygon")[places.ndim - 1], "coordinates": places.tolist()}
