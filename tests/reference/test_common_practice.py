"""The default rates and lives hold the figures of common practice, each for one court of 60 by 120 ft."""

from dataclasses import replace

import pytest
from shapely import Point

from courtwright.cost import court_life, court_payback, payback_crack_length, price_option
from courtwright.cost.life import drawn_life
from courtwright.cost.records import OptionPrice
from courtwright.cost.streams import Streams
from courtwright.measured import Span
from courtwright.quantities import OptionWork, elapsed_days, option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.says import say
from courtwright.site.record import Mark
from courtwright.trade.judgement import causes
from courtwright.trade.load import court_lives, rates, scopes
from courtwright.trade.words import render
from courtwright.verdict.causes import causes_of
from courtwright.verdict.facts import facts_of
from courtwright.verdict.records import Fact
from courtwright.verdict.rules import hear, reasons, state_of

FT = 0.3048
INCH = FT / 12
REBUILD = ("fence-work", "pulverise-and-pave", "replace-posts", "restore-access", "resurface")
MILL = ("mill-and-overlay", "resurface")


def _court(option: str, remedies: tuple[str, ...]) -> tuple[OptionWork, OptionPrice]:
    """Return work and price of an option on one sound court of which all is known."""
    pad, facts = standard_pad(), standard_facts()
    work = option_work(pad, standard_reading(pad), facts, option, remedies)
    return work, price_option(work, rates(), facts, prevailing_wage=False)


def _life(remedy: str) -> float:
    life = scopes()[remedy].life
    assert life is not None
    return life.p50


def _said(price: OptionPrice) -> str:
    return "; ".join(render(says) for says in price.includes)


@pytest.mark.reference("common-practice")
def test_membrane_repair_costs_20_to_30_a_foot():
    """The rate's range is 20 to 30; municipal work lies at the upper end, so that 50 lf are 1,500."""
    line = rates().lines["membrane-strip"]
    assert (line.low * FT, line.high * FT) == (pytest.approx(20), pytest.approx(30))
    assert 20 < line.likely * FT < 30
    assert 50 * FT * line.likely_for["municipal"] == pytest.approx(1500)
    assert {"membrane", "ends", "not-colour"} <= set(line.includes)


@pytest.mark.reference("common-practice")
def test_an_old_membrane_replaced_costs_about_40_a_foot():
    """About 40, and what is beneath is billed by the unit, as the figure's own words say."""
    line = rates().lines["membrane-replaced"]
    assert line.likely * FT == pytest.approx(40, abs=2)
    assert line.low * FT > 30
    assert "not-beneath" in line.includes
    assert "by the unit" in render(say("cost.includes-not-beneath"))


@pytest.mark.reference("common-practice")
def test_resurfacing_a_court_costs_8_to_10_thousand_within_a_week():
    """Wash, preparation, four coats 24 h apart, lines and the trip: 8,000 to 10,000 and at most seven days."""
    work, price = _court("resurface", ("resurface",))
    assert 8000 <= price.price.p50 <= 10000
    assert 8000 <= price.unit_rate_price <= 10000
    assert 8000 <= float(price.firm_price) <= 10000
    assert elapsed_days(work.steps) <= 7
    coats = [step for step in work.steps if step.id.endswith("-coat")]
    assert len(coats) >= 3
    assert all(step.wait_days == 1 for step in coats)
    assert all(words in _said(price) for words in ("washing", "preparation", "color coats", "lines", "7,200 sf"))


@pytest.mark.reference("common-practice")
def test_mill_and_overlay_costs_25_to_30_thousand_a_court():
    """Mill, haul, mix, trips and colour: 25,000 to 30,000."""
    _, price = _court("mill-and-overlay", MILL)
    assert 25000 <= price.price.p50 <= 30000
    assert 25000 <= price.unit_rate_price <= 30000
    assert 25000 <= float(price.firm_price) <= 30000
    assert all(words in _said(price) for words in ("milling", "millings hauled", "hot-mix", "color coats"))


@pytest.mark.reference("common-practice")
@pytest.mark.parametrize(("inches", "state"), [(0.0, "open"), (1.5, "ruled out")])
def test_mill_and_overlay_is_excluded_where_roots_have_disturbed_the_base(inches: float, state: str):
    """A pad lifted by roots is not milled and overlaid, whatever goes along; the rule is common practice."""
    facts = standard_facts() | {
        "root_heave_height": Fact("root_heave_height", Span.exactly(inches * INCH)),
        "roots_lift_pad": Fact("roots_lift_pad", inches > 0),
    }
    heard = hear(("root-barrier", *MILL), facts)
    assert state_of(heard) == state
    shut = {because.rule: because.source for because in reasons(heard, state) if because.effect == "rules out"}
    assert shut == ({"mill-and-overlay/root-heave": "common practice"} if inches else {})


@pytest.mark.reference("common-practice")
def test_pulverise_and_pave_costs_55_to_60_thousand_a_court_and_lasts_about_30_years():
    """Pulverise, grade, stone, two lifts, posts, fence, restoration, colour and trips."""
    _, price = _court("pulverise-and-pave", REBUILD)
    assert 55000 <= price.price.p50 <= 60000
    assert 55000 <= float(price.firm_price) <= 60000
    assert price.life_years.p50 == pytest.approx(30, abs=1)
    wanted = ("pulverizing", "two lifts", "net posts", "fence", "lawn restored", "color coats")
    assert all(words in _said(price) for words in wanted)


@pytest.mark.reference("common-practice")
@pytest.mark.parametrize(
    ("option", "remedies", "middle"),
    [("resurface", ("resurface",), 9000), ("mill-and-overlay", MILL, 27500), ("pulverise-and-pave", REBUILD, 57500)],
)
def test_the_two_prices_agree_where_the_trade_has_a_figure(option: str, remedies: tuple[str, ...], middle: float):
    """Unit rates and build-up lie within a tenth of each other and of the middle of the usual range."""
    _, price = _court(option, remedies)
    assert price.build_up_price == pytest.approx(price.unit_rate_price, rel=0.10)
    assert price.unit_rate_price == pytest.approx(middle, rel=0.10)


@pytest.mark.reference("common-practice")
def test_a_membrane_lasts_about_15_years():
    """Both where it is new and where it takes the place of an old one, when nothing is left unmended."""
    facts = standard_facts(30.0)
    for remedy in ("membrane-repair", "replace-membrane"):
        assert _life(remedy) == 15
        lives = drawn_life("repair", (remedy, "resurface"), facts, Streams(1, (remedy,), 4000))
        assert sorted(lives)[2000] == pytest.approx(15, abs=0.5)


@pytest.mark.reference("common-practice")
def test_cosmetic_fill_is_back_next_spring():
    """Its life is no longer than a year, and it carries no warranty."""
    life = scopes()["cosmetic-fill"].life
    assert life is not None
    assert life.p90 <= 1
    assert scopes()["cosmetic-fill"].warranty_months == 0


@pytest.mark.reference("common-practice")
@pytest.mark.parametrize(
    "remedy",
    ["membrane-repair", "replace-membrane", "resurface", "level-low-spots", "mill-and-overlay", "pulverise-and-pave"],
)
def test_the_usual_warranty_is_a_year(remedy: str):
    """Twelve months, whose source is common practice."""
    assert scopes()[remedy].warranty_months == 12
    assert scopes()[remedy].warranty_source == "common practice"


@pytest.mark.reference("common-practice")
def test_a_court_kept_up_lasts_50_to_60_years_and_a_neglected_one_20():
    """Recoloured at the default interval, and never."""
    every = rates().upkeep["recolour_every"].size
    assert 50 <= court_life(every) <= 60
    assert court_life(None) == 20
    assert (court_lives()["kept_up_low"].size, court_lives()["kept_up_high"].size) == (50, 60)


@pytest.mark.reference("common-practice")
def test_a_root_barrier_is_20_inches_deep_at_the_court_side():
    """The depth is common practice, not a guess."""
    depth = scopes()["root-barrier"].values["depth"]
    assert depth.size == pytest.approx(20 * INCH)
    assert depth.source == "common practice"


@pytest.mark.reference("common-practice")
def test_eroded_base_reaches_six_feet_at_the_most():
    """The worst that may be found under an opened repair is 6 ft across for each foot opened."""
    (spec,) = scopes()["replace-membrane"].allowances
    assert max(state.high for state in spec.states) == pytest.approx(6 * FT)
    assert spec.item == "base-repair"


@pytest.mark.reference("common-practice")
def test_grinding_is_temporary():
    """Two to five years, no warranty: what lifts the pad is still there."""
    life = scopes()["grind-heave"].life
    assert life is not None
    assert 2 <= life.p10 <= life.p90 <= 5
    assert scopes()["grind-heave"].warranty_months == 0


@pytest.mark.reference("common-practice")
def test_a_hollow_membrane_is_taken_up_and_not_covered():
    """Moisture beneath breaks the bond: the length replaced is the hollow one, and a new coat over it lasts less."""
    assert [item.formula for item in scopes()["replace-membrane"].items] == ["hollow_length"]
    left = {s.fact: s for s in scopes()["membrane-repair"].shortened}
    assert left["hollow_share"].unless == ("replace-membrane",)
    assert left["hollow_share"].factor < 1


@pytest.mark.reference("common-practice")
def test_what_sounds_hollow_has_moisture_under_it():
    """Three tenths of the old membranes hollow: water trapped under them is a cause; none hollow: it is not."""
    for share, is_found in ((0.3, True), (0.0, False)):
        facts = standard_facts() | {"hollow_share": Fact("hollow_share", Span.exactly(share))}
        assert ("trapped-water" in {cause.cause for cause in causes_of(facts)}) is is_found
    assert causes()["trapped-water"].source == "common practice"


@pytest.mark.reference("common-practice")
def test_sediment_at_an_edge_means_that_water_runs_on_and_stands():
    """Sand at the outline, and nothing else told of the edge: it is blocked. In the middle it tells nothing."""
    pad = standard_pad()
    for place, is_blocked in ((Point(0.3, 10.0), True), (Point(9.0, 18.0), None)):
        there = replace(pad, marks=(Mark("s", "sand", place),))
        reading = replace(standard_reading(pad), low_edge=None)
        assert facts_of(there, reading, 2026)["low_edge_blocked"].value is is_blocked


@pytest.mark.reference("common-practice")
def test_a_silted_side_is_cleaned_and_set_lower():
    """Lowering the side takes soil out below the edge, and leaving the edge blocked shortens what is done above."""
    scope = scopes()["lower-side"]
    assert scope.source == "common practice"
    assert scope.values["depth"].size > 0
    assert {"side-lowering", "soil-out"} == {item.id for item in scope.items}
    assert any(s.fact == "low_edge_blocked" and "lower-side" in s.unless for s in scopes()["resurface"].shortened)


@pytest.mark.reference("common-practice-payback")
@pytest.mark.parametrize(
    ("rate", "share", "length", "half_digit"),
    [
        (30, 0.8, 433, 0.5),
        (20, 0.8, 650, 0.5),
        (40, 0.8, 325, 0.5),
        (30, 1, 617, 0.5),
        (20, 1, 925, 0.5),
        (40, 1, 462.5, 0.5),
    ],
)
def test_the_crack_length_at_which_repair_costs_as_much_as_rebuilding(
    rate: float, share: float, length: float, half_digit: float
):
    """(share x 27,500 - 9,000) / rate, in feet; at four fifths 13,000 / 30 = 433."""
    ours = payback_crack_length(27500, 9000, rate / FT, share) / FT
    assert ours == pytest.approx(length, abs=half_digit)


@pytest.mark.reference("common-practice-payback")
def test_the_default_rates_put_that_length_where_practice_does():
    """430 to 650 lf a court at four fifths, 620 to 925 when equal; about 325 and 460 for replaced membranes."""
    assert 430 <= court_payback(rates(), 0.8) / FT <= 650
    assert 620 <= court_payback(rates(), 1.0) / FT <= 925
    assert court_payback(rates(), 0.8, "membrane-replaced") / FT == pytest.approx(325, rel=0.1)
    assert court_payback(rates(), 1.0, "membrane-replaced") / FT == pytest.approx(460, rel=0.1)
