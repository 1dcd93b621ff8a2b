"""Pads shot coarsely, then at a few more places: how much doubt about low spots is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from shapely import box

from courtwright.ground import read_pad
from courtwright.ground.filling import open_edges
from courtwright.ground.heights import Surface, heights
from courtwright.ground.likelihood import drawn_water
from courtwright.ground.low_spots import low_spots, water_of
from courtwright.ground.shoot_next import Doubt, doubts_of, entropy
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import tolerances

from .calibration import NOISE, SIZE

Chooser = Callable[[Pad, int, np.random.Generator], np.ndarray]


def coarse(seed: int, spacing: float = 3.0) -> Pad:
    """Return a pad with two dips in a gentle plane, shot about every ``spacing`` metres [m]."""
    random = np.random.default_rng(seed)
    slope = random.uniform(0.001, 0.005)
    middles = random.uniform((3, 3), (SIZE[0] - 3, SIZE[1] - 3), (2, 2))
    depths, radii = random.uniform(0.008, 0.020, 2), random.uniform(1.5, 3.0, 2)

    def height(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        dips = zip(middles, depths, radii, strict=True)
        return slope * y - sum(d * np.exp(-((x - m[0]) ** 2 + (y - m[1]) ** 2) / r**2) for m, d, r in dips)

    x, y = np.meshgrid(*(np.arange(0.3, side, spacing) for side in SIZE))
    places = np.column_stack([x.ravel(), y.ravel()]) + random.uniform(-0.1, 0.1, (x.size, 2))
    return Pad(
        "p",
        box(0, 0, *SIZE),
        shots=Shots(np.column_stack([places, height(*places.T) + random.normal(0, NOISE, len(places))])),
    )


def proposed(pad: Pad, count: int, random: np.random.Generator) -> np.ndarray:
    """Return the places that the program would have shot."""
    return np.array([place.at for place in read_pad(pad, 1, count).shoot_next.places]).reshape(-1, 2)


def anywhere(pad: Pad, count: int, random: np.random.Generator) -> np.ndarray:
    """Return random places."""
    return random.random((count, 2)) * SIZE


def least_known(pad: Pad, count: int, random: np.random.Generator) -> np.ndarray:
    """Return the places where the height is least known, each with those before it shot."""
    found, _ = heights(pad)
    x, y = np.meshgrid(*(np.linspace(0.1, side - 0.1, int(side / 0.7)) for side in SIZE))
    places = np.column_stack([x.ravel(), y.ravel()])
    joint, chosen = found.surface.joint(places), []
    for _ in range(count):
        i = int(joint.diagonal().argmax())
        chosen.append(places[i])
        joint = joint - np.outer(joint[i], joint[i]) / (joint[i, i] + found.surface.covariance.nugget)
    return np.array(chosen)


@dataclass(frozen=True)
class Known:
    """A pad's surface, and the low spots that are in doubt on it."""

    pad: Pad
    surface: Surface
    about: list[Doubt]

    @classmethod
    def of(cls, pad: Pad) -> Known:
        """Return what the shots of a pad tell."""
        found, _ = heights(pad)
        water = water_of(pad, found, (), 1)
        return cls(pad, found.surface, doubts_of(low_spots(pad, found, (), water), water())[0])

    def with_shots(self, at: np.ndarray, random: np.random.Generator) -> Surface:
        """Return the surface kriged anew with shots at more places, each reading what it may read there."""
        joint = self.surface.joint(at) + self.surface.covariance.nugget * np.eye(len(at))
        read = random.multivariate_normal(self.surface.height(at), joint)
        return Surface.through(np.vstack([self.pad.shots.xyz, np.column_stack([at, read])]), self.surface.covariance)

    def doubt(self, surface: Surface) -> float:
        """Return the summed entropy of the same low spots, as another surface leaves it. [bits]"""
        random, least, shares = np.random.default_rng(2), tolerances().water_test, []
        water = drawn_water(surface, self.pad.outline, lambda x, y, h: open_edges(h), np.eye(2), random)
        for doubt in self.about:
            met = water.deepest_meeting(doubt.region)
            shares.append(np.mean([i >= 0 and of.depth[i] > least for i, of in zip(met, water.ponds, strict=True)]))
        return float(entropy(np.array(shares)).sum())


def doubt_left(known: Known, choosers: list[Chooser], count: int, times: int, seed: int) -> list[float]:
    """Return the mean doubt about a pad's low spots now, and after so many more shots by each way to choose. [bits]"""
    random = np.random.default_rng(seed)
    left = [known.doubt(known.surface)]
    for chooser in choosers:
        tries = [known.with_shots(chooser(known.pad, count, random), random) for _ in range(times)]
        left.append(float(np.mean([known.doubt(surface) for surface in tries])))
    return left
