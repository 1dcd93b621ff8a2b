"""Two tape readings of a dimension: laws and refusals. The published rule is checked in tests/reference."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import OutOfRangeError
from courtwright.site.tape import check_tape, tape_tolerance

lengths = st.floats(0.1, 100)


@given(dimension=lengths, first=lengths, second=lengths)
def test_the_order_of_the_readings_does_not_matter(dimension: float, first: float, second: float):
    """Swapped readings are judged alike."""
    assert check_tape(first, second, dimension) == check_tape(second, first, dimension)


@given(dimension=lengths)
def test_a_perfect_reading_is_within(dimension: float):
    """The dimension itself, taped twice."""
    assert check_tape(dimension, dimension, dimension).outcome == "within"


@given(dimension=lengths)
def test_the_net_allows_ten_millimetres_more(dimension: float):
    """Whatever the dimension."""
    assert tape_tolerance(dimension, to_net=True) - tape_tolerance(dimension) == pytest.approx(0.01)


@pytest.mark.parametrize("readings", [(0.0, 1.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, math.nan), (math.inf, 1.0, 1.0)])
def test_what_is_no_length_is_refused(readings: tuple[float, float, float]):
    """Zero, negative, NaN and infinite lengths."""
    with pytest.raises(OutOfRangeError) as refusal:
        check_tape(*readings)
    assert refusal.value.problem.id == "courts.no-dimension"
