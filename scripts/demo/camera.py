"""A camera over the ground: sight lines met with a surface, noise, edges softened by the size of a pixel.

Lengths are in feet; +x is to the right, +y away from the camera, +z up. The camera looks along +y.
"""

from __future__ import annotations

import copy
import itertools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

#: Pictures are worked in single precision: it is a pixel's worth, and half the time.
Array = NDArray[np.floating]
Colour = tuple[float, float, float]
Heights = Callable[[Array, Array], Array]

SUN = np.array([-0.55, 0.45, 0.70]) / np.linalg.norm([-0.55, 0.45, 0.70])
_LATTICE = np.random.default_rng(2009).random(256 * 256).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Camera:
    """Where a picture is taken from: eye height [ft], tilt below the horizon [deg], size [px], focal length [px]."""

    eye: float
    tilt_deg: float
    width: int = 960
    height: int = 720
    focal: float = 900.0

    def sight(self) -> Array:
        """Return the unit direction of every pixel, shape (height, width, 3)."""
        u, v = np.meshgrid(np.arange(self.width) - (self.width - 1) / 2, np.arange(self.height) - (self.height - 1) / 2)
        tilt = np.radians(self.tilt_deg)
        ahead, up = np.array([0.0, np.cos(tilt), -np.sin(tilt)]), np.array([0.0, np.sin(tilt), np.cos(tilt)])
        rays = u[..., None] * np.array([1.0, 0.0, 0.0]) - v[..., None] * up + self.focal * ahead
        return (rays / np.linalg.norm(rays, axis=-1, keepdims=True)).astype(np.float32)


@dataclass(slots=True)
class Scene:
    """A picture in the making: where each pixel meets the ground, and its colour so far."""

    camera: Camera
    heights: Heights
    rays: Array = field(init=False)
    x: Array = field(init=False)
    y: Array = field(init=False)
    far: Array = field(init=False)
    grain: Array = field(init=False)
    colour: Array = field(init=False)

    def __post_init__(self) -> None:
        self.rays = self.camera.sight()
        down = np.minimum(self.rays[..., 2], -1e-4)
        reach = self.camera.eye / -down
        for _ in range(8):
            self.x, self.y = self.rays[..., 0] * reach, self.rays[..., 1] * reach
            meets = (self.camera.eye - self.heights(self.x, self.y)) / -down
            reach = 0.35 * reach + 0.65 * meets
        self.far = np.where(self.rays[..., 2] < -1e-4, reach, np.inf)
        self.grain = np.minimum(reach / self.camera.focal / np.maximum(-down, 0.02) ** 0.5, 50.0)
        self.colour = np.zeros((*self.x.shape, 3), dtype=np.float32)

    @contextmanager
    def only(self, where: NDArray[np.bool_]) -> Iterator[Scene]:
        """Work on some pixels alone; what is painted there comes back into the picture."""
        part = copy.copy(self)
        for name in ("rays", "x", "y", "far", "grain", "colour"):
            setattr(part, name, getattr(self, name)[where])
        yield part
        self.colour[where] = part.colour

    def near(self, line: Array, reach: float) -> NDArray[np.bool_]:
        """Return which pixels may lie within ``reach`` of a line, found on every eighth of them. [ft]"""
        rows, columns = self.x.shape
        some = (slice(None, None, 8), slice(None, None, 8))
        distance, _ = from_line(self.x[some], self.y[some], line)
        close = (distance < reach + 24.0 * self.grain[some]) & np.isfinite(self.far[some])
        return np.repeat(np.repeat(close, 8, axis=0), 8, axis=1)[:rows, :columns]

    def ground(self) -> NDArray[np.bool_]:
        """Return which pixels see the ground."""
        return np.isfinite(self.far)

    def paint(self, colour: Colour | Array, share: Array | float) -> None:
        """Lay a colour over the picture where ``share`` is above 0."""
        share = np.broadcast_to(np.asarray(share, dtype=np.float32), self.x.shape)[..., None]
        self.colour = self.colour * (1.0 - share) + np.asarray(colour, dtype=np.float32) * share

    def darken(self, share: Array | float) -> None:
        """Multiply the picture by ``1 - share``."""
        self.colour = self.colour * (
            1.0 - np.broadcast_to(np.asarray(share, dtype=np.float32), self.x.shape)[..., None]
        )

    def within(self, distance: Array, softness: float = 0.0) -> Array:
        """Return 1 inside a shape and 0 outside, by its signed distance [ft], softened by a pixel."""
        blur = self.grain + softness
        return np.clip(0.5 - distance / blur, 0.0, 1.0)

    def band(self, distance: Array, width: float, softness: float = 0.0) -> Array:
        """Return the cover of a band about a line, at most what so thin a band covers of a pixel. [-]"""
        cover = self.within(np.abs(distance) - width / 2, softness)
        return cover * np.minimum(1.0, 1.5 * width / self.grain)

    def noise(self, size: float, seed: int = 0, octaves: int = 3, stretch: float = 1.0) -> Array:
        """Return even noise of -1 to 1 whose largest grain has a size [ft]; grains below a pixel fade out."""
        return noise(self.x, self.y / stretch, size, seed, octaves, self.grain)

    def shade(self, strength: float = 1.0) -> None:
        """Light the ground by the sun, by the slope of its surface."""
        step = 0.02
        here = self.heights(self.x, self.y)
        slope_x = (self.heights(self.x + step, self.y) - here) / step
        slope_y = (self.heights(self.x, self.y + step) - here) / step
        normal = np.stack([-slope_x, -slope_y, np.ones_like(here)], axis=-1)
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
        light = 1.0 + strength * (normal @ SUN - SUN[2])
        self.colour = self.colour * np.clip(light, 0.35, 1.5).astype(np.float32)[..., None]

    def upright(self, place: tuple[float, float], half_width: float, foot: float, top: float) -> tuple[Array, Array]:
        """Return the cover of an upright thing and the place across it, -1 to 1. [-]"""
        x, y = place
        reach = y / np.maximum(self.rays[..., 1], 1e-6)
        across = (self.rays[..., 0] * reach - x) / half_width
        up = self.camera.eye + self.rays[..., 2] * reach
        pixel = y / self.camera.focal
        cover = np.clip((half_width * (1 - np.abs(across))) / pixel + 0.5, 0, 1)
        cover *= np.clip((up - foot) / pixel + 0.5, 0, 1) * np.clip((top - up) / pixel + 0.5, 0, 1)
        return cover * np.minimum(1.0, 2 * half_width / pixel), np.clip(across, -1, 1)

    def wall(self, y: float) -> tuple[Array, Array]:
        """Return where each sight line meets the upright plane at ``y``: x and z. [ft]"""
        reach = y / np.maximum(self.rays[..., 1], 1e-6)
        return self.rays[..., 0] * reach, self.camera.eye + self.rays[..., 2] * reach


def noise(x: Array, y: Array, size: float, seed: int, octaves: int, grain: Array | float = 0.0) -> Array:
    """Return even noise of -1 to 1 at places; see ``Scene.noise``."""
    total, weight = np.zeros_like(x), 0.0
    for octave in range(octaves):
        wave = size / 2**octave
        weight += 0.6**octave
        visible = np.clip(wave / np.maximum(grain, 1e-9) - 1.0, 0.0, 1.0)
        if not np.any(visible):
            continue
        u, v = x / wave + 17.3 * seed + 5.1 * octave, y / wave + 9.7 * seed + 3.3 * octave
        left, low = np.floor(u), np.floor(v)
        a, b = u - left, v - low
        a, b = a * a * (3 - 2 * a), b * b * (3 - 2 * b)
        i, j = left.astype(np.int32) & 255, (low.astype(np.int32) & 255) << 8
        i_next, j_next = (i + 1) & 255, (j + 256) & 65535
        lower = _LATTICE.take(j + i) * (1 - a) + _LATTICE.take(j + i_next) * a
        upper = _LATTICE.take(j_next + i) * (1 - a) + _LATTICE.take(j_next + i_next) * a
        total += (2 * (lower * (1 - b) + upper * b) - 1) * (0.6**octave * visible)
    return total / weight


def from_line(x: Array, y: Array, line: Array) -> tuple[Array, Array]:
    """Return the distance of places from a line of points, and how far along it the nearest place lies. [ft]"""
    best, along_best = np.full(x.shape, np.inf), np.zeros(x.shape)
    walked = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        length = float(np.hypot(x1 - x0, y1 - y0))
        along = np.clip(((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length, 0, length)
        distance = np.hypot(x - x0 - along * (x1 - x0) / length, y - y0 - along * (y1 - y0) / length)
        nearer = distance < best
        best, along_best = np.where(nearer, distance, best), np.where(nearer, walked + along, along_best)
        walked += length
    return best, along_best
