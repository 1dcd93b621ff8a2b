"""A court's yearly cost against the same payments listed year by year."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.cost.discount import equivalent_annual, present_worth
from courtwright.cost.yearly import per_court_year, recolour_price, recolour_worth
from courtwright.quantities import OptionWork, option_work
from courtwright.quantities.standard import standard_facts, standard_pad, standard_reading
from courtwright.trade.load import rates


def _work(remedies: tuple[str, ...], courts: int = 1) -> OptionWork:
    pad = standard_pad(courts)
    return option_work(pad, standard_reading(pad), standard_facts(), "o", remedies)


# --- derived answers ----------------------------------------------------------------------------


@pytest.mark.parametrize(("life", "years"), [(5.0, []), (6.0, []), (16.0, [6, 12]), (30.0, [6, 12, 18, 24])])
def test_a_life_is_recoloured_every_six_years_but_not_in_its_last(life: float, years: list[int]):
    """Present worth of one recolouring in each of those years; a life of 30 ends without a fifth."""
    work = _work(("mill-and-overlay", "resurface"))
    flows = {float(year): recolour_price(work, rates()) for year in years}
    ours = recolour_worth(work, np.array([life]), rates())
    assert ours == pytest.approx([present_worth(flows, rates().discount.size)])


def test_a_court_year_is_price_upkeep_and_care_spread_over_the_life():
    """30,000 now, two recolourings in 16 years at 4 %, and the yearly care; two courts share it."""
    for courts in (1, 2):
        work = _work(("mill-and-overlay", "resurface"), courts)
        colour = recolour_price(work, rates())
        flows = {0.0: 30000.0, 6.0: colour, 12.0: colour}
        care = rates().upkeep["care"].size * work.area
        by_hand = (equivalent_annual(flows, 0.04, 16) + care) / courts
        ours = per_court_year(work, np.array([30000.0]), np.array([16.0]), rates())
        assert ours == pytest.approx([by_hand])


def test_what_is_not_kept_up_has_neither_colour_nor_care():
    """A closed court: its price spread over its life, and nothing else."""
    ours = per_court_year(_work(("retire",)), np.array([4000.0]), np.array([30.0]), rates())
    assert ours == pytest.approx([equivalent_annual({0.0: 4000.0}, 0.04, 30)])


# --- laws ---------------------------------------------------------------------------------------


@given(st.floats(1000, 200_000), st.floats(1, 60), st.floats(1, 3))
def test_a_dearer_option_costs_more_a_year(price: float, life: float, factor: float):
    """Over the same life."""
    work = _work(("resurface",))
    less, more = (
        float(per_court_year(work, np.array([p]), np.array([life]), rates())[0]) for p in (price, price * factor)
    )
    assert less <= more
