"""Prices of options: laws that hold whatever the rates are."""

import datetime as dt
import itertools
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.cost import driver_says, price_option
from courtwright.cost.records import OptionPrice
from courtwright.measured import Measured, Span
from courtwright.quantities import OptionWork, option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.trade.load import rates, scopes
from courtwright.trade.words import render
from courtwright.verdict.records import Fact

FT = 0.3048
REPAIR = ("membrane-repair", "replace-membrane", "level-low-spots", "lower-side", "resurface", "line-set")
REBUILD = (
    "fence-work",
    "pulverise-and-pave",
    "root-barrier",
    "lower-side",
    "replace-posts",
    "restore-access",
    "resurface",
)


def _work(remedies: tuple[str, ...], courts: int = 1, cracks: float = 30.0, known: bool = True, option: str = "o"):
    pad = standard_pad(courts)
    facts = standard_facts(cracks) if known else {}
    return option_work(pad, standard_reading(pad, cracks if known else 0.0), facts, option, remedies), facts


def _price(
    remedies: tuple[str, ...], courts: int = 1, cracks: float = 30.0, known: bool = True, **terms
) -> OptionPrice:
    work, facts = _work(remedies, courts, cracks, known)
    return price_option(work, rates(), facts, **({"prevailing_wage": False} | terms))


def _times(work: OptionWork, factor: float, doubt: float = 1.0) -> OptionWork:
    """Return the work with every amount times a factor and every relative doubt times another."""
    quantities = tuple(
        replace(q, amount=Measured(q.amount.value * factor, q.amount.sd * factor * doubt)) for q in work.quantities
    )
    return replace(work, quantities=quantities)


def _percentiles(price: OptionPrice) -> list[float]:
    return [price.price.p10, price.price.p50, price.price.p80, price.price.p90]


# --- what it holds ------------------------------------------------------------------------------


def test_a_price_is_a_range_in_order_with_one_firm_figure():
    """Percentiles rise, the firm price is a round figure within them."""
    price = _price(REPAIR)
    assert _percentiles(price) == sorted(_percentiles(price))
    assert price.price.p10 < float(price.firm_price) < price.price.p90
    assert price.firm_price % 10 == 0


def test_the_firm_price_holds_no_allowance_and_the_percentiles_do():
    """Taking the contingent work out of the scope lowers the percentiles and leaves the firm price."""
    work, facts = _work(("replace-membrane",), cracks=30.0)
    hollow = tuple(replace(q, amount=Measured(60.0, 6.0)) for q in work.quantities)
    work = replace(work, quantities=hollow)
    price = price_option(work, rates(), facts, prevailing_wage=False)
    assert [a.item for a in price.allowances] == ["base-repair"]
    free = replace(rates(), lines=rates().lines | {"base-repair": _free("base-repair")})
    without = price_option(work, free, facts, prevailing_wage=False)
    assert without.firm_price == price.firm_price
    assert without.price.p50 < price.price.p50
    (allowance,) = price.allowances
    mean = price.price.p50 - without.price.p50
    assert mean == pytest.approx(allowance.expected * float(allowance.rate), rel=0.5)


def _free(item: str):
    return replace(rates().lines[item], low=0.0, likely=0.0, high=0.0)


def test_a_fact_that_clears_the_base_lowers_the_allowance():
    """A base known to be dry hides less, one known to be wet more."""
    work, facts = _work(("pulverise-and-pave", "resurface"))
    expected = [
        price_option(work, rates(), facts | {"base_wet": Fact("base_wet", wet)}).allowances[0].expected
        for wet in (False, None, True)
    ]
    assert expected == sorted(expected)
    assert expected[0] < expected[2]


def test_an_allowance_is_more_than_nothing_at_p80_though_nothing_is_likeliest():
    """One opened strip in a fair way of being eroded: P50 nothing, P80 something."""
    work, facts = _work(("replace-membrane",))
    short = replace(work, quantities=tuple(replace(q, amount=Measured(3.0, 0.1)) for q in work.quantities))
    unknown = facts | {"base_wet": Fact("base_wet", None)}
    (allowance,) = price_option(short, rates(), unknown).allowances
    assert allowance.p50 == 0
    assert allowance.p80 > 0
    assert allowance.expected > 0


def test_the_drivers_are_shares_of_the_spread_the_biggest_first():
    """Shares sum to at most one, and each driver has words in both languages."""
    drivers = _price(REPAIR, known=False).drivers
    shares = [driver.share for driver in drivers]
    assert shares == sorted(shares, reverse=True)
    assert 0.5 < sum(shares) <= 1.0 + 1e-9
    assert any(driver.driver.startswith("quantity-of-") for driver in drivers)
    assert not any(
        "⟨" in render(driver_says(driver.driver), language) for driver in drivers for language in ("en", "es")
    )


@pytest.mark.parametrize("remedy", [r for r in scopes() if r != "hold"])
def test_all_that_a_price_says_has_words(remedy: str):
    """What it includes, rests on and is built up from, in both languages, known or not."""
    for known in (True, False):
        price = _price((remedy,), known=known, walked_on=dt.date(2026, 10, 1), prevailing_wage=None)
        says = [*price.includes, *price.notes, *(line.says for line in price.build_up)]
        assert not any("⟨" in render(s, language) for s in says for language in ("en", "es"))
        assert "sales tax" in render(price.includes[-1])


def test_an_option_with_nothing_to_do_costs_nothing():
    """No cracks, no bill, not even the minimum charge."""
    work, facts = _work(("membrane-repair",), cracks=0.0)
    price = price_option(work, rates(), facts)
    assert _percentiles(price) == [0, 0, 0, 0]
    assert (price.unit_rate_price, price.build_up_price, price.firm_price) == (0, 0, 0)


# --- reproducible -------------------------------------------------------------------------------


def test_the_same_call_gives_the_same_price():
    """Nothing but the seed and the remedies makes the draws."""
    assert _price(REPAIR) == _price(REPAIR)


def test_the_order_of_the_remedies_and_the_name_of_the_pad_draw_nothing_new():
    """Random numbers are keyed by the seed and the remedies alone."""
    work, facts = _work(("membrane-repair", "resurface"))
    turned, _ = _work(("resurface", "membrane-repair"))
    renamed = replace(turned, pad="other", option="o")
    a, b = (price_option(w, rates(), facts, prevailing_wage=False) for w in (work, renamed))
    assert _percentiles(a) == pytest.approx(_percentiles(b), rel=1e-12)
    assert a.firm_price == b.firm_price


def test_another_seed_gives_other_draws_and_much_the_same_price():
    """10,000 draws settle the percentiles to about one in a hundred."""
    a, b = _price(REPAIR, seed=1), _price(REPAIR, seed=2)
    assert a.price != b.price
    assert _percentiles(a) == pytest.approx(_percentiles(b), rel=0.02)


# --- laws ---------------------------------------------------------------------------------------


@given(st.floats(1.0, 5.0), st.sampled_from([REPAIR, REBUILD, ("mill-and-overlay", "resurface"), ("rout-and-seal",)]))
def test_more_work_never_costs_less(factor: float, remedies: tuple[str, ...]):
    """Every percentile and both prices rise with the quantities."""
    work, facts = _work(remedies)
    less, more = (price_option(_times(work, f), rates(), facts, draws=2000) for f in (1.0, factor))
    assert all(a <= b * (1 + 1e-9) for a, b in zip(_percentiles(less), _percentiles(more), strict=True))
    assert less.unit_rate_price <= more.unit_rate_price * (1 + 1e-9)
    assert less.firm_price <= more.firm_price


@given(st.floats(1.0, 8.0), st.sampled_from([REPAIR, REBUILD, ("membrane-repair", "resurface")]))
def test_more_doubt_never_narrows_the_range(doubt: float, remedies: tuple[str, ...]):
    """P90 less P10, and their ratio, grow with the doubt of the quantities."""
    work, facts = _work(remedies, cracks=60.0)
    sure, unsure = (price_option(_times(work, 1.0, d), rates(), facts) for d in (1.0, doubt))
    # what is drawn of a shared stream moves a percentile by well under a half of one percent
    assert unsure.price.p90 - unsure.price.p10 >= (sure.price.p90 - sure.price.p10) * 0.995
    assert unsure.price.p90 / unsure.price.p10 >= sure.price.p90 / sure.price.p10 * 0.995


def test_the_range_narrows_as_facts_come_in():
    """A site of which little is known has a wide price; each thing learned makes it strictly narrower."""
    pad, truth = standard_pad(), standard_facts(60.0)
    remedies = ("membrane-repair", "level-low-spots", "lower-side", "resurface")
    learned = (
        "crack_length_bridgeable",
        "crack_length_fine",
        "ponding_share",
        "coats",
        "knife_test_fails",
        "peeling_share",
        "crack_step_max",
        "crack_width_max",
        "base_wet",
        "full_depth_cracks",
        "coating_age",
    )
    facts: dict[str, Fact] = {}
    widths: list[float] = []
    for fact in ("", *learned):
        facts = facts | ({fact: truth[fact]} if fact else {})
        work = option_work(pad, standard_reading(pad), facts, "repair", remedies)
        price = price_option(work, rates(), facts, prevailing_wage=False).price
        widths.append(price.p90 / price.p10)
    assert all(b < a for a, b in itertools.pairwise(widths)), [round(w, 3) for w in widths]
    assert widths[0] - 1 > 1.5 * (widths[-1] - 1)


def test_each_unknown_fact_of_a_remedy_widens_its_price():
    """Not knowing one fact alone is seen in the range and named in the notes and the drivers."""
    work, facts = _work(("mill-and-overlay", "resurface"))
    sure = price_option(work, rates(), facts, prevailing_wage=False)
    for fact in scopes()["mill-and-overlay"].unknown_widens:
        unsure = price_option(work, rates(), facts | {fact: Fact(fact, None)}, prevailing_wage=False)
        assert unsure.price.p90 / unsure.price.p10 > sure.price.p90 / sure.price.p10, fact
        assert any(note.id == "cost.not-known" for note in unsure.notes)


def test_a_larger_scope_costs_more_on_the_same_pad():
    """Hold, resurface, mill, rebuild, replace, in that order."""
    ladder = [
        ("cosmetic-fill",),
        ("resurface",),
        ("membrane-repair", "resurface"),
        ("overlay", "resurface"),
        ("mill-and-overlay", "resurface"),
        ("pulverise-and-pave", "resurface"),
        ("full-depth-replacement", "resurface"),
    ]
    prices = [_price(remedies, cracks=30.0) for remedies in ladder]
    for figure in (lambda p: p.price.p50, lambda p: float(p.firm_price), lambda p: p.build_up_price):
        assert [figure(p) for p in prices] == sorted(figure(p) for p in prices)


@pytest.mark.parametrize("courts", [1, 2, 4])
@pytest.mark.parametrize(
    "remedies",
    [
        ("resurface",),
        ("membrane-repair", "resurface"),
        ("mill-and-overlay", "resurface"),
        ("mat-system",),
        ("overlay", "resurface"),
        ("full-depth-replacement", "replace-posts", "resurface"),
        REPAIR,
        REBUILD,
    ],
    ids=lambda r: r[0],
)
def test_unit_rates_and_build_up_agree_on_usual_jobs(courts: int, remedies: tuple[str, ...]):
    """Within 15 %; a larger gap is said."""
    price = _price(remedies, courts=courts, cracks=30.0 * courts)
    assert price.build_up_price == pytest.approx(price.unit_rate_price, rel=0.15)
    assert not any(note.id == "cost.gap" for note in price.notes)


def test_a_gap_between_the_two_prices_is_said():
    """Crews at twice the cost leave the unit rates behind."""
    dear = replace(rates(), crew_day=replace(rates().crew_day, size=1200.0))
    work, facts = _work(("resurface",))
    price = price_option(work, dear, facts)
    (note,) = [n for n in price.notes if n.id == "cost.gap"]
    assert note.values["build_up"] == price.build_up_price


def test_four_courts_cost_10_to_20_percent_less_each_than_one():
    """One trip and a crew that is there: the battery's economy."""
    one, four = (_price(("resurface",), courts=n, cracks=0.0).unit_rate_price / n for n in (1, 4))
    assert 0.10 <= 1 - four / one <= 0.20


def test_prevailing_wage_adds_its_share_of_labour():
    """20 to 45 % on labour alone; not knowing widens."""
    work, facts = _work(("resurface",), cracks=0.0)
    no, yes, unknown = (price_option(work, rates(), facts, prevailing_wage=w) for w in (False, True, None))
    assert 1.08 < yes.unit_rate_price / no.unit_rate_price < 1.25
    assert yes.build_up_price > no.build_up_price
    assert yes.price.p50 > no.price.p50
    assert unknown.price.p90 / unknown.price.p10 > no.price.p90 / no.price.p10


def test_a_municipal_customer_pays_the_upper_end_for_membranes():
    """30 a foot against 25; resurfacing is the same for all."""
    home, town = (_price(("membrane-repair",), cracks=300.0, customer=c) for c in ("home", "municipal"))
    assert town.unit_rate_price > home.unit_rate_price
    # What the crews' trip costs is the same for both, so that a fifth more a foot is a little less of the price.
    assert town.firm_price / home.firm_price > Decimal("1.10")
    same = [_price(("resurface",), customer=c).unit_rate_price for c in ("home", "municipal")]
    assert same[0] == same[1]


# --- a court and year ---------------------------------------------------------------------------


def test_a_year_of_a_court_costs_less_the_longer_it_lasts():
    """The same price over a life cut by roots costs more a year."""
    work, facts = _work(("mill-and-overlay", "resurface"))
    roots = facts | {"roots_lift_pad": Fact("roots_lift_pad", True)}
    sound, lifted = (price_option(work, rates(), f, prevailing_wage=False) for f in (facts, roots))
    assert lifted.life_years.p50 == pytest.approx(0.3 * sound.life_years.p50, rel=0.01)
    assert lifted.per_court_year.p50 > sound.per_court_year.p50


def test_a_closed_court_is_not_kept_up():
    """Retiring costs its own work spread over the years, and no colour."""
    price = _price(("retire",))
    assert price.per_court_year.p50 < 1000
    assert price.life_years.p50 > 20


def test_percentiles_of_a_year_and_of_a_life_rise():
    """P10 to P90 in order for each option."""
    for remedies in (REPAIR, REBUILD):
        price = _price(remedies, known=False)
        for p in (price.per_court_year, price.life_years):
            assert 0 < p.p10 <= p.p50 <= p.p80 <= p.p90


# --- any pad ------------------------------------------------------------------------------------


@given(st.floats(30, 20_000), st.sampled_from([("resurface",), REBUILD, REPAIR]))
def test_a_pad_of_any_size_has_a_price(area: float, remedies: tuple[str, ...]):
    """From a half court to a field, with nothing known and no courts: finite, positive, at least the minimum charge."""
    pad = replace(standard_pad(), courts=())
    reading = replace(standard_reading(pad), area=area)
    work = option_work(pad, reading, {}, "o", remedies)
    price = price_option(work, rates(), {}, draws=500)
    figures = [*_percentiles(price), price.unit_rate_price, price.build_up_price, price.per_court_year.p90]
    assert np.isfinite(figures).all()
    assert min(figures[:6]) >= rates().minimum["job"].likely - 1e-6


def test_a_metric_pad_costs_what_the_same_pad_in_feet_does():
    """18.288 by 36.576 m is 60 by 120 ft."""
    work, facts = _work(REBUILD)
    pad = standard_pad()
    assert pad.outline.area == pytest.approx(18.288 * 36.576)
    other = option_work(pad, standard_reading(pad, 98.4251968503937 * FT), facts, "o", REBUILD)
    a, b = (price_option(w, rates(), facts) for w in (work, other))
    assert b.firm_price == a.firm_price


def test_a_span_of_a_length_widens_as_far_as_it_reaches():
    """Cracks between 20 and 100 m make a wider price than 60 m do."""
    work = []
    for span in (Span.exactly(60.0), Span(20.0, 100.0)):
        facts = standard_facts() | {"crack_length_bridgeable": Fact("crack_length_bridgeable", span)}
        pad = standard_pad()
        work.append((option_work(pad, standard_reading(pad, 60.0), facts, "o", ("membrane-repair",)), facts))
    sure, unsure = (price_option(w, rates(), f, prevailing_wage=False).price for w, f in work)
    assert unsure.p90 - unsure.p10 > 1.5 * (sure.p90 - sure.p10)


def test_a_private_owners_price_waits_for_no_law_on_wages():
    """Prevailing wage binds public works: unsaid, it widens a town's price, and a home's only if somebody said yes."""

    def price(customer: str | None, wage: bool | None) -> OptionPrice:
        return _price(("resurface",), customer=customer, prevailing_wage=wage)

    assert price("home", None) == price("home", False)
    assert price("home", True).price.p50 > price("home", None).price.p50
    for customer in ("municipal", "school", None):
        assert "prevailing-wage" in {driver.driver for driver in price(customer, None).drivers}
        assert "prevailing-wage" not in {driver.driver for driver in price(customer, False).drivers}
