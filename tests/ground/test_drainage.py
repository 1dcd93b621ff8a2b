"""Laws of run-off, travel times and Manning."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.ground.drainage.channels import Pipe, Shape, Trapezoid, flow, gutter_flow, most, normal_depth
from courtwright.ground.drainage.run_off import peak_flow, run_off_depth, weighted
from courtwright.ground.drainage.travel_time import kinematic_time, sheet_flow_time

ROUGH = st.floats(0.009, 0.4)
SLOPE = st.floats(0.0005, 0.2)
WIDTH = st.floats(0.05, 5.0)
SIDE = st.floats(0.0, 6.0)
SHARE = st.floats(0.0, 1.0)

SHAPES = st.one_of(
    st.builds(Trapezoid, WIDTH, SIDE),
    st.builds(Trapezoid, st.just(0.0), st.floats(0.5, 6.0)),
    st.builds(Trapezoid, WIDTH, SIDE, st.floats(0.05, 2.0)),
    st.builds(Pipe, st.floats(0.05, 1.5)),
)


@given(SHAPES, ROUGH, SLOPE, st.floats(0.01, 1.0))
def test_the_normal_depth_carries_the_flow(shape: Shape, roughness: float, slope: float, share: float):
    """The depth found for what runs at a depth is that depth, whatever the shape."""
    depth = share * min(shape.deepest, 2.0)
    found = normal_depth(shape, flow(shape, depth, roughness, slope), roughness, slope)
    assert found == pytest.approx(depth, rel=1e-6)


@given(SHAPES, ROUGH, SLOPE)
def test_more_than_a_shape_carries_has_no_depth(shape: Shape, roughness: float, slope: float):
    """None is deeper than its brim; nothing to carry stands nowhere."""
    top = most(shape, roughness, slope)
    assert normal_depth(shape, 0.0, roughness, slope) == 0.0
    if math.isfinite(top):
        assert normal_depth(shape, top * 1.001, roughness, slope) is None


@given(SHAPES, ROUGH, SLOPE, st.floats(0.01, 0.9))
def test_a_flow_grows_with_depth_and_with_the_root_of_the_slope(
    shape: Shape, roughness: float, slope: float, share: float
):
    """Deeper is more; four times as steep is twice as much; twice as rough is half."""
    depth = share * min(shape.deepest, 2.0)
    runs = flow(shape, depth, roughness, slope)
    assert flow(shape, depth * 1.05, roughness, slope) > runs
    assert flow(shape, depth, roughness, 4 * slope) == pytest.approx(2 * runs)
    assert flow(shape, depth, 2 * roughness, slope) == pytest.approx(runs / 2)


@given(st.floats(0.05, 2.0), ROUGH, SLOPE)
def test_a_pipe_half_full_carries_half_of_a_full_one_and_most_short_of_its_top(
    diameter: float, roughness: float, slope: float
):
    """Half full its hydraulic radius is that of the full one; nearly full it carries 7.6 % more than full."""
    pipe = Pipe(diameter)
    full = flow(pipe, diameter, roughness, slope)
    assert flow(pipe, diameter / 2, roughness, slope) == pytest.approx(full / 2)
    around = [flow(pipe, pipe.deepest * factor, roughness, slope) for factor in (0.999, 1.0, 1.001)]
    assert max(around) == around[1]
    assert around[1] / full == pytest.approx(1.0757, abs=5e-5)


@given(st.floats(0.05, 2.0), st.floats(0.01, 0.99))
def test_a_pipes_wet_part_and_its_dry_part_make_it_whole(diameter: float, share: float):
    """The air above is the water of the pipe upside down."""
    pipe = Pipe(diameter)
    wet, dry = pipe.wet(share * diameter), pipe.wet((1 - share) * diameter)
    assert wet.area + dry.area == pytest.approx(math.pi / 4 * diameter**2)
    assert wet.perimeter + dry.perimeter == pytest.approx(math.pi * diameter)


@given(st.lists(st.tuples(st.floats(0.1, 1e4), SHARE), min_size=1, max_size=6), st.floats(1e-7, 1e-4))
def test_a_weighted_coefficient_gives_the_sum_of_the_peaks(parts: list[tuple[float, float]], intensity: float):
    """It lies between the least and the greatest, and the whole sheds what its parts shed."""
    mean = weighted(parts)
    assert min(c for _, c in parts) - 1e-9 <= mean <= max(c for _, c in parts) + 1e-9
    together = math.fsum(peak_flow(c, intensity, area) for area, c in parts)
    assert peak_flow(mean, intensity, math.fsum(area for area, _ in parts)) == pytest.approx(together)


def test_nothing_has_no_coefficient():
    """No area, no mean."""
    with pytest.raises(ValueError, match="0"):
        weighted([])


@given(st.floats(0.0, 0.5), st.floats(30.0, 100.0))
def test_no_more_runs_off_than_it_rains(rain: float, curve_number: float):
    """And of hard ground all."""
    assert 0 <= run_off_depth(rain, curve_number) <= rain
    assert run_off_depth(rain, 100.0) == pytest.approx(rain)


@given(ROUGH, st.floats(1, 90), SLOPE)
def test_a_longer_way_takes_longer_and_a_steeper_one_less(roughness: float, length: float, slope: float):
    """By both formulas; more rain is faster water."""
    for taken in (sheet_flow_time, kinematic_time):
        rain = 0.08 if taken is sheet_flow_time else 3e-5
        base = taken(roughness, length, rain, slope)
        assert taken(roughness, 2 * length, rain, slope) > base > taken(roughness, length, rain, 2 * slope)
        assert taken(roughness, length, 2 * rain, slope) < base


@given(ROUGH, st.floats(0.005, 0.08), SLOPE, st.floats(0.1, 5))
def test_a_gutter_is_nearly_a_triangle_by_manning(roughness: float, cross: float, slope: float, spread: float):
    """HEC-22 leaves out the face of the kerb and integrates across: 10 to 25 % over the mean radius of a triangle."""
    depth = cross * spread
    triangle = depth * spread / 2 * (depth / 2) ** (2 / 3) * math.sqrt(slope) / roughness
    assert 1.10 < gutter_flow(roughness, cross, slope, spread) / triangle < 1.25
