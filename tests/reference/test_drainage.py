"""Run-off, travel times and Manning against HEC-22, TR-55, a published channel and an independent library."""

import math

import pint
import pytest
from fluids.open_flow import V_Manning

from courtwright.ground.drainage.channels import Pipe, Section, Trapezoid, flow, gutter_flow, normal_depth, velocity
from courtwright.ground.drainage.run_off import peak_flow, run_off_depth, weighted
from courtwright.ground.drainage.travel_time import (
    concentration_time,
    kinematic_time,
    shallow_velocity,
    sheet_flow_time,
)

FT, INCH, HOUR, MINUTE = 0.3048, 0.0254, 3600.0, 60.0
CFS, SF = FT**3, FT**2
ACRE = 43560 * SF
#: Manning's factor in feet is 1 / 0.3048^(1/3) = 1.48592; handbooks round it to 1.486 or 1.49, and so their answers.
ROUNDED = {1.486: 1.486 * FT ** (1 / 3), 1.49: 1.49 * FT ** (1 / 3)}

# --- run-off ------------------------------------------------------------------------------------


@pytest.mark.reference("rational-units")
def test_an_inch_an_hour_on_an_acre():
    """43,560 / 12 / 3,600 cfs: 0.83 % more than the 1 that handbooks take for it."""
    assert peak_flow(1.0, INCH / HOUR, ACRE) / CFS == pytest.approx(43560 / 12 / 3600, rel=1e-12)
    registry = pint.UnitRegistry(cache_folder=None)
    told = registry.Quantity(1, "acre * inch / hour").to("foot**3 / second").magnitude
    # The registry's acre is the US survey one, 4 parts in a million larger.
    assert peak_flow(1.0, INCH / HOUR, ACRE) / CFS == pytest.approx(told, rel=5e-6)


@pytest.mark.reference("rational-units")
def test_a_court_in_a_rain_of_five_inches_an_hour():
    """60 by 120 ft, C 0.90: 0.7500 cfs, 336.62 gpm; by the rounded factor 0.7438."""
    peak = peak_flow(0.90, 5 * INCH / HOUR, 7200 * SF)
    assert peak / CFS == pytest.approx(0.7500, abs=5e-5)
    assert peak / (231 * INCH**3) * MINUTE == pytest.approx(336.62, abs=0.005)
    assert peak / CFS / (43560 / 12 / 3600) == pytest.approx(0.7438, abs=5e-5)
    # In SI: C i A / 360 with mm/h and ha.
    assert peak == pytest.approx(0.90 * 127 * (7200 * SF / 1e4) / 360, rel=1e-12)


@pytest.mark.reference("hec-22-weighted")
@pytest.mark.parametrize(
    ("parts", "printed"),
    [
        ([(22.1, 0.25), (21.2, 0.22)], 0.2353),
        ([(5.4, 0.90), (1.6, 0.15), (18.6, 0.25), (17.7, 0.22)], 0.3151),
    ],
)
def test_the_coefficient_of_several_surfaces(parts: list[tuple[float, float]], printed: float):
    """HEC-22, example 3-1: as it is, and as it is to be."""
    assert weighted(parts) == pytest.approx(printed, abs=5e-5)


@pytest.mark.reference("tr-55-run-off")
@pytest.mark.parametrize(("number", "rain", "printed"), [(70, 6.0, 2.805), (98, 3.2, 2.967), (75, 6.0, 3.282)])
def test_the_depth_that_runs_off(number: float, rain: float, printed: float):
    """TR-55, example 2-1 and its table."""
    assert run_off_depth(rain * INCH, number) / INCH == pytest.approx(printed, abs=5e-4)


# --- travel times -------------------------------------------------------------------------------


@pytest.mark.reference("tr-55-sheet-flow")
@pytest.mark.parametrize(("slope", "hours", "digits"), [(0.01, 0.2959, 5e-5), (0.02, 0.225, 1e-3)])
def test_sheet_flow_over_grass(slope: float, hours: float, digits: float):
    """TR-55, example 3-1: n 0.24, 100 ft, 3.6 in; and at 2 %, where a weak source prints 0.225 for 0.2959 / 2^0.4."""
    assert sheet_flow_time(0.24, 100 * FT, 3.6 * INCH, slope) / HOUR == pytest.approx(hours, abs=digits)


@pytest.mark.reference("tr-55-shallow-flow")
def test_shallow_concentrated_flow():
    """1 %: 1.6135 ft/s unpaved, 2.0328 paved; 1,400 ft unpaved take 0.24 h."""
    assert shallow_velocity(0.01, is_paved=False) / FT == pytest.approx(1.6135, abs=5e-5)
    assert shallow_velocity(0.01, is_paved=True) / FT == pytest.approx(2.0328, abs=5e-5)
    assert 1400 * FT / shallow_velocity(0.01, is_paved=False) / HOUR == pytest.approx(0.24, abs=0.005)


@pytest.mark.reference("tr-55-concentration")
def test_the_time_of_concentration():
    """TR-55, example 3-1: channel at 2.047 ft/s, 0.99 h; together 1.53 h."""
    fast = velocity(Section(27 * SF, 28.2 * FT), 0.05, 0.005) * ROUNDED[1.49]
    assert fast / FT == pytest.approx(2.047, abs=5e-4)
    channel = 7300 * FT / fast
    assert channel / HOUR == pytest.approx(0.99, abs=0.005)
    sheet = sheet_flow_time(0.24, 100 * FT, 3.6 * INCH, 0.01)
    shallow = 1400 * FT / shallow_velocity(0.01, is_paved=False)
    assert concentration_time(sheet, shallow, channel) / HOUR == pytest.approx(1.53, abs=0.005)


@pytest.mark.reference("court-sheet-flow")
@pytest.mark.parametrize(("length", "slope", "minutes"), [(60, 0.01, 1.06), (60, 1 / 120, 1.14), (120, 0.01, 1.85)])
def test_sheet_flow_over_a_court(length: float, slope: float, minutes: float):
    """TR-55's formula with n 0.011 and 3.2 in."""
    assert sheet_flow_time(0.011, length * FT, 3.2 * INCH, slope) / MINUTE == pytest.approx(minutes, abs=0.005)


@pytest.mark.reference("court-sheet-flow")
def test_the_kinematic_wave_over_a_court():
    """HEC-22: 60 ft at 1 %, 5 in/h: 1.52 min; twice the length takes 2^0.6 times as long."""
    short = kinematic_time(0.011, 60 * FT, 5 * INCH / HOUR, 0.01)
    assert kinematic_time(0.011, 120 * FT, 5 * INCH / HOUR, 0.01) == pytest.approx(2**0.6 * short)
    assert short / MINUTE == pytest.approx(1.52, abs=0.005)


# --- Manning ------------------------------------------------------------------------------------


@pytest.mark.reference("manning-full-pipes")
@pytest.mark.parametrize(
    ("inches", "roughness", "slope", "factor", "printed"),
    [
        (12, 0.013, 0.01, 1.486, 3.5628),
        (12, 0.013, 0.01, 1.49, 3.5724),
        (6, 0.011, 0.01, 1.486, 0.6631),
        (6, 0.010, 0.005, 1.486, 0.5158),
        (8, 0.012, 0.01, 1.486, 1.3091),
    ],
)
def test_full_pipes(inches: float, roughness: float, slope: float, factor: float, printed: float):
    """With the handbooks' rounded factors, to the printed digits."""
    pipe = Pipe(inches * INCH)
    told = flow(pipe, pipe.diameter, roughness, slope) / CFS * ROUNDED[factor]
    assert told == pytest.approx(printed, abs=5.1e-5)


@pytest.mark.reference("fluids-manning")
def test_a_full_pipe_and_a_swale_as_an_independent_library_has_them():
    """3.5626 and 4.2141 cfs in SI; the hydraulic radius and speed of Cengel and Cimbala's example."""
    pipe = Pipe(12 * INCH)
    area = math.pi / 4 * pipe.diameter**2
    by_library = area * V_Manning(pipe.diameter / 4, 0.01, 0.013)
    assert flow(pipe, pipe.diameter, 0.013, 0.01) == pytest.approx(by_library, rel=1e-12)
    assert by_library / CFS == pytest.approx(3.5626, abs=5e-5)
    swale = Trapezoid(2 * FT, 3.0)
    wet = swale.wet(0.5 * FT)
    assert flow(swale, 0.5 * FT, 0.03, 0.01) == pytest.approx(wet.area * V_Manning(wet.radius, 0.01, 0.03), rel=1e-12)
    assert flow(swale, 0.5 * FT, 0.03, 0.01) / CFS == pytest.approx(4.2141, abs=6e-5)
    radius = Section(0.2859, 1.0)
    assert velocity(radius, 0.03, 0.005236) == pytest.approx(1.0467781958118971, rel=1e-12)
    assert V_Manning(0.2859, 0.005236, 0.03) == pytest.approx(1.0467781958118971, rel=1e-12)


@pytest.mark.reference("manning-swale")
def test_a_swale():
    """2 ft wide, sides 3 to 1, 6 in deep, n 0.03, 1 %; 3.0 cfs stand 0.42007 ft deep."""
    swale = Trapezoid(2 * FT, 3.0)
    wet = swale.wet(0.5 * FT)
    assert (wet.area / SF, wet.perimeter / FT, wet.radius / FT) == pytest.approx((1.75, 5.1623, 0.3390), abs=5e-5)
    assert velocity(wet, 0.03, 0.01) / FT * ROUNDED[1.486] == pytest.approx(2.4082, abs=5e-5)
    assert flow(swale, 0.5 * FT, 0.03, 0.01) / CFS * ROUNDED[1.486] == pytest.approx(4.2144, abs=5e-5)
    depth = normal_depth(swale, 3.0 * CFS / ROUNDED[1.486], 0.03, 0.01)
    assert depth is not None
    assert depth / FT == pytest.approx(0.42007, abs=5e-6)


@pytest.mark.reference("bengtson-channel")
def test_a_rectangular_channel():
    """18 cfs, 4 ft wide, n 0.013, slope 0.00084: 1.50 ft."""
    depth = normal_depth(Trapezoid(4 * FT), 18 * CFS / ROUNDED[1.49], 0.013, 0.00084)
    assert depth is not None
    assert depth / FT == pytest.approx(1.5009, abs=5e-5)


@pytest.mark.reference("trench-drain")
def test_a_trench_drain_of_six_inches_is_just_too_small_for_a_court():
    """6 by 6 in, full, n 0.012, 0.5 %: 0.6630 cfs, under the 0.75 of a court in 5 in/h."""
    drain = Trapezoid(6 * INCH, height=6 * INCH)
    assert flow(drain, 6 * INCH, 0.012, 0.005) / CFS * ROUNDED[1.486] == pytest.approx(0.6630, abs=5e-5)
    assert normal_depth(drain, peak_flow(0.90, 5 * INCH / HOUR, 7200 * SF), 0.012, 0.005) is None


@pytest.mark.reference("hec-22-gutter")
def test_a_gutter():
    """Roughness 0.016, cross slope 2 %, 1 % along, 8 ft wide: 1.312 cfs."""
    assert gutter_flow(0.016, 0.02, 0.01, 8 * FT) / CFS == pytest.approx(1.312, abs=5e-4)
