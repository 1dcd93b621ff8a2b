"""The pad *lower*: a basketball court and two pickleball courts of 2006 that can be saved. All lengths in feet."""

from __future__ import annotations

import numpy as np

from demo.marks import feature, ring, round_ring, wandering
from demo.surface import INCH, Array, Shot, cap, grid, paced, readings

PAD = "lower"
SIZE = (140.0, 104.0)
FALL = 0.009
CROSS_FALL = 0.001
#: Dips: place, radius [ft], depth [in].
DIPS = (
    ((52.0, 84.0), 8.5, 1.0),
    ((134.5, 7.0), 9.0, 0.15),
)
#: Old membranes: ends [ft], and the runs that a hammer heard along them, a tap a foot: (sounds, taps).
MEMBRANES = (
    (
        ((74.0, 30.0), (110.0, 34.0)),
        (("solid", 5), ("hollow", 11), ("solid", 4), ("hollow", 12), ("solid", 5)),
    ),
    (
        ((12.0, 60.5), (38.0, 63.5)),
        (("hollow", 9), ("solid", 8), ("hollow", 7), ("solid", 3)),
    ),
)


def surface(x: Array, y: Array) -> Array:
    """Return the height of the pad: one plane, low at the corner (140, 0), and two dips. [ft]"""
    dips = sum(cap(x, y, centre, radius, -inches * INCH) for centre, radius, inches in DIPS)
    return 100.0 + FALL * (SIZE[0] - x) + CROSS_FALL * y + dips


def shots(rng: np.random.Generator) -> str:
    """Return the shots file of the pad."""
    (dip_x, dip_y), radius, _ = DIPS[0]
    turns = np.arange(8) * np.pi / 4
    rings = [
        Shot(round(dip_x + share * radius * np.cos(t), 1), round(dip_y + share * radius * np.sin(t), 1), "low spot")
        for share in (0.35, 0.7, 1.05)
        for t in turns
    ]
    dip = [Shot(dip_x, dip_y, "low spot"), *rings]
    corner = [
        Shot(x, y, "wet corner")
        for y in (0.0, 4.0, 8.0, 12.0, 16.0, 20.0, 25.0)
        for x in (140.0, 138.0, 135.5, 132.5, 128.0)
    ]
    places = paced(rng, grid(*SIZE, 10.0), SIZE, "grid")
    return readings(rng, [*places, *dip, *corner], surface, 2001)


def marks(rng: np.random.Generator) -> list[dict[str, object]]:
    """Return the marks of the pad."""
    return [*_cracks(rng), *_repairs(rng), *_water(rng), *_around()]


def _cracks(rng: np.random.Generator) -> list[dict[str, object]]:
    drawn = (
        ([(28.0, SIZE[1] - 0.04), (30.0, 88.0), (32.5, 71.0)], "3/8 in", "1/2 in"),
        ([(8.0, 40.0), (24.0, 44.0), (40.0, 47.0)], "1/4 in", "3/8 in"),
        ([(44.0, 12.0), (48.0, 38.0), (51.0, 60.0)], "1/2 in", "3/4 in"),
        ([(66.0, 18.0), (65.0, 48.0), (64.5, 78.0)], "3/8 in", "1/2 in"),
        ([(80.0, 70.0), (92.0, 68.5), (104.0, 66.0)], "3/16 in", "1/4 in"),
        ([(SIZE[0] - 0.04, 80.0), (128.0, 82.5), (116.0, 84.0)], "1/4 in", "3/8 in"),
        ([(20.0, 0.04), (21.0, 11.0), (24.0, 23.0)], "1/2 in", "5/8 in"),
    )
    return [
        *(
            feature(PAD, "crack", wandering(rng, rough), width=width, width_max=most, filled="none")
            for rough, width, most in drawn
        ),
        *(
            feature(PAD, "crack", wandering(rng, rough, reach=0.25), width="1/16 in", filled="none")
            for rough in ([(118.0, 46.0), (128.0, 49.0)], [(84.0, 84.0), (90.0, 92.0)])
        ),
    ]


def _repairs(rng: np.random.Generator) -> list[dict[str, object]]:
    made: list[dict[str, object]] = []
    for ends, runs in MEMBRANES:
        line = wandering(rng, ends, reach=0.3)
        made.append(feature(PAD, "old-repair", line, repair="membrane", age_years=10, strip_width="12 in"))
        heard = [sounds for sounds, taps in runs for _ in range(taps)]
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        stations = np.linspace(0.5, along[-1] - 0.5, len(heard))
        for station, sounds in zip(stations, heard, strict=True):
            tap = [np.interp(station, along, line[:, i]) for i in (0, 1)]
            made.append(feature(PAD, "sounding", tap, sounds=sounds))
    return made


def _water(rng: np.random.Generator) -> list[dict[str, object]]:
    width, _ = SIZE
    return [
        feature(
            PAD, "low-spot", ring([(width, 0.0), (width, 24.0), (137.8, 12.0), (136.8, 0.0)]), depth="5/16 in", lasts=36
        ),
        feature(PAD, "edge", [(width, 26.0), (width, 0.0), (126.0, 0.0)], stands="above", height="1-1/2 in", of="sod"),
        feature(PAD, "edge", [(width, 26.0), (width, 104.0)], stands="below", height="1 in", of="sod"),
        feature(PAD, "edge", [(0.0, 0.0), (126.0, 0.0)], stands="flush", of="sod"),
        feature(PAD, "sand", round_ring(rng, (137.6, 6.5), (1.8, 5.0))),
        feature(PAD, "worn", round_ring(rng, (36.0, 90.0), (9.0, 5.0)), wear="faded"),
    ]


def _around() -> list[dict[str, object]]:
    width, depth = SIZE
    probes = (
        ((20.0, 70.0), "3-3/4 in", "8 in"),
        ((58.0, 24.0), "3-1/2 in", "8 in"),
        ((98.0, 88.0), "4 in", "8-1/2 in"),
        ((128.0, 60.0), "3-5/8 in", "8 in"),
    )
    return [
        feature(PAD, "trees", (196.0, 150.0), trunk_diameter="20 in", count=1),
        *(feature(PAD, "post", (x, 52.0), post="net", lean_deg=0, lifted=False) for x in (78.0, 100.0, 112.0, 134.0)),
        *(
            feature(PAD, "probe", place, asphalt_thickness=asphalt, base_thickness=base, wet=False)
            for place, asphalt, base in probes
        ),
        feature(PAD, "fence", [(width, 34.0), (width, depth), (0.0, depth), (0.0, 0.0)], height="10 ft", state="sound"),
        feature(PAD, "gate", (0.0, 18.0), clear_width="12 ft"),
    ]
