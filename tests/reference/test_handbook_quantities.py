"""Quantities against handbooks and exact arithmetic."""

import math

import numpy as np
import pytest
from shapely import box
from uncertainties import ufloat

from courtwright.ground.regrade.read import Asked, pad_regrade
from courtwright.measured import Measured
from courtwright.quantities.asphalt_mass import layer_mass
from courtwright.quantities.layer_volume import layer_volume
from courtwright.quantities.liquid_volume import filled_crack_volume, spread_volume
from courtwright.quantities.low_spot import dip_volume
from courtwright.site.record import Pad, Shots
from courtwright.trade.load import scopes
from courtwright.trade.per import SIZES

FT, INCH, SF, CY = 0.3048, 0.0254, 0.3048**2, 0.9144**3
TON, GAL = 0.90718474, 3.785411784
DENSITY = Measured(SIZES["lb/sy/in"][1] * 110)


def _sf(area: float, sd: float = 0.0) -> Measured:
    return Measured(area * SF, sd * SF)


def _inch(depth: float, sd: float = 0.0) -> Measured:
    return Measured(depth * INCH, sd * INCH)


@pytest.mark.reference("asphalt-tonnage")
@pytest.mark.parametrize(
    ("area_sf", "thickness_in", "tons", "half_digit"), [(7200, 1.5, 66.0, 0.05), (7564, 3.0, 138.67, 0.005)]
)
def test_tonnage_of_a_court(area_sf: float, thickness_in: float, tons: float, half_digit: float):
    """Area by thickness by 110 lb a square yard and inch, in short tons."""
    mass = layer_mass(_sf(area_sf), _inch(thickness_in), DENSITY)
    assert mass.value / TON == pytest.approx(tons, abs=half_digit)


@pytest.mark.reference("asphalt-tonnage")
@pytest.mark.parametrize(
    ("size_ft", "thickness_in", "tons", "half_digit"), [((60, 120), 1.5, 66.0, 0.05), ((62, 122), 3.0, 138.67, 0.005)]
)
def test_tonnage_of_a_new_surface_over_a_true_plane(
    size_ft: tuple[float, float], thickness_in: float, tons: float, half_digit: float
):
    """Shots on a plane of 0.9 % are covered evenly: the handbook's tons by geometry, node by node."""
    x, y = (axis.ravel() for axis in np.meshgrid(*(np.linspace(0, side * FT, 13) for side in size_ft)))
    shots = Shots(np.column_stack([x, y, 30 - 0.009 * x]))
    pad = Pad("p", box(0, 0, *(side * FT for side in size_ft)), shots=shots)
    new = pad_regrade(pad, Asked(least=thickness_in * INCH)).surface
    assert new is not None
    assert new.mass / TON == pytest.approx(tons, abs=half_digit)


@pytest.mark.reference("fdot-basis")
def test_a_yard_and_inch_of_dense_mix():
    """110 lb/sy per inch are 146.667 pounds a cubic foot."""
    assert DENSITY.value * 1000 / 0.45359237 * FT**3 == pytest.approx(146.667, abs=0.0005)
    assert scopes()["overlay"].values["density"].size == pytest.approx(DENSITY.value)


@pytest.mark.reference("asphalt-tonnage-doubt")
def test_tonnage_carries_its_doubt_as_an_independent_library_does():
    """The thickness dominates: 66.0 ± 5.5 tons."""
    mass = layer_mass(_sf(7200, 36), _inch(1.5, 0.125), DENSITY)
    theirs = ufloat(7200, 36) * ufloat(1.5, 0.125) / 9 * 110 / 2000
    assert mass.value / TON == pytest.approx(theirs.nominal_value)
    assert mass.sd / TON == pytest.approx(theirs.std_dev)
    assert (mass.value / TON, mass.sd / TON) == (pytest.approx(66.0, abs=0.05), pytest.approx(5.5, abs=0.05))


@pytest.mark.reference("tack-residual")
def test_tack_of_a_court():
    """800 sy at 0.05 gal/sy are 40.0 gal."""
    rate = Measured(0.05 * SIZES["gal/sy"][1])
    assert spread_volume(_sf(7200), rate).value / GAL == pytest.approx(40.0, abs=0.05)


@pytest.mark.reference("crack-filler")
def test_filler_of_a_crack():
    """100 lf by 1/2 in by 1 in are 2.5974 gal."""
    volume = filled_crack_volume(Measured(100 * FT), _inch(0.5), _inch(1.0))
    assert volume.value / GAL == pytest.approx(2.5974, abs=0.00005)


@pytest.mark.reference("dip-paraboloid")
def test_a_dip_holds_half_its_cylinder():
    """10 by 6 ft, 3/8 in deep: 0.73631 cubic feet, 5.508 gal."""
    litres = dip_volume(_sf(math.pi * 5 * 3), _inch(0.375)).value
    assert litres / 1000 / FT**3 == pytest.approx(0.73631, abs=0.000005)
    assert litres / GAL == pytest.approx(5.508, abs=0.0005)


@pytest.mark.reference("pulverised-volume")
def test_a_court_pulverised_six_inches():
    """7,200 sf by 6 in are 133.33 cy."""
    assert layer_volume(_sf(7200), _inch(6)).value / CY == pytest.approx(133.33, abs=0.005)


@pytest.mark.reference("base-stone")
def test_the_stone_of_a_base():
    """62 by 122 ft by 4 in are 93.383 cy, 140.07 tons at 1.5 tons a cubic yard."""
    volume = layer_volume(_sf(62 * 122), _inch(4))
    assert volume.value / CY == pytest.approx(93.383, abs=0.0005)
    assert volume.value * SIZES["ton/cy"][1] * 1.5 / TON == pytest.approx(140.07, abs=0.005)


@pytest.mark.reference("slab-concrete")
def test_the_concrete_of_a_slab():
    """7,200 sf by 5 in are 111.1 cy."""
    assert layer_volume(_sf(7200), _inch(5)).value / CY == pytest.approx(111.1, abs=0.05)
