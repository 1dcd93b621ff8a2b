"""Updates of a walk at the desk: what another brings in between counts, what is kept twice is made again."""

from __future__ import annotations

import itertools
import uuid
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks import sync
from courtwright.desk.walks.walks import begin_walk
from courtwright.errors import EnvelopeError, MissingError, RefusedError
from courtwright.store.unit import Unit
from courtwright.store.walk.document import merged, plain
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, a_job
from tests.store.walk.phones import Phone


@pytest.fixture
def walk_id(office: Office) -> str:
    """Return the id of a new walk."""
    return begin_walk(office, ESTIMATOR, a_job(office))[0].id


def says(office: Office, walk_id: str) -> dict[str, Any]:
    """Return what a walk says, by its updates alone and by what is kept of them, which is the same."""
    with office.reading() as unit:
        kept = unit.walk_states.find(walk_id)
        truth = plain(merged(unit.updates.bodies(walk_id)))
    assert kept is None or plain(kept.state) == truth
    return truth


def test_what_comes_between_the_trial_and_the_keeping_counts(
    office: Office, walk_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another phone's update arrives after the trial: both are kept, and the state is that of both."""
    first, second = Phone(1), Phone(2)
    first.set("walk", "", "a", "1")
    second.set("walk", "", "b", "2")
    real, times = sync._tried, list[int]()  # pyright: ignore[reportPrivateUsage]  # the moment between the two steps

    def tried(unit: Unit, walk_id: str, envelopes: Any) -> Any:
        found = real(unit, walk_id, envelopes)
        times.append(len(times))
        if len(times) == 1:
            sync.send(office, CREW, walk_id, second.envelope(second.made[0]))
        return found

    monkeypatch.setattr(sync, "_tried", tried)
    done = sync.send(office, ESTIMATOR, walk_id, first.envelope(first.made[0]))
    assert done.new == 1
    assert len(times) == 3  # ours, theirs, and ours again on top of theirs
    assert says(office, walk_id)["walk"] == {"a": "1", "b": "2"}


def test_the_same_update_that_comes_between_is_kept_once(
    office: Office, walk_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A phone that sends again because it heard nothing, while the first request is still at work."""
    phone = Phone(1)
    phone.set("walk", "", "a", "1")
    body, real, times = phone.envelope(phone.made[0]), sync._tried, list[int]()  # pyright: ignore[reportPrivateUsage]  # as above

    def tried(unit: Unit, walk_id: str, envelopes: Any) -> Any:
        found = real(unit, walk_id, envelopes)
        times.append(len(times))
        if len(times) == 1:
            assert sync.send(office, ESTIMATOR, walk_id, body).new == 1
        return found

    monkeypatch.setattr(sync, "_tried", tried)
    assert sync.send(office, ESTIMATOR, walk_id, body).new == 0
    with office.reading() as unit:
        assert unit.updates.last(walk_id).count == 1


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damaged_body_is_taken_in_part(office: Office, data: st.DataObject) -> None:
    """Any byte of three envelopes changed, or any end cut off: all three are kept, or none."""
    walk_id = begin_walk(office, ESTIMATOR, a_job(office), id=str(uuid.uuid4()))[0].id
    phone = Phone(1)
    for n in range(3):
        phone.set("walk", "", f"{n}", "typed")
    envelopes = [phone.envelope(one) for one in phone.made]
    ends = list(itertools.accumulate(map(len, envelopes)))
    body = bytearray(b"".join(envelopes))
    at = data.draw(st.integers(0, len(body) - 1))
    if data.draw(st.booleans()):
        body[at] ^= data.draw(st.integers(1, 255))
    else:
        del body[at:]
        if at in ends:  # cut between two envelopes: what is there is whole
            assert sync.send(office, ESTIMATOR, walk_id, bytes(body)).new == ends.index(at) + 1
            return
    with pytest.raises((EnvelopeError, ValueError)):
        sync.send(office, ESTIMATOR, walk_id, bytes(body))
    assert says(office, walk_id).get("walk", {}) == {}


def test_what_is_dropped_is_made_again(office: Office, walk_id: str) -> None:
    """The state after it was dropped is the state before, byte for byte in what it says and in its vector."""
    phone = Phone(1)
    for n in range(5):
        phone.new_item("marks", f"m{n}", {"mark": "crack", "width": f"{n}/8 in"})
    body = b"".join(phone.envelope(one) for one in phone.made)
    sent = sync.send(office, ESTIMATOR, walk_id, body)
    before = says(office, walk_id)
    with office.writing(ESTIMATOR) as unit:
        unit.walk_states.drop(walk_id)
    assert sync.synced(office, ESTIMATOR, walk_id).vector == sent.vector
    sync.renew_state(office, ESTIMATOR, walk_id)
    with office.reading() as unit:
        kept = unit.walk_states.find(walk_id)
    assert kept is not None
    assert (kept.seq, kept.vector, plain(kept.state)) == (sent.seq, sent.vector, before)


def test_whoever_may_not_sends_and_reads_nothing(office: Office, walk_id: str) -> None:
    """The crew of another job finds no walk; a customer is refused."""
    phone = Phone(1)
    phone.set("walk", "", "a", "1")
    body = phone.envelope(phone.made[0])
    with pytest.raises(MissingError):
        sync.send(office, CREW_OFF, walk_id, body)
    customer = Caller("link:x", "customer", offer_id="x")
    for ask in (sync.synced, sync.renew_state):
        with pytest.raises(RefusedError):
            ask(office, customer, walk_id)
    assert says(office, walk_id).get("walk", {}) == {}
