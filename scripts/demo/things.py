"""What stands and lies in the demo's pictures: sky, coats, paint, cracks, tape, fence, trunks, water."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from demo.camera import Array, Colour, Scene, from_line, noise

WHITE: Colour = (0.88, 0.88, 0.85)
INCH = 1.0 / 12.0
_FONT = Path(__file__).resolve().parents[2] / "src/courtwright/offer/fonts/AtkinsonHyperlegible_700Bold.ttf"


def sky(scene: Scene, hill: float = 0.05, seed: int = 5) -> None:
    """Paint the sky, and a wooded ridge that rises to about ``hill`` above the horizon."""
    with scene.only(scene.rays[..., 2] > -0.02) as part:
        up = part.rays[..., 2]
        bearing = np.arctan2(part.rays[..., 0], part.rays[..., 1])
        height = np.clip(up / 0.5, 0, 1)[..., None]
        clouds = np.clip(noise(bearing * 6, up * 22, 1.0, seed, 4) * 1.5, 0, 1)[..., None] * 0.4
        blue = np.array([0.83, 0.87, 0.90]) * (1 - height) + np.array([0.50, 0.64, 0.80]) * height
        part.colour = blue * (1 - clouds) + np.array([0.93, 0.93, 0.92]) * clouds
        for back, tone in ((1.0, (0.52, 0.56, 0.50)), (0.62, (0.40, 0.43, 0.32))):
            swell = 0.28 * noise(bearing, bearing * 0, 0.5, seed + round(9 * back), 3)
            crowns = 0.10 * noise(bearing, up * 0, 0.035, seed + 7, 4)
            leaf = 0.14 * noise(bearing * 40, up * 40, 1.0, seed + 8, 4)[..., None]
            ridge = hill * back * (1 + swell + crowns)
            part.paint(np.array(tone) * (1 + leaf), np.clip((ridge - up) * 600, 0, 1))


def lawn(scene: Scene) -> None:
    """Paint early spring grass wherever the ground is seen."""
    with scene.only(scene.ground()) as part:
        blades = part.noise(0.09, 11, 2, 2.5) * 0.30 + part.noise(1.3, 12, 3) * 0.16 + part.noise(9.0, 14, 2) * 0.12
        straw = np.clip(part.noise(0.22, 13, 3) * 0.9 + part.noise(4.0, 15, 2) * 0.3, 0, 1)
        part.paint(np.array([0.36, 0.42, 0.20]) * (1 + blades)[..., None], 1.0)
        part.paint((0.56, 0.51, 0.33), straw)


def coat(scene: Scene, colour: Colour, cover: Array | float = 1.0, wear: float = 0.5) -> None:
    """Paint a coat of acrylic on asphalt: sanded, weathered, worn through here and there."""
    cover = np.broadcast_to(np.asarray(cover, dtype=float), scene.x.shape)
    seen = scene.ground() & (cover > 0)
    with scene.only(seen) as part:
        grain = part.noise(0.03, 21, 2) * 0.13 + part.noise(0.5, 22, 3) * 0.07 + part.noise(7.0, 23, 3) * 0.10
        part.paint(np.asarray(colour) * (1 + grain)[..., None], cover[seen])
        bare = np.clip((part.noise(1.4, 24, 5) - 0.62 + 0.3 * wear) * 6, 0, 1) * wear
        stone = 1 + 0.35 * part.noise(0.035, 25, 2)
        part.paint(np.array([0.36, 0.355, 0.34]) * stone[..., None], bare * cover[seen])


def line(scene: Scene, distance: Array, width: float, where: Array | float = 1.0, colour: Colour = WHITE) -> None:
    """Paint a playing line, thin where feet have worn it."""
    cover = scene.band(distance, width) * where
    seen = (cover > 0) & scene.ground()
    with scene.only(seen) as part:
        worn = np.clip(0.80 + 0.45 * part.noise(0.35, 31, 4), 0.25, 0.95)
        part.paint(colour, cover[seen] * worn)


def crack(scene: Scene, points: Array, width: float, *, seed: int = 40, lip: float = 0.0) -> None:
    """Draw an open crack: ragged dark gap, broken coat along it, a lit far lip."""
    with scene.only(scene.near(points, 0.5 + 3 * width)) as part:
        _crack(part, points, width, seed, lip)


def _crack(scene: Scene, points: Array, width: float, seed: int, lip: float) -> None:
    ragged_x = scene.x + 0.6 * width * scene.noise(0.25, seed, 4) + 0.12 * scene.noise(1.1, seed + 1, 2)
    ragged_y = scene.y + 0.6 * width * scene.noise(0.25, seed + 2, 4) + 0.12 * scene.noise(1.1, seed + 3, 2)
    distance, along = from_line(ragged_x, ragged_y, points)
    gape = width * (0.8 + 0.45 * noise(along, along * 0, 0.9, seed + 4, 3))
    frayed = scene.within(distance - gape / 2 - 0.35 * width * (1 + scene.noise(0.12, seed + 5, 2)), 0.02)
    scene.paint((0.33, 0.32, 0.30), frayed * 0.55)
    if lip:
        shifted, _ = from_line(ragged_x, ragged_y + lip, points)
        scene.paint((0.08, 0.08, 0.08), scene.within(shifted - gape * 0.7, 0.03) * 0.55)
    thin = np.minimum(1.0, 1.6 * gape / scene.grain)
    scene.paint((0.06, 0.055, 0.05), scene.within(distance - gape / 2) * thin)
    weed = np.clip(scene.noise(0.5, seed + 6, 3) * 3 - 1.2, 0, 1)
    scene.paint((0.30, 0.36, 0.16), scene.within(distance - 0.45 * gape, 0.03) * weed * thin * 0.7)


def leaves(scene: Scene, seed: int, share: float) -> None:
    """Scatter last year's leaves."""
    spot = noise(scene.x, scene.y, 0.16, seed, 1) + 0.35 * noise(scene.x, scene.y, 0.05, seed + 1, 1)
    spot = spot + 0.5 * noise(scene.x, scene.y, 2.5, seed + 2, 2)
    cover = np.clip((spot - 1.25 + share) * 9, 0, 1) * np.clip(0.09 / scene.grain, 0, 1) * scene.ground()
    scene.paint(np.array([0.50, 0.38, 0.20]) * (1 + 0.3 * scene.noise(0.07, seed + 3, 1))[..., None], cover)


def tape(scene: Scene, start: tuple[float, float], bearing_deg: float, length: float) -> None:
    """Lay a steel tape, 1 in wide, figured in inches from its start."""
    turn = np.radians(bearing_deg)
    end = (start[0] + length * np.sin(turn), start[1] + length * np.cos(turn))
    with scene.only(scene.near(np.array([start, end]), 0.2)) as part:
        along = (part.x - start[0]) * np.sin(turn) + (part.y - start[1]) * np.cos(turn)
        across = (part.x - start[0]) * np.cos(turn) - (part.y - start[1]) * np.sin(turn)
        past = np.maximum(-along, along - length)
        part.darken(part.within(np.maximum(np.abs(across - 0.02) - INCH / 2, past), 0.03) * 0.45)
        part.paint(
            _sampled(_tape(round(length / INCH)), along, across, part.grain),
            part.within(np.maximum(np.abs(across) - INCH / 2, past)),
        )


def _sampled(strip: Image.Image, along: Array, across: Array, grain: Array) -> Array:
    """Return the tape's colour at places, from the strip halved until its dots are as large as a pixel."""
    colour = np.zeros((*along.shape, 3))
    level = np.clip(np.ceil(np.log2(np.maximum(grain * strip.height / INCH, 1.0))), 0, 5).astype(int)
    for halved in range(6):
        height = max(1, strip.height >> halved)
        dots = np.asarray(strip.resize((max(1, strip.width >> halved), height), Image.Resampling.BOX), dtype=float)
        per_foot = strip.height / 2**halved / INCH
        column = np.clip((along * per_foot).astype(int), 0, dots.shape[1] - 1)
        row = np.clip(((across / INCH + 0.5) * height).astype(int), 0, height - 1)
        colour = np.where((level == halved)[..., None], dots[row, column] / 255.0, colour)
    return colour


def _tape(inches: int, scale: int = 40) -> Image.Image:
    strip = Image.new("RGB", (inches * scale, scale), (232, 200, 74))
    pen = ImageDraw.Draw(strip)
    figures = ImageFont.truetype(str(_FONT), 24)
    for inch in range(inches):
        for eighth in range(8):
            x = inch * scale + eighth * scale // 8
            pen.line([(x, 0), (x, scale if eighth == 0 else 16 if eighth == 4 else 9)], fill=(28, 26, 20), width=2)
        pen.text((inch * scale + scale - 4, scale), f"{inch + 1}", font=figures, fill=(28, 26, 20), anchor="rs")
    return strip


def fence(scene: Scene, y: float, *, foot: float = 0.0, top: float = 10.0, spacing: float = 10.0) -> None:
    """Stand a chain-link fence across the view."""
    _, z = scene.wall(y)
    with scene.only((z > foot - 0.1) & (z < top + 0.5)) as part:
        _fence(part, y, foot, top, spacing)


def _fence(scene: Scene, y: float, foot: float, top: float, spacing: float) -> None:
    x, z = scene.wall(y)
    pixel = y / scene.camera.focal
    mesh = 0.17
    near = np.clip(mesh / (3 * pixel) - 0.6, 0, 1)
    thick = max(0.05, 0.5 * pixel / mesh)
    wire = sum(np.clip(1.5 - np.abs(((x + sign * z) / mesh + 0.5) % 1.0 - 0.5) / thick, 0, 1) for sign in (1, -1))
    cover = near * np.clip(wire, 0, 1) * 0.40 + (1 - near) * 0.15
    seen = (z > foot) & (z < top)
    scene.paint((0.42, 0.44, 0.44), np.where(seen, cover, 0.0))
    for rail in (top, (top + foot) / 2):
        scene.paint((0.50, 0.52, 0.52), np.clip(1.2 - np.abs(z - rail) / max(0.08, pixel), 0, 1) * 0.9)
    reach = int(spacing * (1 + (y * scene.camera.width / scene.camera.focal) // spacing))
    for post in range(-reach, reach + 1, round(spacing)):
        post_cover, across = scene.upright((post + 2.5, y), 0.12, foot, top + 0.15)
        scene.paint(np.array([0.53, 0.55, 0.55]) * (1 - 0.3 * across)[..., None], post_cover)


def bank(scene: Scene, y: float, rise: float) -> None:
    """Raise a bank of earth and dry grass across the view, uneven along its top."""
    _, z = scene.wall(y)
    with scene.only((z > -0.2) & (z < 1.5 * rise)) as part:
        _bank(part, y, rise)


def _bank(scene: Scene, y: float, rise: float) -> None:
    x, z = scene.wall(y)
    top = rise * (1 + 0.2 * noise(x, x * 0, 9.0, 51, 3) + 0.05 * noise(x, x * 0, 0.7, 52, 3))
    pixel = y / scene.camera.focal
    tuft = noise(x, z, 0.6, 53, 4, pixel) * 0.35 + noise(x, z * 0.5, 3.0, 54, 3, pixel) * 0.2
    earth = np.array([0.47, 0.43, 0.27]) * (1 + tuft)[..., None]
    scene.paint(
        earth * np.clip(0.72 + 0.3 * z / rise, 0.6, 1.05)[..., None],
        np.clip((top - z) / max(pixel, 0.06), 0, 1) * (z > -0.05),
    )


def trunk(
    scene: Scene, place: tuple[float, float], diameter: float, seed: int, foot: float = 0.0, top: float = 200.0
) -> None:
    """Stand the trunk of a tree, lit from the left, with its bark and its flare at the foot."""
    x, z = scene.wall(place[1])
    with scene.only((np.abs(x - place[0]) < diameter) & (z > foot - 0.2)) as part:
        _trunk(part, place, diameter, seed, foot, top)


def _trunk(scene: Scene, place: tuple[float, float], diameter: float, seed: int, foot: float, top: float) -> None:
    _, z = scene.wall(place[1])
    flare = 1 + 0.7 * np.exp(-np.maximum(z - foot, 0) / 0.55) - 0.85 * np.clip(z / top, 0, 1)
    x, _ = scene.wall(place[1])
    across = (x - place[0]) / (diameter / 2 * flare)
    pixel = place[1] / scene.camera.focal
    cover = np.clip((1 - np.abs(across)) * diameter / 2 / pixel, 0, 1) * np.clip((z - foot) / pixel + 0.5, 0, 1)
    cover = cover * (z < top)
    bark = noise(x, z / 5, 0.16, seed, 4, pixel) * 0.42 + noise(x, z, 1.1, seed + 1, 2, pixel) * 0.12
    light = np.clip(0.82 - 0.42 * across - 0.25 * across**2, 0.3, 1.2)
    scene.paint(np.array([0.47, 0.43, 0.36]) * ((1 + bark) * light)[..., None], cover)


def poplar(scene: Scene, place: tuple[float, float], seed: int, height: float = 46.0) -> None:
    """Stand a bare poplar: a straight trunk in a narrow haze of upright twigs."""
    x, z = scene.wall(place[1])
    with scene.only((np.abs(x - place[0]) < 9.0) & (z > -0.5)) as part:
        _poplar(part, place, seed, height)


def _poplar(scene: Scene, place: tuple[float, float], seed: int, height: float) -> None:
    trunk(scene, place, 1.3, seed, top=height)
    x, z = scene.wall(place[1])
    up = np.clip((z - 6.0) / (height - 6.0), 0, 1)
    half = 3.8 * np.sqrt(np.clip(up * 2.5, 0, 1)) * (1 - 0.75 * up**1.5)
    off = (x - place[0]) / np.maximum(half, 0.05)
    twigs = noise(x - 0.10 * (x - place[0]) * z / 8, z / 9, 0.55, seed + 2, 4, place[1] / scene.camera.focal)
    cover = np.clip(1.15 - np.abs(off) + 0.35 * twigs, 0, 1) * np.clip(0.42 + 0.8 * twigs, 0.10, 0.75)
    scene.paint((0.36, 0.33, 0.26), cover * ((z > 5.0) & (up < 1.0)))


def water(scene: Scene, depth: Array, dark: float = 0.10) -> None:
    """Let water stand where ``depth`` is above 0 [ft]: a damp rim, then the sky in it."""
    scene.darken(np.clip((depth + 0.02) / 0.02, 0, 1) * 0.32)
    up = -scene.rays[..., 2]
    mirror = 0.10 + 0.90 * (1 - np.clip(up, 0, 1)) ** 4
    ripple = scene.noise(0.8, 61, 3) * 0.05
    height = np.clip(up / 0.9 + ripple, 0, 1)[..., None]
    seen = np.array([0.84, 0.87, 0.89]) * (1 - height) + np.array([0.55, 0.66, 0.78]) * height
    scene.darken(np.clip(depth / 0.02, 0, 1) * (dark + 0.15))
    scene.paint(seen, np.clip(depth / 0.006, 0, 1) * np.clip(mirror + 0.12, 0, 0.85))


def chalk(scene: Scene, centre: tuple[float, float], radius: float, seed: int) -> None:
    """Draw a chalk ring by hand."""
    with scene.only(scene.near(np.array([centre, (centre[0], centre[1] + 0.01)]), 1.5 * radius)) as part:
        _ring(part, centre, radius, seed)


def _ring(scene: Scene, centre: tuple[float, float], radius: float, seed: int) -> None:
    off_x, off_y = scene.x - centre[0], scene.y - centre[1]
    angle = np.arctan2(off_y, off_x)
    wobble = radius * (1 + 0.06 * np.sin(2 * angle + seed) + 0.04 * np.sin(3 * angle + 2 * seed))
    distance = np.hypot(off_x, off_y) - wobble
    dust = np.clip(0.75 + 0.9 * scene.noise(0.035, 70 + seed, 2), 0.1, 0.95)
    scene.paint((0.94, 0.93, 0.88), scene.band(distance, 0.045, 0.012) * dust)
