"""Hand-made pads, one of every shape, each with its reading."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate

from courtwright.ground.reading import (
    CourtPlane,
    CrackReading,
    Flatness,
    Heave,
    HeightGrid,
    LowSpot,
    OldRepair,
    PadReading,
    Piece,
    WidthClass,
)
from courtwright.site.record import Court, Mark, Pad, Shots, Tally

FT, IN = 0.3048, 0.0254


def mark(kind: str, number: int, geometry, **properties) -> Mark:
    return Mark(f"{kind}-{number}", kind, geometry, properties)


def no_cracks() -> CrackReading:
    return CrackReading(0.0, 0.0, (), 0.0, None, None, 0, 0, 0, 0.0, 0.0)


def plane(court: Court, slope: float, bearing: float) -> CourtPlane:
    return CourtPlane(court.id, court.sport, slope, 0.0004, bearing, 0.008, 0.1, 0.2)


def grid(outline: Polygon, dips: list[tuple[float, float, float, float]]) -> HeightGrid:
    """Return a gently falling plane with round dips: place, radius and depth."""
    x0, y0, x1, y1 = outline.bounds
    cell = 0.25
    x, y = np.meshgrid(np.arange(x0, x1 + 1e-9, cell), np.arange(y0, y1 + 1e-9, cell))
    z = 30.0 - 0.002 * x - 0.007 * y
    for dx, dy, radius, depth in dips:
        r2 = ((x - dx) ** 2 + (y - dy) ** 2) / radius**2
        z = np.where(r2 < 1, 30.0 - 0.002 * dx - 0.007 * dy - depth * (1 - r2), z)
    return HeightGrid(x0, y0, cell, z, np.full_like(z, 0.001), 90)


def repairable() -> tuple[Pad, PadReading]:
    """Return a basketball and two pickleball courts that can be saved; hollow repairs, a corner that holds water."""
    outline = box(0, 0, 120 * FT, 60 * FT)
    courts = (
        Court("1", "basketball", (60 * FT, 30 * FT), np.pi / 2),
        Court("2", "pickleball", (30 * FT, 30 * FT), 0.0),
        Court("3", "pickleball", (90 * FT, 30 * FT), 0.0),
    )
    marks = (
        mark("crack", 1, LineString([(3, 18.288), (4.2, 13), (5.0, 9), (4.4, 5)]), width=0.5 * IN, width_max=0.7 * IN),
        mark("crack", 2, LineString([(14, 0), (14.6, 5), (14.2, 9.5), (15.1, 12)]), width=0.25 * IN),
        mark("crack", 3, LineString([(28, 18.288), (27.2, 12), (28.4, 7)]), width=0.09 * IN),
        mark("crack", 4, LineString([(20, 3), (25, 4)])),
        mark("old-repair", 1, LineString([(22, 18), (22.5, 2)]), repair="membrane", state="hollow", strip_width=0.3),
        mark("old-repair", 2, LineString([(9, 17), (9, 6)]), repair="membrane", strip_width=0.3),
        mark("sounding", 1, Point(9, 16), sounds="hollow"),
        mark("sounding", 2, Point(9, 13), sounds="hollow"),
        mark("sounding", 3, Point(9, 10), sounds="solid"),
        mark("sounding", 4, Point(9, 7), sounds="solid"),
        mark("edge", 1, LineString([(36.576, 0), (26, 0)]), stands="above", of="sod", height=1 * IN),
        mark("worn", 1, box(10, 1, 13, 3), wear="peeling"),
        mark("sand", 1, box(33, 0.4, 36, 2)),
        mark("post", 1, Point(9.144, 5.8), post="net"),
        mark("post", 2, Point(9.144, 12.4), post="net", lean_deg=4.0),
        mark("drain", 1, Point(36.0, 17.8), works=False),
        mark("fence", 1, LineString([(-0.6, -0.6), (-0.6, 19), (37.2, 19)]), height=3.0),
        mark("gate", 1, Point(-0.6, 9), clear_width=1.2),
        mark("utility", 1, LineString([(-3, 15), (40, 16)]), utility="power", located=True),
    )
    spots = (
        LowSpot(
            "low-1", 9.0, 0.011, 0.05, (31, 0), (33.5, 1.8), 0.97, Point(33.5, 1.8).buffer(1.7).intersection(outline)
        ),
        LowSpot("low-2", 4.0, 0.004, 0.01, (18, 14), (18, 15), 0.45, Point(18, 15).buffer(1.1)),
    )
    reading = PadReading(
        "lower",
        outline.area,
        grid(outline, [(33.5, 1.8, 1.7, 0.011), (18, 15, 1.1, 0.004)]),
        (plane(courts[0], 0.0072, 2.9), plane(courts[1], 0.0091, 3.0), plane(courts[2], 0.006, 2.7)),
        Flatness(3.048, 0.009, (18.0, 15.0), 0.3, 0.04),
        spots,
        CrackReading(
            44.0,
            0.0,
            (WidthClass(0.0, 0.003, 11.0), WidthClass(0.003, 0.0381, 28.0)),
            5.1,
            0.0178,
            None,
            0,
            6,
            0,
            0.0,
            0.0,
        ),
        (Piece("piece-1", outline.area, False, 0.1, outline, True),),
        (),
        (
            OldRepair("old-repair-1", "membrane", 16.0, 4.8, 0.3, 1.0, (0.8, 1.0), 0, marks[4].geometry.buffer(0.15)),
            OldRepair("old-repair-2", "membrane", 11.0, 3.3, 0.3, 0.5, (0.2, 0.8), 4, marks[5].geometry.buffer(0.15)),
        ),
        "sod",
        10.6,
    )
    shots = Shots(np.zeros((3, 3)), (), "lower.csv")
    pad = Pad("lower", outline, 2006, "asphalt", "acrylic", 2015, None, None, 0.35, courts, shots, marks)
    return pad, reading


def finished() -> tuple[Pad, PadReading]:
    """Return three tennis courts cut into a hillside that roots and joined cracks have finished; turned on its plan."""
    outline = rotate(box(0, 0, 180 * FT, 120 * FT), 12, origin=(0, 0))

    def at(x: float, y: float) -> tuple[float, float]:
        turned = rotate(Point(x * FT, y * FT), 12, origin=(0, 0))
        return turned.x, turned.y

    def line(*places: tuple[float, float]) -> LineString:
        return LineString([at(*place) for place in places])

    courts = tuple(Court(str(i + 1), "tennis", at(30 + 60 * i, 60), -np.radians(12)) for i in range(3))
    piece = Polygon([at(100, 120), at(104, 80), at(150, 70), at(156, 120)])
    small = Polygon([at(60, 0), at(64, 40), at(90, 44), at(94, 0)])
    marks = (
        mark("crack", 1, line((100, 120), (104, 80)), width=1.1 * IN),
        mark("crack", 2, line((104, 80), (150, 70)), width=0.9 * IN),
        mark("crack", 3, line((150, 70), (156, 120)), width=1.4 * IN),
        mark("crack", 4, line((60, 0), (64, 40)), width=1.8 * IN),
        mark("crack", 5, line((64, 40), (90, 44)), width=0.7 * IN),
        mark("crack", 6, line((90, 44), (94, 0)), width=0.8 * IN),
        mark("crack", 7, line((12, 100), (24, 60), (20, 30)), width=0.4 * IN),
        mark("heave", 1, Point(at(170, 60)), height=1.75 * IN, radius=1.2),
        mark("heave", 2, Point(at(172, 90))),
        mark("trees", 1, line((186, 5), (186, 118)), trunk_diameter=0.5, count=9),
        mark("utility", 1, line((0, 20), (180, 52)), utility="water", located=False),
        mark("probe", 1, Point(at(45, 100)), asphalt_thickness=1.75 * IN),
        mark("wall", 1, line((0, 124), (180, 124)), height=1.2),
        mark("joint", 1, line((60, 45), (60, 118)), joint="construction"),
    )
    body = outline.difference(piece).difference(small)
    reading = PadReading(
        "upper",
        outline.area,
        None,
        (),
        None,
        (LowSpot("low-1", 12.0, 0.02, 0.1, None, at(40, 30), None, Point(at(40, 30)).buffer(2.2), drawn=True),),
        CrackReading(90.0, 0.0, (WidthClass(0.003, 0.0381, 70.0),), 0.0, 1.8 * IN, None, 4, 2, 0, 0.0, 60.0),
        (
            Piece("piece-1", body.area, False, 0.5, body, True),
            Piece("piece-2", piece.area, True, 1.0, piece),
            Piece("piece-3", small.area, True, 1.0, small),
        ),
        (Heave("heave-1", 1.75 * IN, 4.5, at(170, 60), 5.0, True), Heave("heave-2", None, 1.0, at(172, 90), 4.0, True)),
        (),
        None,
    )
    pad = Pad("upper", outline, 1973, "asphalt", "acrylic", None, 1.75 * IN, None, None, courts, None, marks)
    return pad, reading


def empty() -> tuple[Pad, PadReading]:
    """Return a pad of which only the outline is known."""
    outline = box(0, 0, 18.0, 9.0)
    piece = Piece("piece-1", outline.area, False, 0.0, outline, True)
    reading = PadReading("yard", outline.area, None, (), None, (), no_cracks(), (piece,), (), (), None)
    return Pad("yard", outline, tallies=(Tally("crack", length=12.0),)), reading


def many_marks() -> tuple[Pad, PadReading]:
    """Return a pad with two hundred cracks and thirty low spots."""
    pad, reading = empty()
    outline = box(0, 0, 36.0, 33.0)
    rng = np.random.default_rng(7)
    cracks = []
    for i in range(200):
        x, y = rng.uniform(1, 35), rng.uniform(1, 32)
        steps = rng.normal(0, 0.8, (4, 2)).cumsum(axis=0)
        path = [(x, y), *((float(np.clip(x + dx, 0, 36)), float(np.clip(y + dy, 0, 33))) for dx, dy in steps)]
        cracks.append(mark("crack", i, LineString(path), width=float(rng.uniform(0.001, 0.03))))
    spots = tuple(
        LowSpot(
            f"low-{i}",
            2.0,
            float(rng.uniform(0.002, 0.02)),
            0.01,
            None,
            (x, y),
            float(rng.uniform(0, 1)),
            Point(x, y).buffer(0.8),
        )
        for i, (x, y) in enumerate(rng.uniform(2, 31, (30, 2)))
    )
    pad = replace(pad, id="many", outline=outline, marks=tuple(cracks), tallies=())
    return pad, replace(reading, id="many", area=outline.area, low_spots=spots)


def crowded() -> tuple[Pad, PadReading]:
    """Return a small pad on which every metre has something to say."""
    outline = box(0, 0, 30.0, 20.0)
    places = [(x, y) for x in range(2, 30, 4) for y in range(2, 20, 4)]
    marks = [
        mark("heave", i, Point(x, y), height=0.03 + 0.001 * i, radius=0.5)
        if i % 3 == 0
        else mark("probe", i, Point(x, y), asphalt_thickness=0.05 + 0.001 * i)
        for i, (x, y) in enumerate(places)
    ]
    pieces = tuple(
        Piece(f"piece-{i}", 4.0, True, 1.0, box(x - 1.9, y - 1.9, x + 1.9, y + 1.9)) for i, (x, y) in enumerate(places)
    )
    pad, reading = empty()
    pad = replace(pad, id="crowded", outline=outline, marks=tuple(marks), tallies=())
    return pad, replace(reading, id="crowded", area=outline.area, pieces=pieces)
