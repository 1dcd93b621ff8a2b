"""Options chosen and prices set by hand: what is shown and asked for, and what no wish can open."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from courtwright.desk.kinds.handed import site_files
from courtwright.errors import InputError
from courtwright.job.answers.choices import choices_answer
from courtwright.job.by_hand import with_choices, with_prices
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import shown_options
from courtwright.says import Says
from courtwright.site.folder import read_files
from courtwright.trade.words import render
from courtwright.verdict.records import Flip
from tests.offer import specimens
from tests.site.sites import collection, feature

REQUEST = specimens.two_pads()
SLAB = """
[site]
walked_on = 2026-04-11
[[pad]]
id = "slab"
surface = "SURFACE"
outline = [[0,0],[18,0],[18,36],[0,36]]
marks = "marks.geojson"
"""
MARKS = collection(feature("crack", [[2, 3], [9, 8], [16, 9]], pad="slab", width="7 mm"))
LOWER = shown_options(REQUEST)["lower"]

# --- laws ---------------------------------------------------------------------------------------


def test_a_choice_like_the_papers_own_needs_no_reason():
    """Every option that is shown anyway, in any order: nothing is different."""
    same = with_choices(REQUEST, {"lower": list(reversed(LOWER))}, {})
    assert shown_options(same) == shown_options(REQUEST)


def test_an_option_is_held_back_with_a_reason():
    """It is gone from its pad, the other pad is as it was."""
    rest = [option for option in LOWER if option != "resurface"]
    made = with_choices(REQUEST, {"lower": rest}, {"lower": {"resurface": "they want no paint"}})
    assert set(shown_options(made)["lower"]) == set(rest)
    assert shown_options(made)["upper"] == shown_options(REQUEST)["upper"]


def test_an_option_that_a_paper_leaves_out_is_shown_with_a_reason():
    """Of six that have a price a paper shows four; the one that stands only if something is so comes as the fifth."""
    request = with_six()
    usual = shown_options(request)["lower"]
    assert (len(usual), "overlay" in usual) == (4, False)
    made = with_choices(request, {"lower": [*usual, "overlay"]}, {"lower": {"overlay": "the club asked for it"}})
    assert shown_options(made)["lower"] == (*usual, "overlay")
    told = {one["id"]: one for one in choices_answer(request)["pads"][1]["options"]}
    assert (told["overlay"]["state"], told["overlay"]["is_shown"]) == ("open if", False)
    assert told["overlay"]["because"]


def with_six():
    """Return a request whose lower pad has three more options that stand."""
    upper, lower = REQUEST.verdict.pads
    plain = lower.option("resurface")
    names = ("one", "two", "three")
    options = (*lower.options, *(replace(plain, id=name) for name in names))
    key = ("lower", "resurface")
    return replace(
        REQUEST,
        verdict=replace(REQUEST.verdict, pads=(upper, replace(lower, options=options))),
        work={**REQUEST.work, **{("lower", n): replace(REQUEST.work[key], option=n) for n in names}},
        prices={**REQUEST.prices, **{("lower", n): replace(REQUEST.prices[key], option=n) for n in names}},
    )


def test_a_price_by_hand_takes_the_place_of_the_reckoned_one_and_of_nothing_else():
    """Rates and every other price stay."""
    made = with_prices(REQUEST, {"lower": {"repair": Decimal(20000)}})
    changed = {key for key, price in made.prices.items() if price != REQUEST.prices[key]}
    assert changed == {("lower", "repair")}
    before, after = REQUEST.prices["lower", "repair"], made.prices["lower", "repair"]
    assert after == replace(before, firm_price=Decimal(20000))


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("chosen", "words"), [(LOWER[1:], "held-without-reason"), (("no-such",), "option-without-price")]
)
def test_a_choice_that_differs_is_refused_without_a_reason(chosen: tuple[str, ...], words: str):
    """Spaces are none."""
    with pytest.raises(InputError, match=words):
        with_choices(REQUEST, {"lower": chosen}, {"lower": {LOWER[0]: "  "}})


def test_what_is_ruled_out_is_refused_whatever_the_reason():
    """With the rule that rules it out, in words, and what fact would open it."""
    reasons = {"lower": {"mat": "the mayor wants it"}}
    with pytest.raises(InputError, match="option-ruled-out") as refused:
        with_choices(REQUEST, {"lower": [*LOWER, "mat"]}, reasons)
    problem = refused.value.problem
    said = render(problem)
    mat = REQUEST.verdict.pads[1].option("mat")
    assert render(mat.because[0].says) in said
    assert "(rule uneconomic)" in said
    opened = replace(mat, opens_if=((Flip("coats", None, "<= 3"),),))
    upper, lower = REQUEST.verdict.pads
    lower = replace(lower, options=tuple(opened if o.id == "mat" else o for o in lower.options))
    request = replace(REQUEST, verdict=replace(REQUEST.verdict, pads=(upper, lower)))
    with pytest.raises(InputError) as refused:
        with_choices(request, {"lower": ["mat"]}, reasons)
    fix = refused.value.fix
    assert isinstance(fix, Says)
    assert fix.id == "offer.option-ruled-out-facts-do"
    assert "⟨" not in render(fix)


@pytest.mark.parametrize("surface", ["post-tensioned", "concrete"])
def test_no_reason_opens_what_would_cut_a_slab_with_tendons(surface: str):
    """Each option that the verdict rules out on such a slab is refused; those that cut it by the rule of tendons."""
    site = {"site.toml": SLAB.replace("SURFACE", surface).encode(), "marks.geojson": MARKS.encode()}
    made = estimate(read_files(site_files(site, "slab"), "slab"))
    day = dt.date(2026, 5, 4)
    request = offer_request(made, issued_on=day, start=None, budget=False, language="en", photos={})
    (pad,) = request.verdict.pads
    ruled_out = [option for option in pad.options if option.state == "ruled out"]
    said: list[str] = []
    for option in ruled_out:
        with pytest.raises(InputError, match="option-ruled-out") as refused:
            with_choices(request, {pad.id: [option.id]}, {pad.id: {o.id: "they insist" for o in pad.options}})
        said.append(render(refused.value.problem))
    assert any(("post-tensioned" in one and "tendon" in one) or "until that is disproved" in one for one in said), said


@pytest.mark.parametrize(("pad", "option"), [("lower", "mat"), ("lower", "no-such"), ("nowhere", "repair")])
def test_a_price_of_what_is_not_offered_is_refused(pad: str, option: str):
    """Ruled out, unknown, elsewhere."""
    with pytest.raises(InputError, match="price-not-offered"):
        with_prices(REQUEST, {pad: {option: Decimal(1)}})


def test_a_budget_letter_has_no_price_by_hand():
    """It shows ranges; without such a price it is as it was."""
    letter = specimens.two_pads(budget=True)
    assert with_prices(letter, {}) == letter
    with pytest.raises(InputError, match="price-in-letter"):
        with_prices(letter, {"lower": {"repair": Decimal(1)}})
