"""Laws of what people type and read, worth thousands of cases: ``make soak`` tries many, ``make test`` some."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.trade.words import render

pytestmark = pytest.mark.soak

READABLE = ("length", "small", "run", "area", "volume", "liquid", "mass", "slope", "share", "count", "hours", "years")
#: Kinds whose print is read again, with the largest value that has a meaning. [SI]
LARGEST = {
    "length": 3e3,
    "small": 10.0,
    "run": 1e4,
    "area": 1e5,
    "volume": 1e4,
    "liquid": 1e2,
    "mass": 1e7,
    "slope": 1.0,
    "share": 1.0,
}
SYSTEMS = ("us", "metric")

numbers = st.one_of(
    st.integers(0, 10**6).map(str),
    st.decimals(0, 10**5, places=3, allow_nan=False).map(str),
    st.builds("{}-{}/{}".format, st.integers(0, 99), st.integers(0, 99), st.integers(0, 32)),
    st.builds("{},{:03}".format, st.integers(0, 999), st.integers(0, 999)),
)
names = st.sampled_from(
    ("ft", "'", '"', "in", "mm", "m", "lf", "sf", "sy", "cy", "gal", "ton", "t", "%", "in/ft", ":", "")
)
typed = st.one_of(
    st.text(max_size=40),
    st.lists(st.one_of(numbers, names, st.sampled_from((" ", "-", "½", "′", "″"))), max_size=6).map("".join),
)


@given(text=typed, kind=st.sampled_from(READABLE), system=st.sampled_from(SYSTEMS))
@example(text="1/0 in", kind="length", system="us")
@example(text="9" * 400, kind="area", system="metric")
def test_whatever_is_typed_is_read_or_refused_in_words(text: str, kind: str, system: str):
    """A text becomes a finite number of at least 0, or a refusal that says what is wrong and what to write."""
    try:
        value = units.parse_quantity(text, kind, system)
    except QuantityError as error:
        refusal = error
    else:
        assert math.isfinite(value)
        assert value >= 0
        return
    for says in (refusal.problem, refusal.fix):
        assert says is not None
        assert "⟨" not in render(says, "en").replace("⟨", "", text.count("⟨"))
        assert "⟨" not in render(says, "es").replace("⟨", "", text.count("⟨"))


@given(
    part=st.floats(1e-4, 1.0, allow_nan=False),
    kind=st.sampled_from(sorted(LARGEST)),
    system=st.sampled_from(SYSTEMS),
    language=st.sampled_from(("en", "es")),
)
def test_what_is_printed_is_read_back_as_what_is_printed(part: float, kind: str, system: str, language: str):
    """Printing loses digits once: the printed text, read and printed again, stays what it is."""
    printed = units.show(part * LARGEST[kind], kind, system, language)
    assert units.show(units.parse_quantity(printed, kind, system), kind, system, language) == printed
