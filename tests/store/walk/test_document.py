"""States of a document: tried on a copy, whole or not at all, the same in every order."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pycrdt import Array, Doc, Map, Text

from courtwright.errors import EnvelopeError
from courtwright.store.walk.document import (
    EMPTY,
    merged,
    missing_since,
    plain,
    state_vector,
    try_update,
    try_updates,
    waiting,
)
from courtwright.store.walk.scratch import count
from courtwright.trade.words import render
from tests.store.walk.phones import Phone, edited, without_empty

#: `make test` tries some damages, `make soak` ten thousand.
DAMAGES = 300 if settings.get_current_profile_name() == "quick" else 10_000


def _text(text: str) -> bytes:
    return count(len(text.encode())) + text.encode()


@given(st.integers(0, 2**31))
def test_every_order_gives_the_same(seed: int):
    """Reordered and replayed updates give what the phones give in order, and none is left waiting."""
    updates, _ = edited(seed)
    truth = plain(merged(updates))
    chance = random.Random(seed)
    shuffled = [*updates, *updates]
    chance.shuffle(shuffled)
    state = EMPTY
    for update in shuffled:
        state = try_update(state, update).state
    assert plain(state) == truth
    assert waiting(state) == ()
    assert plain(try_updates(EMPTY, shuffled)[0]) == truth


def test_a_replayed_update_changes_nothing():
    """It is known, and the state is the very same."""
    updates, _ = edited(1)
    state = merged(updates)
    assert {try_update(state, update).outcome for update in updates} == {"known"}
    assert all(try_update(state, update).state == state for update in updates)


def test_an_update_that_comes_too_early_waits_whole():
    """Nothing of it shows, nothing of it is lost, also not over a snapshot; it takes effect when the other comes."""
    phone = Phone(5)
    phone.new_item("marks", "m", {"mark": "crack"})
    phone.set("marks", "m", "width", "1 in")
    del phone.root("marks")["m"]["width"]
    first, second, third = phone.made
    state = try_update(EMPTY, third).state
    tried = try_update(state, second)
    assert tried.outcome == "waits"
    assert plain(tried.state) == {}
    assert set(waiting(tried.state)) == {second, third}
    assert try_update(tried.state, second).outcome == "known"
    after = try_update(tried.state, first)
    assert after.outcome == "new"
    assert plain(after.state) == {"marks": {"m": {"mark": "crack"}}}
    assert waiting(after.state) == ()


@given(st.integers(0, 2**31))
def test_a_device_gets_what_it_lacks(seed: int):
    """What a device gets by its vector brings it up to the document, with what was typed over."""
    updates, phones = edited(seed, steps=30)
    state = merged(updates)
    for phone in phones:
        phone.receive(missing_since(state, phone.doc.get_state()))
        assert phone.plain() == without_empty(plain(state))
    fresh = Phone(1)
    fresh.receive(missing_since(state, b""))
    assert fresh.plain() == without_empty(plain(state))
    assert fresh.doc.get_state() != b"\x00"
    assert merged([missing_since(state, b"")]) != EMPTY
    assert state_vector(merged([missing_since(state, b"")])) == state_vector(state)


def test_a_vector_of_things_to_come_asks_for_nothing():
    """A device that knows more than the document gets what it lacks of the rest."""
    updates, _ = edited(3)
    state = merged(updates)
    assert missing_since(state, b"\x02\x05\xff\x7f\x06\x01") == missing_since(state, b"")


@pytest.mark.parametrize("vector", [b"garbage", b"\x01\x05", b"\x00\x00", b"\xff" * 30])
def test_a_bad_vector_is_refused_in_words(vector: bytes):
    """What a phone says it knows is read strictly."""
    with pytest.raises(EnvelopeError) as caught:
        missing_since(EMPTY, vector)
    assert caught.value.problem.id == "store.vector-not-read"
    assert "⟨" not in render(caught.value.problem)


def test_a_damaged_state_is_told_as_such():
    """A cache that is not what was kept can be dropped, and says so."""
    state = merged(edited(2)[0])
    for damaged in (state[:-1] + b"\xff", b"x" + state, state[:20]):
        with pytest.raises(EnvelopeError) as caught:
            plain(damaged)
        assert caught.value.problem.id.startswith("store.")


# --- what no phone writes -----------------------------------------------------------------------


def test_what_is_not_plain_is_kept_and_told():
    """Other roots, bytes, types within items and numbers that are none stay in the document, by what they are."""
    doc: Doc[Map[object]] = Doc(client_id=5, skip_gc=True)
    doc["extra"] = Map({"a": 1})
    doc["marks"] = Map()
    doc["marks"]["m"] = Map({"a": b"12", "b": Text(), "c": Map({"d": 1}), "e": float("nan"), "f": 1972, "g": Array()})
    assert plain(merged([doc.get_update()])) == {
        "extra": {"a": 1},
        "marks": {
            "m": {
                "a": {"not plain": "bytes"},
                "b": {"not plain": "text"},
                "c": {"not plain": "map"},
                "e": "nan",
                "f": 1972,
                "g": {"not plain": "array"},
            }
        },
    }


def _refused(state: bytes, update: bytes) -> str:
    with pytest.raises(EnvelopeError) as caught:
        try_update(state, update)
    return caught.value.problem.id


def test_lists_and_rich_text_are_refused():
    """The engine follows neighbours in a list without looking; no walk has any."""
    doc: Doc[Map[object]] = Doc(client_id=5, skip_gc=True)
    doc["marks"] = Map({"note": Text("abc")})
    assert _refused(EMPTY, doc.get_update()) == "store.update-sequence"


def test_maps_within_maps_are_refused_beyond_measure():
    """Forty thousand maps within each other would end the process when the outermost is deleted."""
    many = 40_000
    structs = [b"\x27\x01\x05marks\x01k\x01", *(b"\x27\x00\x07" + count(i) + b"\x01k\x01" for i in range(many - 1))]
    update = b"\x01" + count(many) + b"\x07\x00" + b"".join(structs) + b"\x00"
    assert _refused(EMPTY, update) == "store.update-deep"


def test_what_names_a_value_as_its_map_is_refused():
    """An item can only lie in a map."""
    phone = Phone(5)
    phone.set("walk", "", "name", "a")
    state = merged(phone.made)
    assert _refused(state, b"\x01\x01\x06\x00\x28\x00\x05\x00\x01k\x01~\x00") == "store.update-place"


def test_what_names_collected_ids_is_refused():
    """Neighbours that were thrown away lead the engine astray."""
    state = try_update(EMPTY, b"\x01\x01\x05\x00\x00\x03\x00").state
    assert _refused(state, b"\x01\x01\x06\x00\xa8\x05\x01\x01~\x00") == "store.update-place"


def test_a_liar_that_waited_has_no_effect():
    """What was taken before it could be seen to lie is passed over, in every order, and the rest stands."""
    phone = Phone(5)
    phone.set("walk", "", "name", "a")
    liar = b"\x01\x01\x06\x00\x28\x00\x05\x00\x01k\x01~\x00"
    waits = try_update(EMPTY, liar)
    assert waits.outcome == "waits"
    after = try_update(waits.state, phone.made[0])
    assert plain(after.state) == {"walk": {"name": "a"}}
    assert waiting(after.state) == ()
    assert plain(merged([phone.made[0], liar])) == plain(after.state)


def test_an_update_larger_than_any_is_refused():
    """Size is looked at first."""
    assert _refused(EMPTY, bytes(8_000_001)) == "store.envelope-size"


def test_one_bad_update_among_good_ones_takes_none_with_it():
    """The good ones before and after it come in."""
    updates, _ = edited(4)
    bad = b"\x01\x01\x06\x00\x28\x01\x05marks\x01m\x01q\x00"
    state, outcomes = try_updates(EMPTY, [*updates[:10], bad, *updates[10:]])
    assert [isinstance(one, EnvelopeError) for one in outcomes].count(True) == 1
    assert plain(state) == plain(merged(updates))


# --- damage -------------------------------------------------------------------------------------


def _damaged(update: bytes, chance: random.Random) -> bytes:
    data = bytearray(update)
    for _ in range(chance.choice((1, 1, 2, 5))):
        place = chance.randrange(len(data) or 1)
        match chance.randrange(4):
            case 0:
                data[place : place + 1] = bytes([chance.randrange(256)])
            case 1:
                data[place : place + 1] = b""
            case 2:
                data.insert(place, chance.randrange(256))
            case _:
                del data[place:]
    return bytes(data)


@pytest.mark.soak
def test_no_damaged_update_is_accepted_in_part():
    """An update that was damaged before it was hashed is refused with nothing changed, or is an update: whole.

    Whole means that all the ids it names are known afterwards or that all of it waits; and the values that stood
    there are told in the same way as before by a document made afresh.
    """
    chance = random.Random(20260416)
    updates, phones = edited(7, steps=80)
    state = merged(updates[: len(updates) // 2])
    before, text = state, plain(state)
    sources = [*updates, *(phone.doc.get_update() for phone in phones)]
    outcomes = dict.fromkeys(("refused", "new", "waits", "known"), 0)
    for _ in range(DAMAGES):
        bad = _damaged(chance.choice(sources), chance)
        try:
            tried = try_update(state, bad)
        except EnvelopeError:
            outcomes["refused"] += 1
            assert state == before
            continue
        outcomes[tried.outcome] += 1
        if tried.outcome == "known":
            assert tried.state == state
        if tried.outcome == "waits":
            assert plain(tried.state) == text
            assert waiting(tried.state) == (bad,)
        if tried.outcome == "new":
            assert try_update(tried.state, bad).outcome == "known"
    assert plain(state) == text
    assert outcomes["refused"] > DAMAGES / 3
    assert all(outcomes.values())


def _made_up(chance: random.Random, clients: list[int]) -> bytes:
    """Return an update of the right form whose structs lie about everything."""

    def id() -> bytes:
        return count(chance.choice(clients)) + count(chance.choice((0, 1, 2, 3, 5, 8, 13, 30)))

    def struct() -> bytes:
        kind = chance.choice((0, 1, 2, 3, 7, 7, 7, 8, 8, 8, 8, 9, 10))
        if kind in (0, 10):
            return bytes([kind]) + count(chance.choice((1, 2, 5)))
        info = kind | (0x80 if chance.random() < 0.5 else 0) | (0x20 if chance.random() < 0.95 else 0)
        head = bytes([info])
        if info & 0x80:
            head += id()
        else:
            head += (
                b"\x01" + _text(chance.choice(("walk", "marks", "zz", ""))) if chance.random() < 0.5 else b"\x00" + id()
            )
            head += _text(chance.choice(("m0", "m1", "a", ""))) if info & 0x20 else b""
        contents = {1: count(chance.choice((1, 2, 1000))), 2: b"\x01\x011", 3: b"\x02ab", 9: b"\x01gv\x00"}
        types = bytes([chance.choice((0, 1, 1, 1, 2, 6))])
        return head + contents.get(kind, types if kind == 7 else b"\x01" + chance.choice((b"w\x02ab", b"~", b"x")))

    many = chance.choice((1, 1, 2, 5))
    structs = b"".join(struct() for _ in range(many))
    deleted = (
        b"\x01" + count(chance.choice(clients)) + b"\x01" + count(chance.randrange(20)) + count(chance.randrange(4))
    )
    start = count(chance.choice((0, 3, 5, 13, 14, 15, 16, 17, 18, 19, 20)))
    return b"\x01" + count(many) + count(chance.choice(clients)) + start + structs + chance.choice((b"\x00", deleted))


@pytest.mark.soak
def test_no_update_that_lies_breaks_the_engine():
    """Updates of the right form that name what is not there, or is of another kind, end in words or wait."""
    chance = random.Random(41)
    updates, phones = edited(8, steps=80)
    whole = merged(updates)
    clients = [*(phone.doc.client_id for phone in phones), 5, 6]
    state, outcomes = whole, dict.fromkeys(("refused", "new", "waits", "known"), 0)
    for step in range(DAMAGES * 2):
        try:
            tried = try_update(state, _made_up(chance, clients))
        except EnvelopeError:
            outcomes["refused"] += 1
            continue
        outcomes[tried.outcome] += 1
        assert plain(tried.state) is not None
        state = whole if step % 20 == 0 else tried.state
    assert plain(whole) == plain(merged(updates))
    assert outcomes["refused"]
    assert outcomes["new"]
    assert outcomes["waits"]
