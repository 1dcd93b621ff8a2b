"""The pad *upper*: three tennis courts of 1973 cut into a hillside, poplars along one side. All lengths in feet."""

from __future__ import annotations

import numpy as np

from demo.marks import Line, Point, feature, meeting, place_on, ring, round_ring, wandering
from demo.surface import INCH, Array, Shot, cap, grid, paced, readings

PAD = "upper"
SIZE = (156.0, 120.0)
FALL = 0.0085
#: Where roots lift the pad: place, radius [ft], height [in] and how it is written.
HEAVES = (
    ((14.0, 114.5), 5.5, 1.5, "1-1/2 in"),
    ((38.0, 113.0), 7.0, 2.25, "2-1/4 in"),
    ((66.0, 114.0), 7.0, 3.0, "3 in"),
    ((90.0, 115.0), 5.5, 1.75, "1-3/4 in"),
    ((121.0, 113.5), 7.0, 2.5, "2-1/2 in"),
    ((145.0, 115.0), 5.5, 1.5, "1-1/2 in"),
)
TRENCH = ((104.0, 0.0), (98.0, 120.0))
#: Half the width of the settled strip over the pipe. [ft]
TRENCH_HALF_WIDTH = 6.0
#: Where the trench has settled most: distance along it [ft] and settlement [in].
SETTLED = ((22.0, 1.6), (50.0, 2.05), (76.0, 1.95))


def surface(x: Array, y: Array) -> Array:
    """Return the height of the pad: a plane to the downhill side, a settled trench, heaves at the poplars. [ft]"""
    (x0, y0), (x1, y1) = TRENCH
    length = float(np.hypot(x1 - x0, y1 - y0))
    along = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length
    across = np.abs((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / length
    settled = sum(inches * INCH * np.exp(-(((along - at) / 11.0) ** 2)) for at, inches in SETTLED)
    profile = 0.5 * (1.0 + np.cos(np.pi * np.minimum(across / TRENCH_HALF_WIDTH, 1.0)))
    lifted = sum(cap(x, y, centre, radius, inches * INCH) for centre, radius, inches, _ in HEAVES)
    return 100.0 + FALL * (SIZE[0] - x) + 0.0004 * y - settled * profile + lifted


def shots(rng: np.random.Generator) -> str:
    """Return the shots file of the pad."""
    (x0, _), (x1, _) = TRENCH
    trench = [
        Shot(round(x0 + (x1 - x0) * y / SIZE[1] + off, 1), float(y), "trench CL" if off == 0 else "trench side")
        for y in range(4, 100, 5)
        for off in (-6.0, -3.0, 0.0, 3.0, 6.0)
    ]
    heaves = [
        Shot(round(x + dx, 1), round(min(y + dy, SIZE[1]), 1), "heave")
        for (x, y), radius, _, _ in HEAVES
        for dx, dy in ((0, 0), (radius / 2, 0), (-radius / 2, 0), (radius, 0), (-radius, 0), (0, radius), (0, -radius))
    ]
    places = [Shot(s.x, s.y, s.why) for s in paced(rng, grid(*SIZE, 10.0), SIZE, "grid")]
    return readings(rng, [*places, *trench, *heaves], surface, 1001)


def marks(rng: np.random.Generator) -> list[dict[str, object]]:
    """Return the marks of the pad."""
    return [*_cracks(rng), *_repairs_and_wear(rng), *_around()]


def _trench_side(y: float, off: float) -> Point:
    (x0, _), (x1, _) = TRENCH
    return x0 + (x1 - x0) * y / SIZE[1] + off, y


def _cracks(rng: np.random.Generator) -> list[dict[str, object]]:
    def crack(line: Line, width: str, width_max: str, **more: object) -> dict[str, object]:
        return feature(PAD, "crack", line, width=width, width_max=width_max, **more)

    west = wandering(rng, [(0.04, 98.0), (24.0, 101.0), (47.0, 99.0)])
    middle = wandering(rng, [(47.0, 99.0), (72.0, 100.5), (98.0, 99.5)])
    east = wandering(rng, [(98.0, 99.5), (126.0, 101.5), (155.96, 100.0)])
    made = [
        crack(west, "1 in", "1-3/4 in", step="3/8 in", depth="2-1/2 in"),
        crack(middle, "1-1/4 in", "2 in", step="3/4 in", depth="2-1/2 in"),
        crack(east, "1 in", "1-5/8 in", step="1/2 in", depth="2-1/2 in"),
    ]
    for long_crack, x, lean, width, width_max, step in (
        (west, 25.0, 1.5, "3/4 in", "1-1/4 in", "1/4 in"),
        (middle, 52.0, -2.0, "1 in", "1-3/4 in", "1/2 in"),
        (middle, 79.0, 2.0, "1-1/4 in", "2 in", "5/8 in"),
        (east, 110.0, 1.0, "3/4 in", "1-1/4 in", "3/8 in"),
        (east, 133.0, -1.5, "1 in", "1-3/8 in", "1/2 in"),
    ):
        top = (x + lean, SIZE[1] - 0.04)
        line = wandering(rng, [meeting(long_crack, (x, 100.0), top), top])
        made.append(crack(line, width, width_max, step=step))

    start, end = meeting(west, (30.0, 100.0), (33.0, 84.0)), meeting(middle, (65.0, 100.0), (62.0, 85.0))
    bow = wandering(rng, [start, (33.0, 85.0), (46.0, 79.0), (60.0, 83.0), end])
    made.append(crack(bow, "3/4 in", "1-1/4 in", step="3/8 in"))

    left_end, right_end = _trench_side(14.0, -3.5), _trench_side(36.0, 3.5)
    left = wandering(rng, [meeting(middle, _trench_side(100.0, -3.5), left_end), left_end], reach=0.3)
    right = wandering(rng, [meeting(east, _trench_side(100.0, 3.5), right_end), right_end], reach=0.3)
    made.append(crack(left, "3/4 in", "1-1/4 in", step="3/8 in", depth="2-3/4 in"))
    made.append(crack(right, "3/4 in", "1 in", step="1/4 in", depth="2-3/4 in"))
    for y in (80.0, 58.0):
        from_left, from_right = place_on(left, _trench_side(y, -3.5)), place_on(right, _trench_side(y + 1.0, 3.5))
        ends = [meeting(left, from_left, from_right), meeting(right, from_right, from_left)]
        made.append(crack(wandering(rng, ends, reach=0.2, step=2.0), "1/2 in", "3/4 in"))
    last = right[-1]
    ends = [(float(last[0]), float(last[1])), meeting(left, _trench_side(37.0, -3.5), right_end)]
    made.append(crack(wandering(rng, ends, reach=0.2, step=2.0), "1/2 in", "3/4 in"))

    made.extend(
        crack(wandering(rng, rough), width, width_max, filled=filled)
        for rough, width, width_max, filled in (
            ([(10.0, 30.0), (26.0, 35.0), (46.0, 33.0)], "3/8 in", "1/2 in", "none"),
            ([(54.0, 10.0), (55.0, 42.0), (53.5, 70.0)], "3/8 in", "5/8 in", "none"),
            ([(66.0, 14.0), (67.0, 40.0), (65.5, 66.0)], "1/4 in", "1/2 in", "cement"),
            ([(20.0, 52.0), (21.0, 76.0)], "1/4 in", "3/8 in", "none"),
            ([(116.0, 24.0), (134.0, 30.0), (151.0, 27.0)], "1/2 in", "3/4 in", "cement"),
            ([(120.0, 52.0), (137.0, 64.0), (144.0, 80.0)], "3/8 in", "1/2 in", "none"),
        )
    )
    return made


def _repairs_and_wear(rng: np.random.Generator) -> list[dict[str, object]]:
    patches = [
        ("split", [(70.0, 88.0), (77.0, 88.5), (76.5, 95.0), (70.5, 94.5)], 12),
        ("split", [(126.0, 88.0), (131.0, 88.0), (131.0, 93.5), (126.0, 93.0)], 12),
        ("sound", [(36.0, 20.0), (41.0, 20.0), (41.0, 24.0), (36.0, 24.0)], 17),
    ]
    return [
        *(
            feature(PAD, "old-repair", ring(corners), repair="patch", state=state, age_years=age)
            for state, corners, age in patches
        ),
        feature(PAD, "worn", round_ring(rng, (78.0, 30.0), (11.0, 16.0)), wear="peeling"),
        feature(PAD, "worn", round_ring(rng, (128.0, 44.0), (8.0, 6.0)), wear="ravelled"),
        *(
            feature(PAD, "heave", centre, height=written, radius=f"{radius:g} ft")
            for centre, radius, _, written in HEAVES
        ),
    ]


def _around() -> list[dict[str, object]]:
    width, depth = SIZE
    leans = ((9.0, 0), (51.0, 4), (57.0, 2), (99.0, 6), (105.0, 5), (147.0, 1))
    probes = (
        ((18.0, 24.0), "2-1/2 in", "4-1/4 in"),
        ((42.0, 92.0), "2-3/8 in", "4-1/8 in"),
        ((70.0, 50.0), "2-3/4 in", "4-1/2 in"),
        ((88.0, 106.0), "2-3/8 in", "4-1/8 in"),
        ((118.0, 36.0), "2-1/2 in", "4-1/4 in"),
        ((140.0, 92.0), "2-5/8 in", "4-3/8 in"),
    )
    return [
        feature(
            PAD,
            "trees",
            [(4.0, 126.0), (52.0, 126.5), (104.0, 126.0), (151.0, 126.0)],
            trunk_diameter="16 in",
            count=13,
        ),
        feature(PAD, "utility", TRENCH, utility="drain", located=True),
        *(feature(PAD, "post", (x, 60.0), post="net", lean_deg=lean, lifted=lean >= 5) for x, lean in leans),
        *(
            feature(PAD, "probe", place, asphalt_thickness=asphalt, base_thickness=base, wet=False)
            for place, asphalt, base in probes
        ),
        feature(PAD, "edge", [(0.0, 0.0), (0.0, depth)], stands="above", height="4 in", of="soil"),
        feature(PAD, "edge", [(width, 0.0), (width, depth)], stands="below", height="3 in", of="soil"),
        feature(PAD, "edge", [(0.0, 0.0), (width, 0.0)], stands="flush", of="soil"),
        feature(
            PAD,
            "fence",
            [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth), (0.0, 0.0)],
            height="10 ft",
            state="sound",
        ),
        feature(PAD, "gate", (width, 8.0), clear_width="14 ft"),
    ]
