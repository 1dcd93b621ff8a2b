"""What a channel, a pipe or a gutter carries, by Manning; and how deep a flow stands in it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

#: Fuller than this, a pipe carries less the fuller it gets: 0.938 of its diameter, where A R^(2/3) is greatest.
_FULLEST = 0.9381810
#: A depth is halved between bounds until they lie this near, of itself. [-]
_NEAR = 1e-13
_HALVINGS = 200
_FOOT = 0.3048


@dataclass(frozen=True, slots=True)
class Section:
    """The wet part of a cross-section: area [m²] and wetted perimeter [m]."""

    area: float
    perimeter: float

    @property
    def radius(self) -> float:
        """Hydraulic radius. [m]"""
        return self.area / self.perimeter if self.perimeter > 0 else 0.0


class Shape(Protocol):
    """A cross-section that has a wet part for each depth."""

    @property
    def deepest(self) -> float:
        """How deep it can run by free flow: where it carries most, inf for one without a top. [m]"""
        ...

    def wet(self, depth: float) -> Section:
        """Return the wet part. ``depth`` is that of the water [m]."""
        ...


@dataclass(frozen=True, slots=True)
class Trapezoid:
    """A swale, a ditch or a box: its bottom, and how far each side runs out for a rise of one.

    Parameters
    ----------
    bottom : float
        Width of the bottom; 0 makes a triangle. [m]
    side : float
        Run to rise of both sides; 0 makes a rectangle. [-]
    height : float
        Of its sides. [m]
    """

    bottom: float
    side: float = 0.0
    height: float = math.inf

    @property
    def deepest(self) -> float:
        """How deep it can run: to its brim. [m]"""
        return self.height

    def wet(self, depth: float) -> Section:
        """Return the wet part. ``depth`` is that of the water [m]."""
        return Section((self.bottom + self.side * depth) * depth, self.bottom + 2 * depth * math.hypot(1, self.side))


@dataclass(frozen=True, slots=True)
class Pipe:
    """A round pipe, part-full or full. ``diameter`` is the inner one [m]."""

    diameter: float

    @property
    def deepest(self) -> float:
        """How deep it runs where it carries most by free flow. [m]"""
        return _FULLEST * self.diameter

    def wet(self, depth: float) -> Section:
        """Return the wet part. ``depth`` is that of the water, at most the diameter [m]."""
        angle = 2 * math.acos(max(-1.0, min(1.0, 1 - 2 * depth / self.diameter)))
        area = self.diameter**2 / 8 * (angle - math.sin(angle))
        return Section(area, self.diameter * angle / 2)


def velocity(section: Section, roughness: float, slope: float) -> float:
    """Return the mean velocity by Manning, ``R^(2/3) √S / n``. [m/s]

    Parameters
    ----------
    section : Section
        The wet part.
    roughness : float
        Manning's n. [-]
    slope : float
        Of the bottom. [m/m]
    """
    return section.radius ** (2 / 3) * math.sqrt(slope) / roughness


def flow(shape: Shape, depth: float, roughness: float, slope: float) -> float:
    """Return what runs at a depth by Manning. [m³/s]

    Parameters
    ----------
    shape : Shape
        The cross-section.
    depth : float
        Of the water. [m]
    roughness : float
        Manning's n. [-]
    slope : float
        Of the bottom. [m/m]
    """
    section = shape.wet(depth)
    return section.area * velocity(section, roughness, slope)


def most(shape: Shape, roughness: float, slope: float) -> float:
    """Return the most that a cross-section carries by free flow, inf for one without a top. [m³/s]

    Parameters
    ----------
    shape : Shape
        The cross-section.
    roughness : float
        Manning's n. [-]
    slope : float
        Of the bottom. [m/m]
    """
    return math.inf if math.isinf(shape.deepest) else flow(shape, shape.deepest, roughness, slope)


def normal_depth(shape: Shape, wanted: float, roughness: float, slope: float) -> float | None:
    """Return the depth at which a flow runs steadily; None where the cross-section does not carry it. [m]

    Parameters
    ----------
    shape : Shape
        The cross-section.
    wanted : float
        The flow. [m³/s]
    roughness : float
        Manning's n. [-]
    slope : float
        Of the bottom. [m/m]

    Notes
    -----
    Up to its fullest a cross-section carries the more the deeper it runs, so that halving a bracket finds the one
    depth, whatever the shape. Of the two depths of a pipe nearly full it is the lower one.
    """
    if wanted <= 0:
        return 0.0
    if wanted > most(shape, roughness, slope):
        return None
    return _crossing(lambda depth: flow(shape, depth, roughness, slope), wanted, shape.deepest)


def _crossing(rising: Callable[[float], float], wanted: float, top: float) -> float:
    low, high = 0.0, 1.0 if math.isinf(top) else top
    while math.isinf(top) and rising(high) < wanted:
        low, high = high, 2 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < wanted else (low, middle)
        if high - low <= _NEAR * high:
            break
    return high


def gutter_flow(roughness: float, cross_slope: float, slope: float, spread: float) -> float:
    """Return what runs along a kerb by HEC-22, ``(0.56 / n) Sx^1.67 SL^0.5 T^2.67`` in feet. [m³/s]

    Parameters
    ----------
    roughness : float
        Manning's n. [-]
    cross_slope : float
        Of the pavement towards the kerb. [m/m]
    slope : float
        Along the kerb. [m/m]
    spread : float
        Width of the water. [m]
    """
    along = 0.56 / roughness * cross_slope**1.67 * math.sqrt(slope)
    return along * (spread / _FOOT) ** 2.67 * _FOOT**3
