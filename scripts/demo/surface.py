"""The invented surfaces and the level readings taken of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

INCH = 1.0 / 12.0
#: Scatter of one reading, 1 mm. [ft]
NOISE = 0.001 / 0.3048

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shot:
    """One reading: where the rod stood [ft] and why."""

    x: float
    y: float
    why: str


def cap(x: Array, y: Array, centre: tuple[float, float], radius: float, height: float) -> Array:
    """Return a smooth bump, or a dip where ``height`` is negative: half a cosine wave, 0 beyond the radius. [ft]"""
    share = np.minimum(np.hypot(x - centre[0], y - centre[1]) / radius, 1.0)
    return height * 0.5 * (1.0 + np.cos(np.pi * share))


def grid(width: float, depth: float, spacing: float) -> list[tuple[float, float]]:
    """Return the places of an even grid over a rectangle, edges included, row by row as one walks. [ft]"""
    columns = np.linspace(0.0, width, round(width / spacing) + 1)
    rows = np.linspace(0.0, depth, round(depth / spacing) + 1)
    places: list[tuple[float, float]] = []
    for number, y in enumerate(rows):
        walked = columns if number % 2 == 0 else columns[::-1]
        places.extend((float(x), float(y)) for x in walked)
    return places


def paced(
    rng: np.random.Generator, places: Iterable[tuple[float, float]], size: tuple[float, float], why: str
) -> list[Shot]:
    """Return shots near the places meant: a rod inside the pad stands within a few inches of them. [ft]"""
    shots: list[Shot] = []
    for x, y in places:
        shift = rng.normal(0.0, 0.2, 2)
        inside = [
            limit if value >= limit else 0.0 if value <= 0.0 else min(max(value + move, 0.2), limit - 0.2)
            for value, move, limit in zip((x, y), shift, size, strict=True)
        ]
        at_edge = any(value in (0.0, limit) for value, limit in zip(inside, size, strict=True))
        corner = all(value in (0.0, limit) for value, limit in zip(inside, size, strict=True))
        word = "corner" if corner and why == "grid" else "edge" if at_edge and why == "grid" else why
        shots.append(Shot(round(inside[0], 1), round(inside[1], 1), word))
    return shots


def readings(
    rng: np.random.Generator, shots: Sequence[Shot], surface: Callable[[Array, Array], Array], first: int
) -> str:
    """Return the shots file: every place read once, with the scatter of the instrument. [ft]"""
    seen: dict[tuple[float, float], Shot] = {}
    for shot in shots:
        seen.setdefault((shot.x, shot.y), shot)
    kept = list(seen.values())
    heights = surface(np.array([s.x for s in kept]), np.array([s.y for s in kept]))
    heights = heights + rng.normal(0.0, NOISE, len(kept))
    rows = ["point,northing,easting,elevation,description"]
    rows += [
        f"{first + i},{shot.y:.1f},{shot.x:.1f},{height:.3f},{shot.why}"
        for i, (shot, height) in enumerate(zip(kept, heights, strict=True))
    ]
    return "\n".join(rows) + "\n"
