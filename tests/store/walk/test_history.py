"""The history tells everything that was typed: by whom, over what, and what became of it."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter

from hypothesis import given
from hypothesis import strategies as st
from pycrdt import Doc, Map

from courtwright.store.walk.document import merged, plain
from courtwright.store.walk.history import Entry, Row, history
from tests.store.walk.phones import NOW, Phone, edited, rows_of


def _briefly(entries: tuple[Entry, ...]) -> list[tuple[object, ...]]:
    return [(e.item, e.field, e.before, e.after, e.fate) for e in entries]


def test_what_was_typed_over_is_told_with_what_stood_there():
    """One phone types, types over and deletes."""
    phone = Phone(5)
    phone.new_item("marks", "m", {"mark": "crack"})
    for text in ("1 in", "2 in"):
        phone.set("marks", "m", "width", text)
    phone.set("walk", "", "name", "North")
    del phone.root("walk")["name"]
    assert _briefly(history(rows_of(phone.made))) == [
        ("m", "mark", None, "crack", "stands"),
        ("m", "width", None, "1 in", "overwritten"),
        ("m", "width", "1 in", "2 in", "stands"),
        ("", "name", None, "North", "deleted"),
        ("", "name", "North", None, "stands"),
    ]


def test_a_value_typed_on_two_phones_at_once_is_told_twice():
    """The one that gave way is there too, by its own hand, with the same value before it."""
    one, two = Phone(5), Phone(6)
    one.new_item("marks", "m", {"width": "1 in"})
    two.receive(one.made[0])
    one.set("marks", "m", "width", "2 in")
    two.set("marks", "m", "width", "3 in")
    later = NOW + dt.timedelta(hours=1)
    rows = [
        Row(1, one.made[0], "Ana", one.id, NOW),
        Row(2, two.made[0], "Ben", two.id, NOW, dt.datetime(1999, 1, 1, tzinfo=dt.UTC)),
        Row(3, one.made[1], "Ana", one.id, later),
    ]
    assert plain(merged([row.update for row in rows])) == {"marks": {"m": {"width": "3 in"}}}
    assert history(rows)[1:] == (
        Entry("marks", "m", "width", "1 in", "3 in", 2, "Ben", two.id, NOW, rows[1].told_at, "stands"),
        Entry("marks", "m", "width", "1 in", "2 in", 3, "Ana", one.id, later, None, "lost"),
    )


def test_an_item_that_was_deleted_is_told_once():
    """No walk's phone deletes an item; what was typed into it stays in the history, deleted with it."""
    phone = Phone(5)
    phone.new_item("marks", "m", {"mark": "crack"})
    del phone.root("marks")["m"]
    assert _briefly(history(rows_of(phone.made))) == [
        ("m", "mark", None, "crack", "deleted"),
        ("m", "", {"not plain": "map"}, None, "stands"),
    ]


def test_an_answer_tells_its_pad():
    """The key of an answer may name a pad before its stroke."""
    phone = Phone(5)
    phone.set("answers", "", "coats", "26")
    phone.set("answers", "", "p1/coats", "6")
    assert [(e.root, e.item, e.field) for e in history(rows_of(phone.made))] == [
        ("answers", "", "coats"),
        ("answers", "p1", "coats"),
    ]


@given(st.integers(0, 2**31))
def test_everything_typed_is_in_the_history_once(seed: int):
    """Whatever was reordered or sent twice; and what stands is what the document says."""
    updates, phones = edited(seed)
    random.Random(seed).shuffle(updates)
    entries = history(rows_of([*updates, *updates]))
    typed = Counter(value for phone in phones for value in phone.typed)
    assert Counter(e.after for e in entries if e.after is not None) == typed
    standing = {(e.root, e.item, e.field): e.after for e in entries if e.fate == "stands" and e.after is not None}
    said = plain(merged(updates))
    assert standing == {
        **{("walk", "", key): value for key, value in said["walk"].items()},
        **{("marks", id, key): value for id, item in said["marks"].items() for key, value in item.items()},
    }


def test_what_waits_is_told_as_waiting():
    """A value whose place is in an update that has not come is not hidden."""
    phone = Phone(5)
    phone.new_item("marks", "m", {"mark": "crack"})
    phone.set("marks", "m", "width", "1 in")
    assert _briefly(history(rows_of(phone.made[1:]))) == [("", "", None, "1 in", "waits")]


def test_what_a_phone_threw_away_is_told_as_gone():
    """A phone that does not keep what was typed over leaves a hole, and the hole is told."""
    doc: Doc[Map[object]] = Doc(client_id=5, skip_gc=False)
    doc["walk"] = Map()
    doc["walk"]["name"] = "a"
    doc["walk"]["name"] = "b"
    entries = _briefly(history(rows_of([doc.get_update()])))
    assert entries == [
        ("", "name", None, {"not plain": "gone"}, "overwritten"),
        ("", "name", {"not plain": "gone"}, "b", "stands"),
    ]


def test_a_hole_is_filled_by_a_phone_that_has_the_value():
    """A value that one row throws away and another holds is told with its content."""
    doc: Doc[Map[object]] = Doc(client_id=5, skip_gc=False)
    made: list[bytes] = []
    doc["walk"] = Map()
    doc.observe(lambda event: made.append(event.update))
    doc["walk"]["name"] = "a"
    doc["walk"]["name"] = "b"
    for updates in ([doc.get_update(), *made], [*made, doc.get_update()]):
        assert Counter(e.after for e in history(rows_of(updates))) == Counter(["a", "b"])


def test_two_phones_that_take_themselves_for_one_lose_nothing():
    """A phone set back to an earlier day may number its values anew; both values of one number are told."""
    one, same = Phone(5), Phone(5)
    one.set("walk", "", "name", "a")
    same.set("walk", "", "name", "b")
    entries = history(rows_of([one.made[0], same.made[0], same.made[0]]))
    assert [(e.after, e.fate) for e in entries] == [("a", "stands"), ("b", "lost")]


def test_what_cannot_be_read_is_passed_over():
    """History is told of what there is."""
    assert history(rows_of([b"garbage"])) == ()
