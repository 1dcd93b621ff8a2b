"""Answers as plain records: each number in the unit that its name tells."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, box

from courtwright.cost.records import Allowance, Driver
from courtwright.ground import read_ground
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
    PlaceToShoot,
    Settled,
    ShootNext,
    WidthClass,
)
from courtwright.job.answers.ground import ground_answer, next_says
from courtwright.job.answers.index import index_answer
from courtwright.job.answers.plain import Reader, degrees, fact_unit, fact_value, number, point, ring
from courtwright.job.answers.price import price_answer
from courtwright.job.answers.verdict import verdict_answer
from courtwright.job.estimate import Estimate, estimate
from courtwright.job.judging import judged
from courtwright.measured import Span
from courtwright.quantities.standard import standard_pad
from courtwright.site.record import Job, Mark, SiteRecord
from courtwright.verdict.records import ConditionIndex

INF = math.inf

# --- ground -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def answer() -> dict:
    """Return the answer of one pad of which every part is known, in metres, radians and shares."""
    sd = np.array([[0.001, 0.002, np.nan], [0.003, 0.004, 0.009]])
    reading = PadReading(
        id="p",
        area=668.901888,
        heights=HeightGrid(0.1, 0.2, 0.254, np.zeros((2, 3)), sd, 57),
        courts=(CourtPlane("1", "tennis", 0.00853, 0.0001, math.radians(123.44), 0.0072, 0.5, 0.0, 0.0031),),
        flatness=Flatness(3.048, 0.00654, (1.0, 2.5), math.radians(63.4), 0.1234),
        low_spots=(LowSpot("low-1", 2.5, 0.0061, 0.0042, (3.0, 4.5), (3.2, 4.6), 0.875, box(2, 3, 4, 5)),),
        cracks=CrackReading(40.0, 7.0, (WidthClass(0.0032, 0.00635, 33.0),), 7.0, 0.01, 0.004, 3, 2, 1, 0.0, 0.0),
        pieces=(Piece("piece-1", 30.0, True, 0.75, box(0, 0, 1, 2)),),
        heaves=(Heave("h", 0.0254, 1.0, (5.0, 6.0), 3.456, near_trees=True),),
        old_repairs=(OldRepair("r", "membrane", 12.0, 3.6, 0.3, 0.4, (0.2, 0.65), 10, box(0, 0, 1, 1)),),
        low_edge="sod",
        shoot_next=ShootNext(
            (
                PlaceToShoot((12.34, 4.57), 0.004, (Settled("low-1", (3.2, 4.6), 0.6),), 1.0, 0.7),
                PlaceToShoot((1.0, 2.0), 0.003, (Settled(None, (1.2, 2.6), 0.3),), 0.7, 0.6),
                PlaceToShoot((9.0, 9.0), 0.009, (), 0.6, 0.6),
            ),
            1.0,
            may_hide=True,
        ),
    )
    (pad,) = ground_answer(GroundReading((reading,)), Reader())["pads"]
    return pad


def test_heights_are_told_with_their_middle_uncertainty_in_millimetres(answer: dict):
    """Of 1, 2, 3, 4 and 9 mm the middle is 3."""
    assert answer["area_m2"] == 668.902
    assert answer["heights"] == {"cell_m": 0.254, "rows": 2, "cols": 3, "shots": 57, "sd_median_mm": 3.0}


def test_a_place_to_shoot_is_told_to_what_a_tape_finds(answer: dict):
    """(12.34, 4.57) m is told as 12.3 and 4.6, in order, with the low spot, the doubt in bits and a sentence."""
    told = answer["shoot_next"]
    assert told["doubt_bits"] == 1.0
    assert told["says"] is None
    (first, second, third) = told["places"]
    assert (first["rank"], first["at"], first["sd_mm"]) == (1, [12.3, 4.6], 4.0)
    assert first["settles"] == [{"low_spot": "low-1", "at": [3.2, 4.6], "likelihood": 0.6}]
    assert (first["doubt_before_bits"], first["doubt_after_bits"]) == (1.0, 0.7)
    assert "low-1" in first["says"]
    assert "60 %" in first["says"]
    assert second["settles"][0]["low_spot"] is None
    assert "30 %" in second["says"]
    assert third["settles"] == []


@pytest.mark.parametrize(("doubt", "hides", "word"), [(0.0, False, "settled"), (0.4, False, "flood")])
def test_where_nothing_is_left_to_shoot_it_says_why(doubt: float, hides: bool, word: str):
    """All is settled; or some doubt is left that no one shot would take."""
    (sentence,) = next_says(ShootNext((), doubt, hides))
    assert word in Reader().says(sentence)


def test_slopes_are_in_percent_and_bearings_in_degrees(answer: dict):
    """0.00853 is 0.853 %; lengths off the plane are in millimetres."""
    assert answer["courts"] == [
        {
            "id": "1",
            "sport": "tennis",
            "slope_pct": 0.853,
            "bearing_deg": 123.4,
            "off_plane_max_mm": 7.2,
            "off_plane_rms_mm": 3.1,
        }
    ]


def test_the_gap_is_in_millimetres_and_its_place_in_metres(answer: dict):
    """6.54 mm at (1, 2.5), under a straightedge of 3.048 m."""
    assert answer["flatness"] == {
        "straightedge_m": 3.048, "gap_max_mm": 6.54, "at": [1.0, 2.5], "bearing_deg": 63.4,
        "share_over_tolerance": 0.1234,
    }  # fmt: skip


def test_water_is_in_millimetres_and_litres(answer: dict):
    """6.1 mm deep, 0.0042 m³ are 4.2 l; the outline does not repeat its first corner."""
    (spot,) = answer["low_spots"]
    assert (spot["area_m2"], spot["depth_max_mm"], spot["volume_l"]) == (2.5, 6.1, 4.2)
    assert (spot["spill"], spot["likelihood"], spot["drawn"]) == ([3.0, 4.5], 0.875, False)
    assert sorted(spot["outline"]) == [[2.0, 3.0], [2.0, 5.0], [4.0, 3.0], [4.0, 5.0]]


def test_cracks_pieces_heaves_and_repairs(answer: dict):
    """Widths in millimetres, lengths in metres, shares from 0 to 1."""
    cracks = answer["cracks"]
    assert cracks["by_width"] == [{"from_mm": 3.2, "to_mm": 6.35, "length_m": 33.0}]
    assert (cracks["length_m"], cracks["tallied_m"], cracks["unknown_width_m"]) == (40.0, 7.0, 7.0)
    assert (cracks["junctions"], cracks["ends"], cracks["parallels"]) == (3, 2, 1)
    assert [(p["area_m2"], p["free"], p["cracked_share"]) for p in answer["pieces"]] == [(30.0, True, 0.75)]
    assert answer["heaves"] == [{"id": "h", "height_mm": 25.4, "at": [5.0, 6.0], "tree_m": 3.46}]
    (repair,) = answer["old_repairs"]
    assert (repair["length_m"], repair["failed_share"], repair["failed_share_range"]) == (12.0, 0.4, [0.2, 0.65])
    assert answer["low_edge"] == "sod"


# --- numbers, facts -----------------------------------------------------------------------------


def test_numbers_have_no_false_digits_and_no_odd_zeros():
    """Rounded, never -0, and nothing where there is none."""
    assert (number(1.23456), number(1.23456, 2)) == (1.2346, 1.23)
    assert math.copysign(1, number(-0.00001)) == 1
    assert [number(v) for v in (None, math.nan, INF)] == [None] * 3
    assert (point((1.23449, -2.0)), point(None)) == ([1.234, -2.0], None)
    assert len(ring(box(0, 0, 1, 1))) == 4
    assert [degrees(math.radians(d)) for d in (0, 90, 359.97)] == [0.0, 90.0, 0.0]


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (Span.exactly(0.1234567), 0.123457),
        (Span(3.0, INF), ">= 3"),
        (Span(-INF, 0.5), "<= 0.5"),
        (Span(1.0, 2.5), "1 to 2.5"),
        (True, True),
        ("asphalt", "asphalt"),
        (None, None),
    ],
)
def test_a_fact_is_told_as_an_answer_takes_it(value: object, told: object):
    """A number, an operator and a number, a range, a claim or a word."""
    assert fact_value(value) == told


def test_a_fact_tells_its_unit():
    """Lengths in metres, ages in years, shares and claims in none."""
    names = ("crack_length", "crack_width_max", "failed_patch_area", "age", "hollow_share", "pieces_rock")
    assert [fact_unit(name) for name in names] == ["m", "m", "m2", "a", None, None]


def test_an_index_is_told_with_every_step():
    """Total, q and corrected total of the governing row, each its own number."""
    index = ConditionIndex(
        49.0, "Poor", "ASTM D6433", (), 25.1, 7.8786, 104.56, 8, 51.0, ({"q": 8.0, "tdv": 104.56, "cdv": 51.0},)
    )
    told = index_answer(index)
    assert (told["pci"], told["hdv"], told["m"], told["tdv"], told["q"], told["cdv"]) == (
        49.0, 25.1, 7.8786, 104.56, 8, 51.0,
    )  # fmt: skip
    assert told["steps"] == [{"q": 8.0, "tdv": 104.56, "cdv": 51.0}]


# --- prices -------------------------------------------------------------------------------------


def _site(**parts: object) -> SiteRecord:
    """Return a site of one tennis court with a crack of 60 m."""
    crack = Mark("c", "crack", LineString([(2, 5), (2, 35), (8, 35), (8, 11)]), {"width": 0.006})
    pad = replace(standard_pad(), marks=(crack,))
    return SiteRecord(Job(**parts.pop("job", {})), (pad,), **parts)


def _prices(**parts: object) -> Estimate:
    return estimate(_site(**parts))


@pytest.fixture(scope="module")
def priced() -> Estimate:
    return _prices(walked_on=dt.date(2026, 4, 11), job={"prevailing_wage": False})


def test_a_price_is_told_number_by_number(priced: Estimate):
    """Percentiles, quantities with their doubt and allowances stand where their names say."""
    pairs = priced.priced["standard"]
    told = price_answer(priced.priced, priced.book, 1, Reader())["pads"][0]["options"]
    for (work, price), option in zip(pairs, told, strict=True):
        assert list(option["price"].values()) == pytest.approx(
            [price.price.p10, price.price.p50, price.price.p80, price.price.p90], abs=0.005
        )
        assert [(q["quantity"], q["sd"]) for q in option["quantities"]] == [
            (pytest.approx(q.amount.value, abs=5e-4), pytest.approx(q.amount.sd, abs=5e-4)) for q in work.quantities
        ]
        assert [(a["p50"], a["p80"], a["expected"]) for a in option["allowances"]] == [
            _rounded(a) for a in price.allowances
        ]
    assert any(a.p50 != a.p80 for _, price in pairs for a in price.allowances)


def _rounded(allowance: Allowance) -> tuple[object, ...]:
    return tuple(pytest.approx(v, abs=5e-4) for v in (allowance.p50, allowance.p80, allowance.expected))


def test_what_can_still_open_is_priced_and_what_is_ruled_out_is_not(priced: Estimate):
    """Every option that is open, or open if something turns out well."""
    options = priced.verdict.pads[0].options
    assert {o.state for o in options} >= {"open", "open if"}
    assert [price.option for _, price in priced.priced["standard"]] == [o.id for o in options if o.state != "ruled out"]


def test_an_option_tells_whether_the_pad_is_built_again(priced: Estimate):
    """Pulverised, dug out or covered with new concrete it begins anew; repaired, coloured or paved over it does not."""
    options = verdict_answer(priced.verdict, Reader("en", "us"))["pads"][0]["options"]
    anew = {option["id"]: option["begins_anew"] for option in options}
    rebuilt = {"pulverise-and-pave", "full-depth-replacement", "concrete-over"}
    assert rebuilt | {"repair", "resurface", "overlay", "mill-and-overlay", "hold", "retire"} <= set(anew)
    assert {id for id, begins in anew.items() if begins} == rebuilt


def test_ages_count_to_the_year_of_the_walk():
    """Built 2006: 20 years old in 2026, and of no known age without a day of the walk."""
    for walked_on, age in ((dt.date(2026, 4, 11), Span.exactly(20)), (None, None)):
        site = _site(walked_on=walked_on)
        site = replace(site, pads=(replace(site.pads[0], built=2006),))
        assert judged(site, read_ground(site)).pads[0].facts["age"].value == age


def test_season_customer_and_wage_reach_the_price(priced: Estimate):
    """Walked in October the colour waits for spring; a municipality pays more for membranes; wages add."""

    def of(made: Estimate, option: str):
        return next(price for _, price in made.priced["standard"] if price.option == option)

    late = _prices(walked_on=dt.date(2026, 10, 1), job={"prevailing_wage": False})
    assert "cost.winter-held" in {note.id for note in of(late, "overlay").notes}
    assert "cost.winter-held" not in {note.id for note in of(priced, "overlay").notes}
    town = _prices(walked_on=dt.date(2026, 4, 11), job={"prevailing_wage": True, "customer": "municipal"})
    plain = _prices(walked_on=dt.date(2026, 4, 11), job={"prevailing_wage": False, "customer": "municipal"})
    repair = [of(made, "repair").unit_rate_price for made in (priced, plain, town)]
    assert repair[0] < repair[1] < repair[2]


def test_the_shares_told_of_all_drivers_never_sum_to_more_than_one(priced: Estimate):
    """0.33336, 0.33336 and 0.33328 are 1; rounded each to four decimals they would come to 1.0001."""
    work, price = priced.priced["standard"][0]
    drivers = tuple(Driver(name, share) for name, share in (("a", 0.33336), ("b", 0.33336), ("c", 0.33328)))
    told = price_answer({"p": ((work, replace(price, drivers=drivers)),)}, priced.book, 1, Reader())
    assert sum(driver["share"] for driver in told["pads"][0]["options"][0]["drivers"]) <= 1
