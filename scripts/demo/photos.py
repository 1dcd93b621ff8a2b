"""The demo's pictures: drawn by arithmetic in the manner of site photos, each with a camera's EXIF. Lengths in feet."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageFilter

from demo import things
from demo.camera import Array, Camera, Colour, Scene, from_line
from demo.marks import wandering
from demo.surface import INCH, cap

GREEN: Colour = (0.29, 0.42, 0.33)
RUST: Colour = (0.52, 0.30, 0.24)
BLUE: Colour = (0.30, 0.40, 0.52)
SAND: Colour = (0.57, 0.50, 0.36)

_DATE_TIME_ORIGINAL, _EXIF_FOLDER = 0x9003, 0x8769
_DESCRIPTION, _ORIENTATION, _DATE_TIME = 0x010E, 0x0112, 0x0132


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: what it shows, when it was taken, how the camera was held (EXIF 1 or 6)."""

    name: str
    shows: str
    taken: str
    scene: Callable[[], Scene]
    orientation: int = 1


def photos() -> dict[str, bytes]:
    """Return every picture by its file name."""
    return {picture.name: _jpeg(picture, number) for number, picture in enumerate(PICTURES)}


def _flat(x: Array, y: Array) -> Array:
    return np.zeros_like(x)


def _line(seed: int, *rough: tuple[float, float], reach: float = 0.25) -> Array:
    return wandering(np.random.default_rng(seed), rough, reach=reach, step=0.8)


def _overview() -> Scene:
    scene = Scene(Camera(eye=11.5, tilt_deg=10.0, focal=800.0), _flat)
    things.sky(scene, 0.13, 21)
    things.lawn(scene)
    x, y = scene.x, scene.y
    things.coat(scene, RUST, scene.within(np.maximum(np.abs(x) - 78.0, np.abs(y - 66.0) - 60.0)), 0.6)
    for centre in (-48.0, 0.0, 48.0):
        u, v = np.abs(x - centre), np.abs(y - 66.0)
        things.coat(scene, GREEN, scene.within(np.maximum(u - 18.0, v - 39.0)), 0.45)
        long_way, short_way = scene.within(v - 39.0), scene.within(u - 18.0)
        things.line(scene, u - 18.0, 0.17, long_way)
        things.line(scene, u - 13.5, 0.17, long_way)
        things.line(scene, v - 39.0, 0.25, short_way)
        things.line(scene, v - 21.0, 0.17, scene.within(u - 13.5))
        things.line(scene, u, 0.17, scene.within(v - 21.0))
    for seed, rough in enumerate(
        (
            ((-78.0, 98.0), (-30.0, 103.0), (20.0, 100.0), (78.0, 104.0)),
            ((-40.0, 101.0), (-36.0, 126.0)),
            ((10.0, 101.0), (14.0, 126.0)),
            ((18.0, 101.0), (22.5, 22.0)),
            ((25.5, 101.0), (29.0, 44.0)),
            ((-60.0, 34.0), (-32.0, 42.0)),
            ((-12.0, 12.0), (-10.0, 40.0), (-11.5, 78.0)),
            ((4.0, 21.0), (16.0, 24.0), (26.0, 22.5), (40.0, 25.5)),
        )
    ):
        things.crack(scene, _line(300 + seed, *rough, reach=0.3), 0.22, seed=301 + 9 * seed)
    for corner, size in (((-16.5, 22.5), (3.2, 2.4)), ((7.0, 37.0), (2.6, 5.0))):
        patch = np.maximum(np.abs(x - corner[0]) - size[0], np.abs(y - corner[1]) - size[1])
        scene.paint((0.27, 0.27, 0.26), scene.within(patch + 0.25 * scene.noise(1.0, 84, 3)) * 0.85)
    bath = 1.0 - np.hypot((x - 24.0) / 3.2, (y - 55.0) / 9.0) + 0.25 * scene.noise(3.0, 83, 3)
    things.water(scene, bath * 0.05)
    things.bank(scene, 131.0, 5.0)
    for number in range(-8, 9):
        things.poplar(scene, (number * 11.0 + (number * 37 % 5) * 0.6, 134.0), 90 + 3 * (number % 7))
    things.fence(scene, 127.0)
    for centre in (-48.0, 0.0, 48.0):
        nx, nz = scene.wall(66.0)
        sag = 3.5 - 0.5 * (1 - ((nx - centre) / 21.0) ** 2)
        net = (np.abs(nx - centre) < 21.0) & (nz > 0.1) & (nz < sag)
        scene.paint((0.15, 0.17, 0.16), np.where(net, 0.42, 0.0))
        scene.paint((0.90, 0.90, 0.86), np.where(net & (nz > sag - 0.22), 0.85, 0.0))
        for side, lean in ((-21.0, 0.02), (21.0, 0.11)):
            lean_x = (nx - centre - side) / 0.16 - lean * np.maximum(nz, 0.0) / 0.16
            post = (np.abs(lean_x) < 1.0) & (nz > 0.0) & (nz < 3.6)
            scene.paint(
                np.array([0.20, 0.27, 0.22]) * (1 - 0.3 * np.clip(lean_x, -1, 1))[..., None], np.where(post, 1.0, 0.0)
            )
    return scene


def _heave() -> Scene:
    def lifted(x: Array, y: Array) -> Array:
        return cap(x, y, (0.6, 13.0), 4.6, 4.2 * INCH) + cap(x, y, (-5.2, 14.2), 3.6, 2.4 * INCH)

    scene = Scene(Camera(eye=4.6, tilt_deg=14.0, focal=860.0), lifted)
    things.sky(scene, 0.075, 9)
    things.lawn(scene)
    edge = 16.5 + 0.10 * scene.noise(1.2, 101, 4)
    pad = scene.within(scene.y - edge)
    things.coat(scene, RUST, pad, 0.75)
    things.line(scene, scene.y - 8.0 - 0.02 * scene.x, 4 * INCH, scene.within(scene.x - 2.5))
    things.coat(scene, GREEN, scene.within(scene.y - 8.0 + 2 * INCH - 0.02 * scene.x) * scene.within(scene.x - 2.5))
    scene.shade(1.5)
    things.crack(
        scene, _line(11, (-9.0, 11.0), (-3.0, 11.6), (0.4, 12.6), (4.0, 11.8), (10.0, 12.4)), 0.13, seed=110, lip=0.05
    )
    things.crack(scene, _line(12, (0.5, 12.6), (1.2, 14.6), (0.8, 16.6)), 0.16, seed=120, lip=0.04)
    things.crack(scene, _line(13, (0.4, 12.5), (-0.6, 9.4), (-0.2, 5.0)), 0.09, seed=130)
    things.leaves(scene, 140, 0.44)
    scene.darken(scene.within(np.abs(scene.y - edge) - 0.10, 0.15) * 0.45)
    for place, diameter, seed in (
        ((-16.5, 24.0), 1.3, 150),
        ((-7.4, 22.5), 1.4, 151),
        ((1.6, 21.8), 1.5, 152),
        ((11.0, 22.8), 1.35, 153),
    ):
        lean = np.array([0.55, -0.10])
        shade, _ = from_line(scene.x, scene.y, np.array([place, np.asarray(place) + 30.0 * lean]))
        scene.darken(scene.within(shade - diameter / 2, 0.5) * 0.38 * np.where(np.isfinite(scene.far), 1.0, 0.0))
        things.trunk(scene, place, diameter, seed)
    things.tape(scene, (-1.6, 8.9), 74.0, 4.0)
    return scene


def _joined() -> Scene:
    def stepped(x: Array, y: Array) -> Array:
        return 0.06 / (1.0 + np.exp(-(y - 6.7 - 0.15 * x) / 0.06))

    scene = Scene(Camera(eye=5.2, tilt_deg=33.0, focal=820.0), stepped)
    things.sky(scene, 0.10)
    things.lawn(scene)
    things.coat(scene, GREEN, scene.within(scene.y - 46.0), 0.55)
    scene.shade(0.5)
    things.line(scene, scene.x - 3.1 + 0.16 * scene.y, 2 * INCH)
    things.crack(
        scene, _line(21, (-9.0, 5.4), (-3.0, 6.2), (0.3, 6.7), (4.0, 7.4), (10.0, 8.1)), 0.15, seed=210, lip=0.07
    )
    things.crack(scene, _line(22, (0.3, 6.7), (0.9, 9.5), (0.2, 14.0), (1.4, 24.0)), 0.12, seed=220)
    things.crack(scene, _line(23, (-3.4, 6.2), (-2.6, 4.5), (-3.2, 2.0)), 0.10, seed=230)
    things.leaves(scene, 240, 0.30)
    things.tape(scene, (-0.9, 5.35), 28.0, 3.0)
    things.fence(scene, 48.0)
    return scene


def _trench() -> Scene:
    def settled(x: Array, y: Array) -> Array:
        depth = 0.16 + 0.06 * np.cos((y - 17.0) / 5.5)
        return -depth * 0.5 * (1 + np.cos(np.pi * np.minimum(np.abs(x - 0.4 - 0.05 * y) / 6.0, 1.0)))

    scene = Scene(Camera(eye=5.4, tilt_deg=17.0, focal=840.0), settled)
    things.sky(scene, 0.085, 12)
    things.lawn(scene)
    things.coat(scene, RUST, scene.within(scene.y - 76.0), 0.5)
    middle = np.abs(scene.x + 15.5)
    things.coat(scene, GREEN, scene.within(np.maximum(middle - 18.0, scene.y - 62.0)) * 1.0, 0.45)
    things.line(scene, scene.x - 2.5, 2 * INCH, scene.within(scene.y - 62.0))
    things.line(scene, scene.x + 2.0, 2 * INCH, scene.within(scene.y - 62.0))
    things.line(scene, scene.y - 24.0, 2 * INCH, scene.within(scene.x + 2.0))
    scene.shade(1.6)
    level = -0.155
    bath = level - settled(scene.x, scene.y) + 0.02 * scene.noise(1.6, 251, 4) - 0.0009 * (scene.y - 17.0) ** 2
    silt = np.clip((bath + 0.05) / 0.05, 0, 1)
    scene.paint((0.47, 0.44, 0.36), silt * 0.35)
    things.water(scene, bath)
    things.crack(scene, _line(31, (-3.0, 3.0), (-2.4, 14.0), (-1.3, 34.0), (-0.2, 60.0)), 0.10, seed=310)
    things.crack(scene, _line(32, (3.9, 3.0), (4.5, 16.0), (5.6, 36.0), (6.6, 60.0)), 0.09, seed=320)
    things.crack(scene, _line(33, (-2.7, 9.0), (0.6, 8.4), (4.2, 8.9)), 0.06, seed=330)
    things.bank(scene, 80.0, 2.4)
    things.fence(scene, 77.0)
    things.tape(scene, (-2.2, 7.0), 92.0, 6.0)
    return scene


def _hollow() -> Scene:
    def rippled(x: Array, y: Array) -> Array:
        across = np.maximum(1.0 - (x - 0.08 * y) ** 2 / 0.28, 0.0)
        return across * (0.012 + 0.012 * np.sin(y * 4.2 + np.sin(y * 1.3)) * ((y > 4.6) & (y < 11.5)))

    scene = Scene(Camera(eye=5.2, tilt_deg=36.0, width=720, height=960, focal=860.0), rippled)
    things.sky(scene, 0.06)
    things.lawn(scene)
    things.coat(scene, BLUE, scene.within(scene.y - 52.0), 0.12)
    things.line(scene, scene.y - 14.0 + 0.06 * scene.x, 2 * INCH)
    off = scene.x - 0.08 * scene.y
    strip = scene.within(np.abs(off) - 0.5 - 0.02 * scene.noise(0.8, 401, 3))
    scene.paint(np.array([0.26, 0.35, 0.46]) * (1 + 0.10 * scene.noise(0.03, 402, 2))[..., None], strip * 0.85)
    weave = np.sin(scene.x * 190.0) * np.sin(scene.y * 190.0) * np.clip(0.03 / scene.grain - 1.2, 0, 1)
    scene.darken(strip * 0.06 * weave)
    scene.shade(2.6)
    scene.darken(scene.within(np.abs(np.abs(off) - 0.5) - 0.012, 0.02) * 0.45)
    split = _line(41, (0.52, 5.2), (0.6, 7.4), (0.72, 9.8), reach=0.08)
    things.crack(scene, split, 0.035, seed=410)
    for number in range(10):
        y = 3.5 + number * 1.0
        if number not in (0, 4, 9):
            things.chalk(scene, (0.08 * y + 0.05 * np.sin(number), y), 0.30, number)
        else:
            tick = np.maximum(np.abs(off) - 0.22, np.abs(scene.y - y) - 0.02)
            scene.paint((0.94, 0.93, 0.88), scene.within(tick, 0.012) * 0.8)
    things.tape(scene, (-0.95, 3.2), 4.6, 9.0)
    things.fence(scene, 54.0)
    return scene


def _corner() -> Scene:
    def sod(x: Array, y: Array) -> Array:
        past = np.maximum(x - 5.5 - 0.10 * y, y - 17.0 + 0.12 * x)
        bank = 1.0 / (1.0 + np.exp(-np.clip((past - 0.1) / 0.11, -40, 40)))
        return bank * 0.24

    scene = Scene(Camera(eye=5.0, tilt_deg=18.0, focal=800.0), sod)
    things.sky(scene, 0.07, 16)
    things.lawn(scene)
    past = np.maximum(scene.x - 5.5 - 0.10 * scene.y, scene.y - 17.0 + 0.12 * scene.x)
    frayed = past + 0.12 * scene.noise(0.5, 501, 4)
    pad = scene.within(frayed, 0.05)
    things.coat(scene, BLUE, pad, 0.15)
    things.line(scene, scene.x + 4.0 + 0.02 * scene.y, 2 * INCH, scene.within(scene.y - 11.0))
    things.line(scene, scene.y - 11.0 + 0.10 * (scene.x + 4.0), 2 * INCH, scene.within(scene.x + 4.0) * pad)
    scene.shade(1.0)
    reach = 1.0 - np.hypot((scene.x - 6.2) / 8.4, (scene.y - 16.0) / 6.2) + 0.14 * scene.noise(2.4, 502, 4)
    silt = np.clip((reach + 0.16) * 4, 0, 1) * pad
    scene.paint(np.asarray(SAND) * (1 + 0.15 * scene.noise(0.3, 503, 4))[..., None], silt * 0.6)
    things.water(scene, np.where(frayed < 0.05, reach * 0.06, -1.0))
    scene.darken(scene.within(np.abs(frayed - 0.05) - 0.06, 0.12) * 0.45)
    things.leaves(scene, 510, 0.22)
    things.fence(scene, 42.0)
    things.tape(scene, (-0.6, 9.2), 62.0, 5.0)
    return scene


def _narrow() -> Scene:
    scene = Scene(Camera(eye=3.4, tilt_deg=44.0, focal=900.0), _flat)
    things.coat(scene, BLUE, 1.0, 0.2)
    things.line(scene, scene.x + 0.9 - 0.25 * scene.y, 2 * INCH)
    things.crack(
        scene, _line(61, (-4.5, 3.0), (-1.5, 3.5), (0.4, 3.6), (2.2, 4.1), (5.0, 4.3), reach=0.12), 0.036, seed=610
    )
    things.leaves(scene, 620, 0.12)
    things.tape(scene, (0.15, 2.75), 6.0, 2.4)
    return scene


PICTURES = (
    Picture(
        "upper-1-from-the-low-side.jpg", "three tennis courts seen from the south end", "2026:04:16 09:04:10", _overview
    ),
    Picture(
        "upper-2-root-heave-at-poplars.jpg", "heave and joined cracks beside the poplars", "2026:04:16 09:21:35", _heave
    ),
    Picture("upper-3-wide-cracks-meet.jpg", "wide cracks that meet, with a step", "2026:04:16 09:26:02", _joined),
    Picture(
        "upper-4-settled-trench.jpg", "cracks along the pipe trench, water between them", "2026:04:16 09:48:27", _trench
    ),
    Picture(
        "lower-1-hollow-strip.jpg",
        "old membrane: rings where the hammer sounds hollow",
        "2026:04:16 11:12:51",
        _hollow,
        6,
    ),
    Picture(
        "lower-2-water-behind-sod.jpg", "water and silt in the corner behind raised sod", "2026:04:16 11:31:18", _corner
    ),
    Picture("lower-3-crack-with-tape.jpg", "a crack of about 3/8 in", "2026:04:16 11:40:44", _narrow),
)


def _jpeg(picture: Picture, number: int) -> bytes:
    """Return the picture as a camera stores it: fall-off to the corners, grain, one quality, EXIF."""
    scene = picture.scene()
    camera = scene.camera
    u, v = np.meshgrid(np.linspace(-1, 1, camera.width), np.linspace(-1, 1, camera.height))
    light = scene.colour * (1.0 - 0.13 * (u**2 + v**2))[..., None]
    light = np.clip(light * 1.06, 0, 1) ** 0.92
    speckle = np.random.default_rng([2026, number]).normal(0.0, 0.008, light.shape[:2])
    levels = np.clip((light + speckle[..., None]) * 255.0 + 0.5, 0, 255).astype(np.uint8)
    upright = Image.fromarray(levels).filter(ImageFilter.GaussianBlur(0.5))
    stored = upright.transpose(Image.Transpose.ROTATE_90) if picture.orientation == 6 else upright
    exif = Image.Exif()
    exif[_DESCRIPTION] = f"Drawn for the demo, no photograph: {picture.shows}"
    exif[_ORIENTATION] = picture.orientation
    exif[_DATE_TIME] = picture.taken
    exif.get_ifd(_EXIF_FOLDER)[_DATE_TIME_ORIGINAL] = picture.taken
    file = io.BytesIO()
    stored.save(file, "JPEG", quality=72, exif=exif)
    return file.getvalue()
