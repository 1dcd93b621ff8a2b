"""Hand-made sites, one of every shape: what an offer must be able to say."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace
from decimal import Decimal

import numpy as np
from PIL import Image
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate

from courtwright.cost.records import Allowance, BuildUpLine, Driver, OptionPrice, Percentiles
from courtwright.ground.reading import (
    CourtPlane,
    CrackReading,
    Flatness,
    GroundReading,
    Heave,
    HeightGrid,
    LowSpot,
    OldRepair,
    PadReading,
    Piece,
    WidthClass,
)
from courtwright.measured import Measured
from courtwright.offer import OfferRequest
from courtwright.quantities.records import OptionWork, Quantity, Step
from courtwright.says import say
from courtwright.site.record import Court, Job, Mark, Pad, Photo, Shots, SiteRecord, Tally
from courtwright.trade.papers import house
from courtwright.verdict.records import (
    Because,
    Cause,
    Finding,
    Flip,
    MeasureNext,
    Option,
    PadVerdict,
    Verdict,
)

FT, IN = 0.3048, 0.0254
WALKED = dt.date(2026, 4, 11)
START = dt.date(2026, 5, 4)
_TAKEN = dt.datetime.fromisoformat("2026-04-11T09:30:00")


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


def quantity(item: str, remedy: str, amount: float, unit: str) -> Quantity:
    return Quantity(item, remedy, Measured(amount, amount * 0.05), unit, say("quantities.formula"))


def work(pad: str, option: str, remedies: tuple[str, ...], steps: tuple[Step, ...], *rows: Quantity) -> OptionWork:
    return OptionWork(pad, option, remedies, rows, steps, 3)


def price(pad: str, option: str, firm: str, life: tuple[float, float, float], *allowances: Allowance) -> OptionPrice:
    amount = float(firm)
    return OptionPrice(
        pad,
        option,
        Percentiles(amount * 0.812345, amount * 0.9, amount * 1.0371, amount * 1.15),
        Decimal(firm),
        amount * 0.93,
        amount * 0.91,
        (BuildUpLine(say("cost.day", day=1), amount * 0.4),),
        (),
        allowances,
        Percentiles(1111.0, 1222.0, 1333.0, 1444.0),
        Percentiles(life[0], life[1], life[2], life[2]),
        (Driver("asphalt", 0.37),),
        45,
        (say("cost.gap", gap=0.02),),
    )


def step(id: str, remedy: str, days: float, wait: float = 0.0, visit: int = 1, crew: int = 3) -> Step:
    return Step(id, remedy, crew, Measured(days, days * 0.2), wait, visit)


REPAIR_STEPS = (
    step("membrane-removal", "replace-membrane", 0.7),
    step("membrane", "membrane-repair", 1.5, 1.0),
    step("wash", "resurface", 1.0, crew=2),
    step("filler-coat", "resurface", 0.9, 1.0),
    step("colour-coat", "resurface", 0.9, 1.0),
    step("lines", "line-set", 1.5, crew=2),
)
PAVE_STEPS = (
    step("pulverise", "pulverise-and-pave", 2.0),
    step("grade", "pulverise-and-pave", 2.5),
    step("pave", "pulverise-and-pave", 2.0, 21.0, crew=6),
    step("colour-coat", "resurface", 2.0, 1.0, visit=2),
    step("lines", "line-set", 2.0, visit=2, crew=2),
)


def lower_verdict() -> PadVerdict:
    remedies = ("lower-side", "replace-membrane", "membrane-repair", "level-low-spots", "resurface", "line-set")
    options = (
        Option(
            "repair",
            say("options.repair.title"),
            remedies,
            "open",
            (),
            does_not_mend=(say("terms.limits.clause.membrane.text"),),
        ),
        Option("resurface", say("options.resurface.title"), ("resurface",), "open", ()),
        Option(
            "overlay",
            say("options.overlay.title"),
            ("overlay", "resurface"),
            "open if",
            (Because("firm-base", say("rules.firm-base.rule.soft-ground.because"), "from memory", "unknown"),),
            ((Flip("base_firm", None, "true"),),),
            ("base_firm",),
        ),
        Option(
            "mat",
            say("options.mat.title"),
            ("mat-system",),
            "ruled out",
            (
                Because(
                    "uneconomic", say("remedies.membrane-repair.rule.bridges.because"), "common practice", "rules out"
                ),
            ),
        ),
    )
    findings = tuple(
        Finding(f"finding-{i}", says, ())
        for i, says in enumerate(
            (
                say("remedies.membrane-repair.rule.bridges.because"),
                say("remedies.membrane-repair.rule.grind-step.because"),
            )
        )
    )
    causes = (Cause("trapped-water", 0.6, (say("remedies.membrane-repair.rule.bridges.because"),), ()),)
    next_ = (MeasureNext("base_wet", say("facts.coats.how"), ("overlay",)),)
    return PadVerdict("lower", {}, findings, None, causes, options, (), "repair", (), next_)


def upper_verdict() -> PadVerdict:
    options = (
        Option(
            "pulverise-and-pave",
            say("options.pulverise-and-pave.title"),
            ("root-barrier", "pulverise-and-pave", "resurface"),
            "open",
            (),
        ),
        Option("hold", say("options.hold.title"), ("cosmetic-fill",), "open", ()),
        Option(
            "repair",
            say("options.repair.title"),
            ("membrane-repair", "resurface"),
            "ruled out",
            (
                Because(
                    "free-pieces",
                    say("remedies.membrane-repair.rule.free-pieces.because"),
                    "common practice",
                    "rules out",
                ),
            ),
        ),
    )
    findings = (Finding("pieces", say("remedies.membrane-repair.rule.free-pieces.because"), ()),)
    causes = (Cause("roots", 0.8, (), ()), Cause("age", 0.5, (), ()))
    return PadVerdict("upper", {}, findings, None, causes, options, (), "pulverise-and-pave", (), ())


def photo(name: str, colour: tuple[int, int, int]) -> tuple[Photo, bytes]:
    """Return a photo with a place in its EXIF, which must not leave the office."""
    exif = Image.Exif()
    exif[0x0112] = 6
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", (41.0, 12.0, 30.0), "W", (73.0, 54.0, 10.0)
    out = io.BytesIO()
    grain = np.random.default_rng(3).integers(0, 120, (600, 800, 3)) // 2 + np.array(colour) // 2
    Image.fromarray(grain.astype(np.uint8)).save(out, "JPEG", exif=exif)
    return Photo(name, "jpeg", 600, 800, 6, _TAKEN, True), out.getvalue()


def two_pads(**changes: object) -> OfferRequest:
    """Return the finished pad and the repairable one, with photos."""
    (upper, upper_reading), (lower, lower_reading) = finished(), repairable()
    photos = [photo("photos/north corner.jpg", (200, 0, 0)), photo("photos/crack.jpg", (90, 0, 0))]
    site = SiteRecord(
        Job("Mill Hollow courts", "municipal", True, "us"),
        (upper, lower),
        "12 Quarry Road, Mill Hollow",
        None,
        None,
        WALKED,
        "R. Ames",
        tuple(p for p, _ in photos),
    )
    deeper = Allowance("base-repair", "m", Decimal("42.65"), 3.123, 9.456, 4.2)
    works = {
        ("lower", "repair"): work(
            "lower",
            "repair",
            ("membrane-repair",),
            REPAIR_STEPS,
            quantity("membrane-strip", "membrane-repair", 33.0, "m"),
            quantity("resurfacing", "resurface", 668.9, "m2"),
        ),
        ("lower", "resurface"): work(
            "lower", "resurface", ("resurface",), REPAIR_STEPS[2:], quantity("resurfacing", "resurface", 668.9, "m2")
        ),
        ("lower", "overlay"): work(
            "lower", "overlay", ("overlay",), PAVE_STEPS[2:], quantity("overlay-asphalt", "overlay", 60.0, "t")
        ),
        ("upper", "pulverise-and-pave"): work(
            "upper",
            "pulverise-and-pave",
            ("pulverise-and-pave",),
            PAVE_STEPS,
            quantity("paving-asphalt", "pulverise-and-pave", 380.0, "t"),
            quantity("stone", "pulverise-and-pave", 210.0, "t"),
        ),
        ("upper", "hold"): work(
            "upper",
            "hold",
            ("cosmetic-fill",),
            (step("fill", "cosmetic-fill", 1.0),),
            quantity("cosmetic-fill", "cosmetic-fill", 90.0, "m"),
        ),
    }
    prices = {
        ("lower", "repair"): price("lower", "repair", "23750", (7.2, 11.0, 15.4), deeper),
        ("lower", "resurface"): price("lower", "resurface", "11900", (3.6, 5.0, 7.0)),
        ("lower", "overlay"): price("lower", "overlay", "31400", (8.0, 12.0, 17.0)),
        ("upper", "pulverise-and-pave"): price(
            "upper",
            "pulverise-and-pave",
            "151300",
            (18.0, 24.0, 31.0),
            Allowance("undercut", "m3", Decimal("98.1"), 2.0, 6.0, 3.0),
        ),
        ("upper", "hold"): price("upper", "hold", "3500", (1.0, 2.0, 3.0)),
    }
    request = OfferRequest(
        site,
        GroundReading((upper_reading, lower_reading)),
        Verdict((upper_verdict(), lower_verdict())),
        works,
        prices,
        house(),
        WALKED,
        photos={p.name: content for p, content in photos},
    )
    return replace(request, **changes)


def one_small_job(**changes: object) -> OfferRequest:
    """Return one pad with one option."""
    pad, reading = repairable()
    verdict = lower_verdict()
    verdict = replace(verdict, options=verdict.options[:1] + verdict.options[3:])
    whole = two_pads()
    key = ("lower", "repair")
    request = OfferRequest(
        SiteRecord(Job(), (pad,)),
        GroundReading((reading,)),
        Verdict((verdict,)),
        {key: whole.work[key]},
        {key: whole.prices[key]},
        house(),
        WALKED,
    )
    return replace(request, **changes)


def nothing_known(**changes: object) -> OfferRequest:
    """Return a pad of which only the outline is known: nothing can be offered."""
    pad, reading = empty()
    pad = replace(pad, tallies=())
    next_ = (MeasureNext("crack_length", say("facts.coats.how"), ()),)
    verdict = PadVerdict("yard", {}, (), None, (), (), (), None, (), next_)
    request = OfferRequest(
        SiteRecord(Job(), (pad,)), GroundReading((reading,)), Verdict((verdict,)), {}, {}, house(), WALKED
    )
    return replace(request, **changes)


def hostile(**changes: object) -> OfferRequest:
    """Return a job whose names are written to break what they are put into."""
    request = one_small_job()
    (pad,), (reading,), (verdict,) = request.site.pads, request.ground.pads, request.verdict.pads
    name = '=1+1/#evil[]<b>&"$x$\u202e漢'
    key = (name, "repair")
    site = replace(
        request.site,
        job=Job('=HYPERLINK("http://x") #import "a" <&> 漢字 \\', "home"),
        address="@SUM(A1) $a_b$ *bold* // /* comment",
        pads=(replace(pad, id=name, built=None),),
        photos=(Photo("broken.jpg", "jpeg", 10, 10),),
    )
    return replace(
        request,
        site=site,
        ground=GroundReading((replace(reading, id=name),)),
        verdict=Verdict((replace(verdict, id=name),)),
        work={key: replace(request.work["lower", "repair"], pad=name)},
        prices={key: replace(request.prices["lower", "repair"], pad=name)},
        photos={"broken.jpg": b"no picture"},
        **changes,
    )
