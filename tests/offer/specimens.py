"""Hand-made sites, one of every shape: what an offer must be able to say."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace
from decimal import Decimal

import numpy as np
from PIL import Image

from courtwright.cost.records import Allowance, BuildUpLine, Driver, OptionPrice, Percentiles
from courtwright.ground.reading import (
    GroundReading,
)
from courtwright.measured import Measured
from courtwright.offer import OfferRequest, OfferTexts
from courtwright.quantities.records import OptionWork, Quantity, Step
from courtwright.says import say
from courtwright.site.record import Job, Photo, SiteRecord
from courtwright.trade.papers import OwnText, Subject, house
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
from tests.offer.pads import empty, finished, repairable

WALKED = dt.date(2026, 4, 11)
START = dt.date(2026, 5, 4)
_TAKEN = dt.datetime.fromisoformat("2026-04-11T09:30:00")


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


#: Text that would be markup, a command or mathematics if it were read as such.
ODD = '#panic("x") $x^2$ *b* _i_ [c](d) \\ @e <f> // g /* h `i` =j'


def typed(**changes: object) -> OfferRequest:
    """Return the two pads with texts written by hand, odd signs and all."""
    texts = OfferTexts(
        f"Good day, Rosa.\nGreeting {ODD}",
        "Note of page one.\n\nIts second paragraph.",
        f"Closing {ODD}",
        {("lower", "resurface"): f"Beside {ODD}", ("lower", "mat"): "Beside what is not offered"},
    )
    return two_pads(texts=texts, **changes)


def logo(size: tuple[int, int] = (600, 120)) -> bytes:
    """Return a picture whose ground is clear, as a logo is kept."""
    picture = Image.new("RGBA", size, (0, 0, 0, 0))
    picture.paste((122, 42, 74, 255), (size[0] // 8, size[1] // 8, size[0] * 7 // 8, size[1] * 7 // 8))
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def own_papers(**changes: object) -> OfferRequest:
    """Return the two pads by a contractor with a wide logo and texts of its own, one of odd signs."""
    own: dict[Subject, OwnText] = {
        "warranty": OwnText(f"Own warranty {ODD}", "Garantía propia."),
        "insurance": OwnText("Insured by\nRiver Mutual.\n\nAsk for the certificate."),
        "payment": OwnText(es="La mitad al empezar."),
        "cancellation": OwnText("Three days to cancel.", " "),
    }
    who = replace(house(), name="Level Courts & Sons of the Lower Valley", licence="", terms=own)
    return two_pads(contractor=who, logo=logo(), **changes)


def typed_small(**changes: object) -> OfferRequest:
    """Return the small job with every text."""
    beside = {("lower", "repair"): "Beside the one option.\nIts second line"}
    return one_small_job(texts=OfferTexts("Greeting.", "Note.", "Closing.", beside), **changes)


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
