"""Any number of phones, whatever happens to their messages: all come to the same, and nothing typed is lost."""

from __future__ import annotations

import datetime as dt
from collections import Counter

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

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
from courtwright.store.walk.envelope import open_all, unpack
from courtwright.store.walk.history import Row, history
from tests.store.walk.phones import NOW, Phone, without_empty

indices = st.integers(0, 10**6)
#: Clocks wrong by years, as phones' are.
clocks = st.integers(-(10**12), 10**12).map(lambda seconds: NOW + dt.timedelta(milliseconds=seconds))


class Walk(RuleBasedStateMachine):
    """Phones and a server that keeps the list of updates; the state is its cache."""

    def __init__(self) -> None:
        super().__init__()
        self.phones: list[Phone] = []
        self.sent: list[tuple[Phone, bytes]] = []
        self.rows: list[Row] = []
        self.state = EMPTY
        self.steps = 0

    # --- phones ---------------------------------------------------------------------------------

    @initialize()
    def begin(self) -> None:
        self.phones = [Phone(101), Phone(77)]

    @precondition(lambda self: len(self.phones) < 5)
    @rule()
    def another_phone(self) -> None:
        self.phones.append(Phone(50 + 37 * len(self.phones)))

    @rule(who=indices, which=indices, field=st.sampled_from(("width", "note", "depth")))
    def type(self, who: int, which: int, field: str) -> None:
        phone = self._phone(who)
        there = sorted(phone.root("marks").keys())
        if there:
            phone.set("marks", there[which % len(there)], field, self._text())
        else:
            phone.set("walk", "", "name", self._text())

    @rule(who=indices, field=st.sampled_from(("name", "walked_by")))
    def type_about_the_site(self, who: int, field: str) -> None:
        self._phone(who).set("walk", "", field, self._text())

    @rule(who=indices)
    def find_a_mark(self, who: int) -> None:
        phone = self._phone(who)
        id = f"{phone.doc.client_id}-{len(phone.typed)}"
        phone.new_item("marks", id, {"mark": self._text(), "pad": self._text()})

    @rule(who=indices, which=indices, is_gone=st.booleans())
    def withdraw_or_bring_back(self, who: int, which: int, is_gone: bool) -> None:
        phone = self._phone(who)
        there = sorted(phone.root("marks").keys())
        if there:
            phone.set("marks", there[which % len(there)], "withdrawn", is_gone)

    @rule(who=indices, which=indices)
    def begin_a_mark_again(self, who: int, which: int) -> None:
        """Put a new item where another is, as a phone that breaks the rules may."""
        phone = self._phone(who)
        there = sorted(phone.root("marks").keys())
        if there:
            phone.new_item("marks", there[which % len(there)], {"mark": self._text()})

    @rule(who=indices, other=indices)
    def meet(self, who: int, other: int) -> None:
        """Two phones exchange what they have, without the server."""
        one, two = self._phone(who), self._phone(other)
        one.receive(two.doc.get_update(one.doc.get_state()))

    # --- messages -------------------------------------------------------------------------------

    @rule(who=indices, which=indices, clock=clocks)
    def send_any(self, who: int, which: int, clock: dt.datetime) -> None:
        """Any update that was ever made arrives: early, late or again."""
        phone = self._phone(who)
        if phone.made:
            self._arrives(phone, phone.envelope(phone.made[which % len(phone.made)], clock))

    @rule(who=indices, clock=clocks)
    def send_what_the_server_lacks(self, who: int, clock: dt.datetime) -> None:
        phone = self._phone(who)
        self._arrives(phone, phone.envelope(phone.doc.get_update(state_vector(self.state)), clock))

    @precondition(lambda self: self.sent)
    @rule(which=indices)
    def replay(self, which: int) -> None:
        self._arrives(*self.sent[which % len(self.sent)])

    @rule(who=indices, which=indices, place=indices, is_cut=st.booleans())
    def damage(self, who: int, which: int, place: int, is_cut: bool) -> None:
        """Cut off or damage a message on the way: nothing changes."""
        phone = self._phone(who)
        if not phone.made:
            return
        data = bytearray(phone.envelope(phone.made[which % len(phone.made)]))
        if is_cut:
            del data[place % len(data) :]
        else:
            data[place % len(data)] ^= 1 + place % 255
        before = self.state, len(self.rows)
        with pytest.raises(EnvelopeError):
            self._arrives(phone, bytes(data))
        assert (self.state, len(self.rows)) == before

    @rule(who=indices)
    def receive(self, who: int) -> None:
        phone = self._phone(who)
        phone.receive(missing_since(self.state, phone.doc.get_state()))

    @rule()
    def restart_from_the_list(self) -> None:
        """Drop the caches and make them again."""
        again = merged(row.update for row in self.rows)
        assert plain(again) == plain(self.state)
        assert sorted(waiting(again)) == sorted(waiting(self.state))
        assert state_vector(again) == state_vector(self.state)
        self.state = again

    @rule()
    def the_whole_list_again(self) -> None:
        state, outcomes = try_updates(self.state, [row.update for row in self.rows])
        assert set(outcomes) <= {"known"}
        assert state == self.state

    @invariant()
    def a_file_of_all_is_whole(self) -> None:
        assert open_all(b"".join(data for _, data in self.sent)).damage is None

    # --- the end --------------------------------------------------------------------------------

    def teardown(self) -> None:
        for phone in reversed(self.phones):
            for update in reversed(phone.made):
                self._arrives(phone, phone.envelope(update))
        assert waiting(self.state) == ()
        said = without_empty(plain(self.state))
        for phone in self.phones:
            phone.receive(missing_since(self.state, phone.doc.get_state()))
            assert phone.plain() == said
        typed = Counter(str(value) for phone in self.phones for value in phone.typed)
        assert Counter(str(entry.after) for entry in history(self.rows)) == typed

    def _phone(self, who: int) -> Phone:
        return self.phones[who % len(self.phones)]

    def _text(self) -> str:
        self.steps += 1
        return f"t{self.steps}"

    def _arrives(self, phone: Phone, data: bytes) -> None:
        envelope = unpack(data)
        tried = try_update(self.state, envelope.update)
        if tried.outcome == "known":
            assert tried.state == self.state
        else:
            self.rows.append(Row(len(self.rows) + 1, envelope.update, phone.id, envelope.device, NOW, envelope.told_at))
        self.sent.append((phone, data))
        self.state = tried.state


TestWalk = pytest.mark.soak(Walk.TestCase)
