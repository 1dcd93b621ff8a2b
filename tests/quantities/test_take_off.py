"""Quantities of whole options: what one remedy covers another does not also repair."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box
from shapely.affinity import rotate, scale, translate

from courtwright.errors import OutOfRangeError
from courtwright.ground.reading import CrackReading, Heave, LowSpot, OldRepair, PadReading, Piece
from courtwright.measured import Measured, Span
from courtwright.quantities import OptionWork, Step, elapsed_days, option_work
from courtwright.quantities.formulas import FORMULAS
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.quantities.steps import crew_days
from courtwright.site.record import Court, Mark, Pad, Tally
from courtwright.trade.load import scopes
from courtwright.trade.per import COURT_AREA
from courtwright.trade.scope_records import StepSpec
from courtwright.trade.words import render
from courtwright.verdict.records import Fact

FT = 0.3048
SF = FT**2
EVERY = tuple(remedy for remedy in scopes() if remedy != "hold")


def _facts(cracks: Mapping[str, Span | bool | str | None] | None = None) -> dict[str, Fact]:
    return standard_facts() | {name: Fact(name, value) for name, value in (cracks or {}).items()}


def _spot(area: float, at: tuple[float, float], depth: float = 0.006) -> LowSpot:
    half = area**0.5 / 2
    outline = box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)
    return LowSpot("s", area, depth, area * depth / 2, None, at, 1.0, outline)


def _amount(work: OptionWork, item: str) -> float:
    return sum(q.amount.value for q in work.quantities if q.item == item)


def _sd(work: OptionWork, item: str) -> float:
    return next(q.amount.sd for q in work.quantities if q.item == item)


def _work(remedies: tuple[str, ...], reading: PadReading | None = None, facts: Mapping[str, Fact] | None = None):
    pad = standard_pad()
    return option_work(pad, reading or standard_reading(pad), facts or standard_facts(), "option", remedies)


# --- derived answers ----------------------------------------------------------------------------


def test_a_membrane_runs_a_foot_beyond_each_end():
    """Two drawn cracks of 25 lf with four ends on the pad need 50 + 4 x 1 ft."""
    cracks = CrackReading(50 * FT, 0.0, (), 0.0, None, None, 0, 4, 0, 0.0, 0.0)
    reading = replace(standard_reading(standard_pad()), cracks=cracks)
    facts = _facts({"crack_length_bridgeable": Span.exactly(50 * FT)})
    assert _amount(_work(("membrane-repair",), reading, facts), "membrane-strip") == pytest.approx(54 * FT)


def test_what_was_counted_is_less_sure_than_what_was_drawn():
    """Three in a hundred drawn, fifteen counted, ten answered."""
    pad, drawn_and_counted = standard_pad(), {}
    for name, tallied in (("drawn", 0.0), ("counted", 100.0)):
        cracks = CrackReading(100.0, tallied, (), 0.0, None, None, 0, 0, 0, 0.0, 0.0)
        reading = replace(standard_reading(pad), cracks=cracks)
        facts = _facts({"crack_length_bridgeable": Span.exactly(100.0)})
        drawn_and_counted[name] = _sd(_work(("rout-and-seal",), reading, facts), "rout-and-seal")
    answered = {"crack_length_bridgeable": Fact("crack_length_bridgeable", Span.exactly(100.0), answered=True)}
    assert drawn_and_counted["drawn"] == pytest.approx(3.0)
    assert drawn_and_counted["counted"] == pytest.approx(15.0)
    assert _sd(_work(("rout-and-seal",), facts=_facts() | answered), "rout-and-seal") == pytest.approx(10.0)


def test_only_the_hollow_part_of_an_old_repair_is_replaced():
    """40 ft, half of it hollow, 0.3 to 0.7 with nine chances in ten: 20 ft, sd 40 x 0.4 / (2 x 1.6449) = 4.86 ft."""
    repair = OldRepair("r", "membrane", 40 * FT, 12.0, FT, 0.5, (0.3, 0.7), 20, box(0, 0, 1, 1))
    reading = replace(standard_reading(standard_pad()), old_repairs=(repair,))
    work = _work(("replace-membrane",), reading)
    assert _amount(work, "membrane-replaced") == pytest.approx(20 * FT)
    assert _sd(work, "membrane-replaced") / FT == pytest.approx((4.864**2 + (0.5 * 40 * 0.03) ** 2) ** 0.5, abs=0.01)


def test_wide_cracks_are_cut_two_feet_wide():
    """30 lf of wide crack and 10 lf along an edge are 80 sf of patch."""
    facts = _facts({"crack_length_wide": Span.exactly(30 * FT), "edge_crack_length": Span.exactly(10 * FT)})
    assert _amount(_work(("full-depth-patch",), facts=facts), "full-depth-patch") == pytest.approx(80 * SF)


def test_failed_old_patches_are_cut_out_again():
    """Half of 40 sf failed for certain, the other half not judged: 30 sf."""
    facts = _facts({"failed_patch_area": Span(20 * SF, 40 * SF)})
    assert _amount(_work(("full-depth-patch",), facts=facts), "full-depth-patch") == pytest.approx(30 * SF)


def test_an_old_patch_is_no_strip():
    """Nothing of a split patch is taken up as a membrane."""
    repair = OldRepair("r", "patch", 4 * FT, 1.5, None, 1.0, (0.8, 1.0), 0, box(0, 0, 1, 1))
    reading = replace(standard_reading(standard_pad()), old_repairs=(repair,))
    assert _amount(_work(("replace-membrane",), reading), "membrane-replaced") == 0.0


def test_a_swale_runs_on_to_the_outlet():
    """20 m of dammed edge and 60 ft to the outlet."""
    reading = replace(standard_reading(standard_pad()), dammed_length=20.0)
    assert _amount(_work(("swale",), reading), "swale") == pytest.approx(20 + 60 * FT)


def test_a_root_barrier_follows_the_trees():
    """A row of 40 ft beside a long side, with 10 ft at both ends: 60 ft."""
    row = Mark("t", "trees", LineString([(-3.0, 10.0), (-3.0, 10.0 + 40 * FT)]))
    pad = replace(standard_pad(), marks=(row,))
    work = option_work(pad, standard_reading(pad), standard_facts(), "option", ("root-barrier",))
    assert _amount(work, "root-barrier") == pytest.approx(60 * FT, rel=1e-6)


def test_trees_out_of_reach_do_not_count():
    """A tree 100 ft away leaves the barrier a guess of one side."""
    pad = replace(standard_pad(), marks=(Mark("t", "trees", Point(-100 * FT, 10.0)),))
    work = option_work(pad, standard_reading(pad), standard_facts(), "option", ("root-barrier",))
    assert next(q.formula.id for q in work.quantities) == "quantities.formula-side-guessed"


def test_a_basketball_court_has_no_net_posts():
    """One pair for each court with a net."""
    courts = (Court("1", "tennis", (9, 18)), Court("2", "basketball", (9, 18)), Court("3", "pickleball", (9, 18)))
    pad = replace(standard_pad(), courts=courts)
    work = option_work(pad, standard_reading(pad), standard_facts(), "option", ("replace-posts",))
    assert _amount(work, "posts-new") == 2


def test_lines_of_another_sport_are_an_extra_set_and_counted_once():
    """Three courts of two sports are three sets in all, with and without the companion."""
    courts = (Court("1", "basketball", (9, 18)), Court("2", "pickleball", (9, 9)), Court("3", "pickleball", (9, 27)))
    pad = replace(standard_pad(), courts=courts)
    with_extra = option_work(pad, standard_reading(pad), standard_facts(), "option", ("resurface", "line-set"))
    without = option_work(pad, standard_reading(pad), standard_facts(), "option", ("resurface",))
    assert (_amount(with_extra, "court-lines"), _amount(with_extra, "line-set")) == (1, 2)
    assert _amount(without, "court-lines") == 3


def test_a_low_spot_counts_by_its_likelihood_and_is_as_doubtful():
    """10 m², there in half of the surfaces drawn: 5 m², doubtful by 0.15 and the half that may not be."""
    spot = replace(_spot(10.0, (5, 5)), likelihood=0.5)
    work = _work(("level-low-spots",), replace(standard_reading(standard_pad()), low_spots=(spot,)))
    assert _amount(work, "low-spot-patch") == pytest.approx(5.0)
    assert _sd(work, "low-spot-patch") == pytest.approx(5.0 * (0.15 + 0.5))


@pytest.mark.parametrize(("tallied", "ends", "strips"), [(200, 0, 220), (0, 4, 204), (100, 4, 214)])
def test_cracks_nobody_drew_end_every_twenty_feet(tallied: float, ends: int, strips: float):
    """200 lf: all counted has 2 ends for each 20 ft, 20 in all; drawn has the 4 seen; half and half has both."""
    cracks = CrackReading(200 * FT, tallied * FT, (), 0.0, None, None, 0, ends, 0, 0.0, 0.0)
    reading = replace(standard_reading(standard_pad()), cracks=cracks)
    facts = _facts({"crack_length_bridgeable": Span.exactly(200 * FT)})
    assert _amount(_work(("membrane-repair",), reading, facts), "membrane-strip") == pytest.approx(strips * FT)


def test_millings_weigh_what_was_milled():
    """7,200 sf by 1-1/2 in at 110 lb/sy per inch: 66 short tons to haul, and as many to lay."""
    work = _work(("mill-and-overlay",))
    assert _amount(work, "millings-haul") / 0.90718474 == pytest.approx(66.0)
    assert _amount(work, "overlay-asphalt") / 0.90718474 == pytest.approx(66.0)


def test_a_heave_nobody_measured_is_a_usual_one():
    """One of 3 m² and one without an extent, 20 sf."""
    known = Heave("a", 0.02, 3.0, (5, 5), None, near_trees=False)
    reading = replace(standard_reading(standard_pad()), heaves=(known, replace(known, id="b", area=0.0)))
    assert _amount(_work(("grind-heave",), reading), "heave-grinding") == pytest.approx(3.0 + 20 * SF)


def test_a_second_sport_on_one_court_is_one_extra_set():
    """Tennis with pickleball lines on it: the court's own set and one more; a single sport has none."""
    for sports, extra in ((1, 0), (2, 1), (3, 2)):
        work = _work(("resurface", "line-set"), facts=_facts({"sports": Span.exactly(sports)}))
        assert (_amount(work, "court-lines"), _amount(work, "line-set")) == (1, extra)


def test_relief_and_sealing_leave_the_hairlines():
    """10 m of hairline, 30 m to bridge, 5 m wide: strips under new asphalt on 35 m, sealant in 35 m."""
    lengths = {"fine": 10.0, "bridgeable": 30.0, "wide": 5.0}
    facts = _facts({f"crack_length_{name}": Span.exactly(length) for name, length in lengths.items()})
    assert _amount(_work(("crack-relief", "overlay"), facts=facts), "crack-relief") == pytest.approx(35.0)
    assert _amount(_work(("rout-and-seal",), facts=facts), "rout-and-seal") == pytest.approx(35.0)


# --- overlaps -----------------------------------------------------------------------------------


def test_cracks_under_a_membrane_are_not_also_filled():
    """With a membrane the resurfacing fills the hairlines alone; without one it fills the wider ones too."""
    facts = _facts({"crack_length_fine": Span.exactly(10.0), "crack_length_bridgeable": Span.exactly(30.0)})
    assert _amount(_work(("membrane-repair", "resurface"), facts=facts), "hairline-fill") == pytest.approx(10)
    assert _amount(_work(("resurface",), facts=facts), "hairline-fill") == pytest.approx(40)


def test_cracks_under_new_asphalt_are_not_filled():
    """The colour of a paving option has no hairlines to fill and one filler coat less."""
    facts = _facts({"crack_length_fine": Span.exactly(10.0), "crack_length_bridgeable": Span.exactly(30.0)})
    on_old, on_new = _work(("resurface",), facts=facts), _work(("mill-and-overlay", "resurface"), facts=facts)
    assert _amount(on_new, "hairline-fill") == 0
    assert _amount(on_new, "acrylic") == pytest.approx(0.75 * _amount(on_old, "acrylic"))


@pytest.mark.parametrize("paving", ["mill-and-overlay", "pulverise-and-pave", "full-depth-replacement"])
def test_what_is_milled_off_or_taken_out_is_not_repaired_first(paving: str):
    """No membrane, no levelling, no stripping on a surface that goes."""
    reading = replace(standard_reading(standard_pad(), 30.0), low_spots=(_spot(4.0, (5, 5)),))
    repairs = ("membrane-repair", "replace-membrane", "level-low-spots", "strip-coatings")
    work = _work((*repairs, paving), reading, standard_facts(30.0))
    assert [q.item for q in work.quantities if q.remedy in repairs and q.amount.value > 0] == []


def test_a_low_spot_on_a_piece_that_is_patched_is_not_also_levelled():
    """The patch takes the piece out; half of the spot lies on it."""
    piece = Piece("p", 4.0, free=True, cracked_share=1.0, outline=box(4, 4, 6, 6))
    reading = replace(standard_reading(standard_pad()), pieces=(piece,), low_spots=(_spot(4.0, (6, 5)),))
    assert _amount(_work(("level-low-spots",), reading), "low-spot-patch") == pytest.approx(4.0)
    both = _work(("full-depth-patch", "level-low-spots"), reading)
    assert _amount(both, "low-spot-patch") == pytest.approx(2.0)
    assert _amount(both, "full-depth-patch") == pytest.approx(4.0)


def test_a_crack_along_an_edge_is_patched_or_bridged_and_not_both():
    """20 m of crack without an end on the pad, 5 m of it along an edge."""
    cracks = CrackReading(20.0, 0.0, (), 0.0, None, None, 0, 0, 0, 5.0, 0.0)
    reading = replace(standard_reading(standard_pad()), cracks=cracks)
    facts = _facts({"crack_length_bridgeable": Span.exactly(20.0), "edge_crack_length": Span.exactly(5.0)})
    both = ("full-depth-patch", "membrane-repair")
    assert _amount(_work(("membrane-repair",), reading, facts), "membrane-strip") == pytest.approx(20)
    assert _amount(_work(both, reading, facts), "membrane-strip") == pytest.approx(15)


# --- laws ---------------------------------------------------------------------------------------


def test_every_formula_of_the_scopes_exists_and_each_is_used():
    """A scope names a function of this room, and no function is there for nothing."""
    assert {item.formula for scope in scopes().values() for item in scope.items} == set(FORMULAS)


@pytest.mark.parametrize("remedy", EVERY)
@pytest.mark.parametrize("facts", [{}, standard_facts(30.0)], ids=["nothing-known", "all-known"])
def test_every_quantity_is_said_in_both_languages(remedy: str, facts: dict[str, Fact]):
    """Items, steps and formulas have words, whatever is known, and no amount is negative."""
    work = option_work(standard_pad(), standard_reading(standard_pad()), facts, remedy, (remedy,))
    for language in ("en", "es"):
        said = [render(q.formula, language, "us") for q in work.quantities]
        assert all(said)
        assert not any("⟨" in text for text in said)
    assert all(q.amount.value >= 0 for q in work.quantities)


@pytest.mark.parametrize("remedy", [r for r in EVERY if r not in ("line-set", "strip-coatings", "restore-access")])
def test_what_nobody_knows_is_less_sure(remedy: str):
    """With no fact known no quantity of a remedy is surer than with all of them known."""
    known = option_work(standard_pad(), standard_reading(standard_pad()), standard_facts(40.0), remedy, (remedy,))
    unknown = option_work(standard_pad(), standard_reading(standard_pad()), {}, remedy, (remedy,))
    for a, b in zip(known.quantities, unknown.quantities, strict=True):
        assert b.amount.sd >= a.amount.sd - 1e-9, a.item


def test_an_old_pad_nobody_walked_has_more_cracks_than_a_new_one():
    """The guess rises with age, is as unsure as it is long, and says that it is a guess."""

    def strip(age: float) -> tuple[float, float, str]:
        work = _work(("membrane-repair",), facts={"age": Fact("age", Span.exactly(age))})
        (quantity,) = work.quantities
        return quantity.amount.value, quantity.amount.sd, quantity.formula.id

    (young, _, said), (old, sd, _) = strip(5), strip(25)
    assert young < old
    assert sd > 0.8 * old
    assert said == "quantities.formula-membrane-length-guessed"


@given(st.floats(0, 360), st.floats(-500, 500), st.booleans())
def test_moving_turning_and_mirroring_a_site_changes_no_quantity(angle: float, shift: float, mirrored: bool):
    """A barrier along trees, the fence and the pad are the same wherever they lie."""
    row = LineString([(-3.0, 4.0), (-3.0, 20.0)])

    def moved(shape):
        turned = rotate(scale(shape, -1 if mirrored else 1, 1, origin=(0, 0)), angle, origin=(0, 0))
        return translate(turned, shift, -shift)

    pad = standard_pad()
    there = replace(pad, outline=moved(pad.outline), marks=(Mark("t", "trees", moved(row)),))
    here = replace(pad, marks=(Mark("t", "trees", row),))
    remedies = ("root-barrier", "fence-work", "pulverise-and-pave", "lower-side")
    amounts = [
        [q.amount.value for q in option_work(p, standard_reading(p), standard_facts(), "o", remedies).quantities]
        for p in (here, there)
    ]
    assert amounts[1] == pytest.approx(amounts[0], rel=1e-6)


@given(st.floats(20, 5000))
def test_a_pad_without_courts_counts_by_its_area(area: float):
    """At least one court, and one for each 7,200 sf."""
    pad = Pad("bare", box(0, 0, area**0.5, area**0.5))
    work = option_work(pad, standard_reading(pad), standard_facts(), "resurface", ("resurface",))
    assert work.courts == max(1, round(area / COURT_AREA))
    assert _amount(work, "resurfacing") == pytest.approx(area)


# --- steps --------------------------------------------------------------------------------------


def test_colour_on_new_asphalt_is_a_second_visit():
    """Paving cures three weeks; what follows comes with another trip."""
    work = _work(("mill-and-overlay", "resurface"))
    assert {step.id: step.visit for step in work.steps} == {
        "mill": 1,
        "overlay": 1,
        "wash": 2,
        "filler-coat": 2,
        "colour-coat": 2,
        "lines": 2,
    }
    assert elapsed_days(work.steps) > 14 + 5


def test_repairs_and_colour_are_one_visit_in_their_order():
    """The side is lowered first, cracks are bridged before coats, lines come last."""
    work = _work(("resurface", "membrane-repair", "lower-side"), facts=standard_facts(30.0))
    ids = [step.id for step in work.steps]
    assert {step.visit for step in work.steps} == {1}
    assert ids[0] == "lower-side"
    assert ids.index("membrane") < ids.index("wash") < ids.index("filler-coat")
    assert ids[-1] == "lines"


def test_crew_days_are_amount_over_production_and_never_under_the_least():
    """180 at 120 to 240 a day: 1 day, doubtful by 60 in 1.2816 deviations of 180; never under half a day."""
    spec = StepSpec("s", 1, "own", 3, "x", "m", 120.0, 180.0, 240.0, "from memory", least_days=0.5)
    days = crew_days(Measured(180.0), spec)
    assert (days.value, days.sd) == pytest.approx((1.0, 60 / 1.2816 / 180))
    assert crew_days(Measured(1.0), spec).value == 0.5


def test_the_cure_after_the_last_step_is_not_waited_for():
    """Two coats of a quarter day with a day between: a day and a half."""
    coat = Step("coat", "resurface", 3, Measured(0.25), 1.0, 1)
    assert elapsed_days((coat, coat)) == 1.5
    assert elapsed_days(()) == 0.0


def test_a_remedy_with_nothing_to_do_has_no_step():
    """No cracks, no crew."""
    assert "membrane" not in [step.id for step in _work(("membrane-repair", "resurface")).steps]


def test_hold_brings_its_own_small_work():
    """Cleaning and marking hazards, though it is no remedy of the list."""
    work = option_work(standard_pad(), standard_reading(standard_pad()), standard_facts(), "hold", ())
    assert work.remedies == ()
    assert [q.item for q in work.quantities] == ["holding"]


# --- refusals -----------------------------------------------------------------------------------


def test_a_remedy_nobody_knows_is_refused():
    """The message names it and those that are known."""
    with pytest.raises(OutOfRangeError) as refused:
        _work(("paint-it-over",))
    assert refused.value.problem.values["remedy"] == "paint-it-over"
    assert "resurface" in str(refused.value.problem.values["known"])


def test_what_was_counted_is_levelled_and_ground_as_what_was_drawn():
    """Three low spots counted are 50 sf each, two heaves 20 sf each; an area that was told is taken as told."""
    tallies = (
        Tally("low-spot", None, count=3),
        Tally("heave", None, count=2),
    )
    pad = replace(standard_pad(), tallies=tallies)
    reading = standard_reading(pad)
    facts = standard_facts()
    work = option_work(pad, reading, facts, "repair", ("grind-heave", "level-low-spots"))
    assert _amount(work, "low-spot-patch") == pytest.approx(150 * SF)
    assert _amount(work, "heave-grinding") == pytest.approx(40 * SF)
    told = replace(pad, tallies=(Tally("low-spot", None, area=20.0),))
    assert _amount(option_work(told, reading, facts, "repair", ("level-low-spots",)), "low-spot-patch") == 20.0


def test_a_stepped_crack_is_cut_out_and_not_also_bridged():
    """5 m of a 1/2 in crack stepping 1 in are patched 2 ft wide; of 15 m to bridge 10 m and the ends stay."""
    inch = 0.0254
    crack = Mark("c", "crack", LineString([(8, 10), (8, 15)]), {"width": 0.5 * inch, "step": inch})
    pad = replace(standard_pad(), marks=(crack,))
    facts = {
        **standard_facts(),
        "crack_step_max": Fact("crack_step_max", Span.exactly(inch)),
        "crack_length_bridgeable": Fact("crack_length_bridgeable", Span.exactly(15.0)),
        "crack_length_wide": Fact("crack_length_wide", Span.exactly(0.0)),
    }
    reading = standard_reading(pad)
    both = option_work(pad, reading, facts, "repair", ("full-depth-patch", "membrane-repair"))
    alone = option_work(pad, reading, facts, "repair", ("membrane-repair",))
    assert _amount(both, "full-depth-patch") == pytest.approx(5 * 2 * FT)
    assert 4.9 < _amount(alone, "membrane-strip") - _amount(both, "membrane-strip") < 7.5
    assert _amount(
        option_work(replace(pad, marks=()), reading, facts, "repair", ("full-depth-patch",)), "full-depth-patch"
    ) == (pytest.approx(20 * FT * 2 * FT))
