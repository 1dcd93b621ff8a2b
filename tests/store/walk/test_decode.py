"""The reader of updates against what the engine says of documents that it made itself."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pycrdt import Doc, Map

from courtwright.store.walk.decode import read_update, read_vector
from courtwright.store.walk.document import merged, plain
from courtwright.store.walk.history import index_of, values_of
from courtwright.store.walk.lib0 import NotReadError
from tests.store.walk.phones import Phone, edited, rows_of, without_empty

numbers = st.integers(-(2**31), 2**31) | st.floats(allow_nan=False, allow_infinity=False, width=32)
json_values = st.recursive(
    st.none() | st.booleans() | numbers | st.text(max_size=9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)


def _like_json(value: object) -> object:
    """Return a value as a document holds it: whole numbers and others are one kind."""
    if isinstance(value, float) and value == int(value):
        return int(value)
    if isinstance(value, list):
        return [_like_json(inner) for inner in value]
    return {k: _like_json(v) for k, v in value.items()} if isinstance(value, dict) else value


@given(st.dictionaries(st.text(max_size=12), json_values, max_size=5))
def test_every_value_that_is_set_is_read(values: dict[str, object]):
    """Keys and values of a map come out of its update as they went in."""
    phone = Phone(5, ("walk",))
    phone.root("walk").update(values)
    read = {one.key: one.values[0] for update in phone.made for one in read_update(update).structs}
    assert read == {key: _like_json(value) for key, value in values.items()}


@given(st.integers(0, 2**31))
def test_an_index_of_updates_says_what_the_engine_says(seed: int):
    """In whatever order updates come, the index alone gives the values that the engine gives."""
    updates, _ = edited(seed)
    random.Random(seed).shuffle(updates)
    assert without_empty(values_of(index_of(rows_of(updates)))) == without_empty(plain(merged(updates)))


@given(st.integers(0, 2**31))
def test_every_set_is_listed_once(seed: int):
    """What was typed is what is listed, from single updates and from whole documents alike."""
    updates, phones = edited(seed)
    whole = [phone.doc.get_update() for phone in phones]
    typed = Counter(value for phone in phones for value in phone.typed)
    for told in (updates, whole, [*whole, *updates]):
        index = index_of(rows_of(told))
        assert Counter(one.value for one in index.placed() if one.struct.kind == "value") == typed
        assert not list(index.unplaced())


def test_runs_that_were_joined_are_parted_again():
    """An engine joins values typed over each other to one struct; each of them is listed."""
    phone = Phone(9, ("walk",))
    for text in ("1", "2", "3"):
        phone.set("walk", "", "name", text)
    structs = read_update(phone.doc.get_update()).structs
    assert [(one.values, one.origin) for one in structs] == [(("1",), None), (("2",), (9, 0)), (("3",), (9, 1))]


def test_the_range_of_what_is_deleted_is_read():
    """A deletion names client, clock and length."""
    phone = Phone(9, ("walk",))
    phone.set("walk", "", "name", "a")
    del phone.root("walk")["name"]
    assert read_update(phone.made[-1]).deleted == ((9, 0, 1),)


def test_a_state_vector_is_read():
    """It says how far each client is known."""
    phone = Phone(300, ("walk",))
    phone.set("walk", "", "name", "a")
    assert read_vector(phone.doc.get_state()) == {300: 1}


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x00",
        b"\x00\x00\x00",
        b"\x01\x00\x05\x00\x00",  # a client without structs
        b"\x01\x01\x05\x00\x28\x01\x04walk\x01a\x01w\x05abc\x00",  # a text cut off
        b"\x01\x01\x05\x00\x28\x01\x04walk\x01a\x01" + b"u\x01" * 1000 + b"~\x00",  # lists within lists
        b"\x01\x01\x05\x00\x27\x01\x04walk\x01a\x07\x00",  # a kind of type that walks do not have
        b"\x01\x01\x05\x00\x00\xff\xff\xff\x1f\x00",  # a run as long as no walk
        b"\x01\x03\x05\x00" + b"\x00\xa0\x8d\x06" * 3 + b"\x00",  # three of 100,000, which took a gigabyte to keep
        b"\x01\x03\x05\x00" + b"\x21\x01\x04walk\x01k\xa0\x8d\x06" * 3 + b"\x00",
        b"\xff" * 40,
    ],
)
def test_what_is_no_update_is_refused(data: bytes):
    """Nothing is guessed at, and nothing is followed deeper than it may be."""
    with pytest.raises(NotReadError):
        read_update(data)


@pytest.mark.parametrize("data", [b"", b"\x01\x05", b"\x00\x00", b"garbage", b"\xff" * 30])
def test_what_is_no_vector_is_refused(data: bytes):
    """A vector ends where it ends."""
    with pytest.raises(NotReadError):
        read_vector(data)


def test_the_engine_keeps_no_other_kinds():
    """A value that JSON does not hold is told by what it is."""
    doc: Doc[Map[object]] = Doc(client_id=3, skip_gc=True)
    doc["walk"] = Map({"a": b"12", "b": float("nan")})
    values = {one.key: one.values[0] for one in read_update(doc.get_update()).structs}
    assert values == {"a": {"not plain": "bytes"}, "b": "nan"}
