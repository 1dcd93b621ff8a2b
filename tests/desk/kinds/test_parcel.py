"""Parts come out of a parcel as they went in, and nothing else is taken for one."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.parcel import pack, unpack
from courtwright.errors import InputError

PARTS = st.dictionaries(st.text(max_size=20), st.binary(max_size=200), max_size=6)


@given(PARTS)
def test_parts_come_out_as_they_went_in(parts: dict[str, bytes]):
    """Names of any letters, empty parts, no parts, and their order."""
    assert list(unpack(pack(parts)).items()) == list(parts.items())


def test_the_bytes_are_those_of_the_description():
    """Derived from the module's docstring: mark, length of the list, list, parts."""
    table = b'[["a", 2], ["b", 1]]'
    assert pack({"a": b"xy", "b": b"z"}) == b"CWP1" + struct.pack(">I", len(table)) + table + b"xyz"


@given(PARTS, st.data())
def test_a_parcel_that_is_cut_short_or_goes_on_is_refused(parts: dict[str, bytes], data: st.DataObject):
    """No part is given when one may be missing."""
    whole = pack(parts)
    cut = data.draw(st.integers(0, len(whole) - 1))
    for broken in (whole[:cut], whole + b"\0"):
        with pytest.raises(InputError):
            unpack(broken)


@given(st.binary(max_size=60))
def test_what_is_no_parcel_is_refused(rest: bytes):
    """Any bytes, also behind the right mark."""
    for data in (rest, b"CWP1" + rest, b"CWP1" + struct.pack(">I", len(rest)) + rest):
        try:
            parts = unpack(data)
        except InputError:
            continue
        assert pack(parts)[:4] == data[:4]


@pytest.mark.parametrize(
    "table",
    [
        b"{}",
        b"[1]",
        b'[["a"]]',
        b'[["a", -1]]',
        b'[["a", true]]',
        b'[["a", 0.5]]',
        b"[[1, 0]]",
        b'[["a", 0], ["a", 0]]',
        b"[" * 100_000,
        b"\xff",
    ],
)
def test_a_list_of_another_form_is_refused(table: bytes):
    """Sizes below nothing, names twice, depths without end."""
    with pytest.raises(InputError):
        unpack(b"CWP1" + struct.pack(">I", len(table)) + table)


def test_more_than_a_site_is_refused_on_both_sides(monkeypatch: pytest.MonkeyPatch):
    """Bounds of number and size; here small ones."""
    whole = pack({"a": b"1", "b": b"2"})
    monkeypatch.setattr(parcel, "MOST_PARTS", 1)
    for refused in (lambda: pack({"a": b"1", "b": b"2"}), lambda: unpack(whole)):
        with pytest.raises(InputError):
            refused()
    monkeypatch.setattr(parcel, "MOST_PARTS", 10)
    monkeypatch.setattr(parcel, "MOST_BYTES", 1)
    with pytest.raises(InputError):
        pack({"a": b"1", "b": b"2"})
