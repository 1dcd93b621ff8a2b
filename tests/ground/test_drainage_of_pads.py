"""Run-on, the side to lower and the channel, on pads whose answers are known beforehand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, box

from courtwright.ground.drainage.read import Asked, pad_drainage
from courtwright.ground.drainage.run_on import run_on
from courtwright.ground.drainage.side import lower_side
from courtwright.ground.drainage.sizes import channels_for
from courtwright.ground.read import read_pad
from courtwright.site.record import Mark, Pad, Shots

from .pads import MOTIONS, moved

SIZE = (20.0, 10.0)
DOWN = (0.0, -1.0)
RAIN = 0.127 / 3600


def ground(height, x=(-10.0, 30.0), y=(-5.0, 25.0), step=1.0) -> Shots:
    """Return shots all over a rectangle whose heights a function of x and y gives."""
    across, up = np.meshgrid(np.arange(x[0], x[1] + step / 2, step), np.arange(y[0], y[1] + step / 2, step))
    return Shots(np.column_stack([across.ravel(), up.ravel(), height(across, up).ravel()]))


def edge(line: list[tuple[float, float]], stands: str, of: str | None = None, height: float | None = None) -> Mark:
    told = {"stands": stands, "of": of, "height": height}
    return Mark("edge", "edge", LineString(line), {key: value for key, value in told.items() if value is not None})


def pad(*marks: Mark, shots: Shots | None = None) -> Pad:
    return Pad("p", box(0, 0, *SIZE), marks=marks, shots=shots)


# --- run-on -------------------------------------------------------------------------------------


def test_a_lawn_that_falls_onto_the_pad_sends_all_its_water():
    """As wide as the pad and 15 m up to the end of the shots; more may lie beyond."""
    found = run_on(pad(shots=ground(lambda x, y: 0.02 * y)), DOWN)
    assert found.area == pytest.approx(20 * 15, rel=0.03)
    assert found.is_least


def test_a_ridge_parts_the_water():
    """Only the 6 m this side of the ridge send theirs, and that is all of it."""
    found = run_on(pad(shots=ground(lambda x, y: 0.02 * np.where(y < 16, y, 32 - y))), DOWN)
    assert found.area == pytest.approx(20 * 6, rel=0.06)
    assert not found.is_least


def test_a_ditch_before_the_pad_keeps_the_water_off():
    """The ground rises uphill of it, but its bottom falls along and past the pad."""

    def height(x, y):
        return np.where(y > 12, 0.02 * y, np.where(y > 10.5, -0.2 - 0.01 * x, 0.02 * y))

    # Left is the bank between ditch and pad, half a metre to a metre of it.
    found = run_on(pad(shots=ground(height, step=0.5)), DOWN)
    assert found.area is not None
    assert found.area < 20


def test_a_hollow_uphill_runs_over_and_counts():
    """Its water leaves at the lip towards the pad."""

    def height(x, y):
        return 0.02 * y - 0.3 * np.exp(-((x - 10) ** 2 + (y - 18) ** 2) / 8)

    found = run_on(pad(shots=ground(height)), DOWN)
    assert found.area is not None
    assert found.area == pytest.approx(300, rel=0.12)


def test_a_working_drain_uphill_takes_its_share_and_a_blocked_one_none():
    """A drain along the whole high side leaves the strip below it."""
    shots = ground(lambda x, y: 0.02 * y)
    line = LineString([(-9, 15), (29, 15)])
    works, blocked = (Mark("d", "drain", line, {"works": state}) for state in (True, False))
    assert run_on(pad(works, shots=shots), DOWN).area == pytest.approx(20 * 5, rel=0.06)
    assert run_on(pad(blocked, shots=shots), DOWN).area == pytest.approx(300, rel=0.03)


def test_unknown_without_shots_beyond_and_none_where_the_ground_lies_below():
    """Shots of the pad alone tell nothing; a high side marked as above its surroundings gets no water."""
    on_pad = ground(lambda x, y: 0.02 * y, (0, 20), (0, 10))
    below = edge([(0, 10), (20, 10)], "below")
    assert run_on(pad(), DOWN).area is None
    assert run_on(pad(shots=on_pad), DOWN).area is None
    assert run_on(pad(below, shots=on_pad), DOWN).area == 0.0
    downhill_only = ground(lambda x, y: 0.02 * y, y=(-15, 10))
    assert run_on(pad(shots=downhill_only), DOWN).area is None


@pytest.mark.parametrize("motion", MOTIONS)
def test_run_on_is_the_same_wherever_the_pad_was_drawn(motion: str):
    """Moved, turned, mirrored."""
    there = pad(shots=ground(lambda x, y: 0.02 * y + 0.003 * x))
    whole = pad_drainage(there, Asked()).run_on.area
    assert whole is not None
    assert pad_drainage(moved(there, motion), Asked()).run_on.area == pytest.approx(whole, rel=0.02)


# --- the side to lower --------------------------------------------------------------------------

LOW = [(0.0, 0.0), (20.0, 0.0)]


def test_sod_above_the_low_edge_goes_down_by_its_height_and_the_drop():
    """20 m of 2 + 5 cm, 1 m wide: 1.4 m³."""
    side = lower_side(pad(edge(LOW, "above", "sod", 0.02)), DOWN, 0.05, 1.0)
    assert (side.length, side.depth, side.volume) == pytest.approx((20.0, 0.07, 1.4))


def test_soil_flush_goes_down_by_the_drop():
    """Its height is nought without being told."""
    side = lower_side(pad(edge(LOW, "flush", "soil")), DOWN, 0.05, 1.0)
    assert (side.length, side.depth, side.volume) == pytest.approx((20.0, 0.05, 1.0))


def test_what_was_not_measured_stays_unknown():
    """A height nobody took; edges nobody walked; an edge that lies free; a wall that is not dug; the high side."""
    unmeasured = lower_side(pad(edge(LOW, "above", "sod")), DOWN, 0.05, 1.0)
    assert (unmeasured.length, unmeasured.depth, unmeasured.volume) == (pytest.approx(20.0), None, None)
    assert lower_side(pad(), DOWN, 0.05, 1.0).length is None
    assert lower_side(pad(edge(LOW, "below")), DOWN, 0.05, 1.0).volume == 0.0
    walled = lower_side(pad(edge(LOW, "above", "wall", 0.3)), DOWN, 0.05, 1.0)
    assert (walled.length, walled.walled) == (0.0, pytest.approx(20.0))
    assert lower_side(pad(edge([(0, 10), (20, 10)], "above", "soil", 0.1)), DOWN, 0.05, 1.0).length is None


@given(st.floats(0.001, 0.3), st.floats(0.001, 0.3), st.floats(1.0, 19.0))
def test_marks_that_overlap_are_dug_once_as_deep_as_the_higher_one(first: float, second: float, reach: float):
    """All 20 m as high as the first, and `reach` of them as high as the second where that is higher."""
    both = pad(edge(LOW, "above", "sod", first), edge([(0, 0), (reach, 0)], "above", "soil", second))
    side = lower_side(both, DOWN, 0.05, 1.0)
    assert side.length == pytest.approx(20.0)
    assert side.depth == pytest.approx(max(first, second) + 0.05)
    assert side.volume == pytest.approx(20 * (first + 0.05) + reach * max(0.0, second - first), abs=1e-4)


# --- peak and channel ---------------------------------------------------------------------------


def test_no_rain_no_peak():
    """Nothing is made up, and the answer says what to ask for."""
    dry = pad_drainage(pad(), Asked())
    assert (dry.peak, dry.channels, dry.concentration) == (None, None, None)
    assert "drainage.no-intensity" in [note.id for note in dry.notes]


def test_the_peak_is_that_of_the_pad_and_of_the_ground_uphill():
    """0.90 of the pad's rain, 0.17 of the lawn's."""
    there = pad(shots=ground(lambda x, y: 0.02 * y))
    alone = pad_drainage(replace(there, shots=None), Asked(RAIN))
    assert alone.peak == pytest.approx(0.90 * RAIN * 200)
    found = pad_drainage(there, Asked(RAIN, "lawn-heavy-flat"))
    assert found.run_on.area is not None
    assert found.peak == pytest.approx(RAIN * (0.90 * 200 + 0.17 * found.run_on.area))
    assert found.concentration is not None
    assert 30 < found.concentration < 120


@given(st.floats(1e-4, 0.05), st.floats(0.002, 0.05))
def test_what_is_offered_carries_the_flow(flow: float, slope: float):
    """Each carries at least the flow, at a speed times area that gives it."""
    found = channels_for(flow, slope)
    for carried in (found.swale, found.trench, found.pipe):
        assert carried is None or carried.most >= flow * (1 - 1e-9)
    if found.trench:
        assert found.trench.velocity * found.trench.width * found.trench.depth == pytest.approx(flow, rel=1e-6)
    assert found.swale is not None


def test_a_flow_that_nothing_usual_carries_is_said_so():
    """A river is not put into a swale."""
    found = channels_for(50.0, 0.01)
    assert (found.swale, found.trench, found.pipe) == (None, None, None)


def test_a_reading_tells_of_run_on_where_shots_lie_around():
    """The hillside of 20 by 15 m above the pad; without shots around, nothing is known."""
    every = ground(lambda x, y: 0.02 * y).xyz
    on = (every[:, 1] <= 10.0) & (every[:, 1] >= 0) & (every[:, 0] >= 0) & (every[:, 0] <= 20.0)
    there = pad(shots=Shots(every[on], around=every[~on]))
    found = read_pad(there)
    assert found.run_on == pytest.approx(20 * 15, rel=0.05)
    assert found.run_on_is_least
    assert read_pad(pad(shots=Shots(every[on]))).run_on is None
