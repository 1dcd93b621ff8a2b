"""Pads to read, made in a line, and the same pad moved, turned and mirrored."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from shapely import LineString, Point, box, transform

from courtwright.site.record import Court, Mark, Pad, Shots

FOOT, INCH = 0.3048, 0.0254
Points = np.ndarray


def crack(ordinal: int, *places: tuple[float, float], **properties: object) -> Mark:
    return Mark(f"crack-{ordinal}", "crack", LineString(places), properties)


def pad(*marks: Mark, size: tuple[float, float] = (20.0, 10.0), **more: object) -> Pad:
    return replace(Pad("pad", box(0, 0, *size), marks=marks), **more)


def shots(surface: Callable[[Points, Points], Points], places: Points, noise: float = 0.0, seed: int = 0) -> Shots:
    height = surface(places[:, 0], places[:, 1])
    height = height + np.random.default_rng(seed).normal(0, noise, len(places)) if noise else height
    return Shots(np.column_stack([places, height]))


def spread(count: int, size: tuple[float, float], seed: int = 0) -> Points:
    return np.random.default_rng(seed).random((count, 2)) * size


def rows(size: tuple[float, float], step: float) -> Points:
    x, y = (np.linspace(0, side, round(side / step) + 1) for side in size)
    return np.column_stack([axis.ravel() for axis in np.meshgrid(x, y)])


#: Frames in which a person may have written the same pad: (turn and mirror matrix, shift), and how it turns courts.
MOTIONS: dict[str, tuple[Points, Points, Callable[[float], float]]] = {
    "moved": (np.eye(2), np.array([1234.5, -87.25]), lambda turned: turned),
    "turned": (np.array([[0.0, -1.0], [1.0, 0.0]]), np.zeros(2), lambda turned: turned - np.pi / 2),
    "mirrored": (np.array([[-1.0, 0.0], [0.0, 1.0]]), np.zeros(2), lambda turned: -turned),
    "all three": (np.array([[0.0, 1.0], [1.0, 0.0]]), np.array([-40.0, 600.0]), lambda turned: np.pi / 2 - turned),
}


def moved(there: Pad, motion: str) -> Pad:
    matrix, shift, turn = MOTIONS[motion]

    def carry(places: Points) -> Points:
        return places @ matrix.T + shift

    xyz = there.shots
    return replace(
        there,
        outline=transform(there.outline, carry),
        courts=tuple(Court(c.id, c.sport, tuple(carry(np.array([c.centre]))[0]), turn(c.turned)) for c in there.courts),
        shots=Shots(np.column_stack([carry(xyz.xyz[:, :2]), xyz.xyz[:, 2]])) if xyz else None,
        marks=tuple(replace(m, geometry=transform(m.geometry, carry)) for m in there.marks),
    )


def taps(hollow: int, solid: int, start: tuple[float, float] = (1.0, 5.0)) -> list[Mark]:
    sounds = ["hollow"] * hollow + ["solid"] * solid
    return [
        Mark(f"tap-{i}", "sounding", Point(start[0] + i * 0.3, start[1]), {"sounds": s}) for i, s in enumerate(sounds)
    ]
