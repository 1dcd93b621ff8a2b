"""Laws of sampling, and what is refused. Published numbers are checked in tests/reference."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import OutOfRangeError
from courtwright.verdict.sampling import sample_spacing, sample_units, section_index


@given(st.integers(1, 5000))
def test_a_sample_is_never_larger_than_the_section_and_never_empty(units: int):
    """And its spacing leaves room for all of it."""
    inspected = sample_units(units)
    assert 1 <= inspected <= units
    assert sample_spacing(units, inspected) * inspected <= units


@given(units=st.integers(1, 50), a=st.floats(0, 100), b=st.floats(0, 100), data=st.data())
def test_a_section_lies_between_its_two_means(units: int, a: float, b: float, data):
    """Whatever the weights."""
    additional = data.draw(st.integers(0, units))
    assert min(a, b) - 1e-9 <= section_index(units, additional, a, b) <= max(a, b) + 1e-9


@pytest.mark.parametrize(
    "ask",
    [
        lambda: sample_units(0),
        lambda: sample_units(5, spread=0.0),
        lambda: sample_units(5, error=-1.0),
        lambda: sample_spacing(5, 0),
        lambda: sample_spacing(5, 6),
        lambda: section_index(5, 6, 50.0, 50.0),
        lambda: section_index(0, 0, 50.0, 50.0),
    ],
)
def test_a_sample_that_cannot_be_is_refused(ask):
    """No unit, no spread, or more inspected than there are."""
    with pytest.raises(OutOfRangeError) as refusal:
        ask()
    assert refusal.value.problem.id in {"condition.no-sample", "condition.no-spacing"}
