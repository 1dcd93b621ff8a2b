"""What phones and the office exchange of a walk: updates in, what is lacking out; and what they make together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks.walks import seen_walk
from courtwright.errors import EnvelopeError, InputError
from courtwright.says import say
from courtwright.store.rows.walk_states import WalkState
from courtwright.store.unit import Unit
from courtwright.store.walk.document import (
    EMPTY,
    Outcome,
    merged,
    missing_since,
    state_vector,
    try_updates,
    waiting,
)
from courtwright.store.walk.envelope import MOST_UPDATE, Envelope, pack, pack_all, unpack_all
from courtwright.store.walk.history import Entry, history

#: More updates in one request are refused: a phone that was away sends what it has in a few. [-]
MOST_AT_ONCE = 2_000
#: The office itself, where it sends.
OFFICE = "00000000-0000-0000-0000-000000000000"
#: The time of what the office sends of a walk to which nothing has come.
_NEVER = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


@dataclass(frozen=True, slots=True)
class Synced:
    """How far a walk is known here.

    Parameters
    ----------
    seq : int
        Number of the last update; it grows with each. [-]
    vector : bytes
        How far each editing round of a device is known, as Yjs writes it.
    received, new : int
        How many updates came, and how many of them brought anything. [-]
    waits : int
        How many updates wait for others that have not come. [-]
    """

    seq: int
    vector: bytes
    received: int = 0
    new: int = 0
    waits: int = 0


@dataclass(frozen=True, slots=True)
class Lacking:
    """What a device lacks of a walk.

    Parameters
    ----------
    seq, vector
        As in `Synced`.
    body : bytes
        Envelopes; they change nothing where nothing is lacking.
    """

    seq: int
    vector: bytes
    body: bytes


# --- in -----------------------------------------------------------------------------------------


def send(office: Office, caller: Caller, walk_id: str, body: bytes) -> Synced:
    """Take in updates: all of them, on the disk when this returns, or none.

    What was sent before, or brings nothing, is acknowledged and not kept twice.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    body : bytes
        Envelopes, one after the other.

    Raises
    ------
    InputError
        If there are none or too many, one of them is damaged or cannot be applied, or the walk would be too large.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not.
    """
    caller.require("walks.write")
    envelopes = unpacked(body)
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        trial = _tried(unit, walk_id, envelopes)
    with office.writing(caller) as unit:
        seen_walk(unit, caller, walk_id)
        return _appended(unit, walk_id, envelopes, trial)


def send_within(unit: Unit, walk_id: str, envelopes: Sequence[Envelope]) -> Synced:
    """Take in updates inside a unit that writes.

    Raises
    ------
    InputError
        As `send` does.
    """
    return _appended(unit, walk_id, envelopes, None)


def unpacked(body: bytes) -> tuple[Envelope, ...]:
    """Return the envelopes of a request.

    Raises
    ------
    InputError
        As `send` does.
    """
    envelopes = unpack_all(body)
    if not envelopes:
        raise InputError(say("desk.no-updates"), where="body", fix=say("desk.no-updates-do"))
    if len(envelopes) > MOST_AT_ONCE:
        given = len(envelopes)
        raise InputError(say("desk.many-updates", given=given, most=MOST_AT_ONCE), fix=say("desk.many-updates-do"))
    return envelopes


@dataclass(frozen=True, slots=True)
class _Trial:
    """What updates make of a walk as it was seen; it holds as long as nothing else has come.

    The trial is the slow part, so that it is done before anybody else has to wait.
    """

    seq: int
    made: WalkState
    waits: int
    outcomes: tuple[Outcome, ...]


def _appended(unit: Unit, walk_id: str, envelopes: Sequence[Envelope], trial: _Trial | None) -> Synced:
    unit.walks.lock(walk_id)
    if trial is None or trial.seq != unit.updates.seq(walk_id):
        trial = _tried(unit, walk_id, envelopes)
    fresh = [one for one, outcome in zip(envelopes, trial.outcomes, strict=True) if outcome != "known"]
    found = trial.made
    for envelope in fresh:
        found = replace(found, seq=unit.updates.append(walk_id, envelope))
    if fresh or unit.walk_states.find(walk_id) is None:
        unit.walk_states.put(walk_id, found)
    return Synced(found.seq, found.vector, len(envelopes), len(fresh), trial.waits)


def _tried(unit: Unit, walk_id: str, envelopes: Sequence[Envelope]) -> _Trial:
    """Try updates on a copy of a walk; each that is here already, or comes twice, is known."""
    seen = unit.updates.known(walk_id, [one.sha256 for one in envelopes])
    current, places = state_of(unit, walk_id), list[int]()
    for place, envelope in enumerate(envelopes):
        if envelope.sha256 not in seen:
            places.append(place)
            seen.add(envelope.sha256)
    state, found = try_updates(current.state, [envelopes[place].update for place in places])
    outcomes: list[Outcome] = ["known"] * len(envelopes)
    for place, outcome in zip(places, found, strict=True):
        if isinstance(outcome, EnvelopeError):
            outcome.where = f"envelope {place + 1}"
            raise outcome
        outcomes[place] = outcome
    made = current if state == current.state else WalkState(current.seq, state, state_vector(state))
    return _Trial(current.seq, made, len(waiting(state)), tuple(outcomes))


# --- out ----------------------------------------------------------------------------------------


def lacking(office: Office, caller: Caller, walk_id: str, vector: bytes) -> Lacking:
    """Return what a device lacks of a walk.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    vector : bytes
        How far the device knows it, as Yjs writes it; empty for nothing.

    Raises
    ------
    InputError
        If the vector is none.
    MissingError, RefusedError
        If there is no walk that the caller may see, or the caller may not.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        found = state_of(unit, walk_id)
        update = missing_since(found.state, vector)
        if len(update) > MOST_UPDATE:
            # As they came: together they say the same.
            return Lacking(found.seq, found.vector, pack_all(unit.updates.envelopes(walk_id)))
        at = unit.updates.last(walk_id).at or _NEVER
    return Lacking(found.seq, found.vector, pack(Envelope(OFFICE, at, update)))


def synced(office: Office, caller: Caller, walk_id: str) -> Synced:
    """Return how far a walk is known here.

    Raises
    ------
    MissingError, RefusedError
        As `lacking` does.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        found = state_of(unit, walk_id)
    return Synced(found.seq, found.vector, waits=len(waiting(found.state)))


def typed(office: Office, caller: Caller, walk_id: str, *, most: int, after: int = 0) -> tuple[tuple[Entry, ...], int]:
    """Return everything that was typed into a walk, in the order in which it came, with what became of it.

    Parameters
    ----------
    office, caller, walk_id
        Where, who asks, and of which walk.
    most, after : int
        How many values, and how many to pass over. [-]

    Returns
    -------
    tuple of Entry, int
        The values, and how many there are in all. [-]

    Raises
    ------
    MissingError, RefusedError
        As `lacking` does.
    """
    caller.require("walks.read")
    with office.reading() as unit:
        seen_walk(unit, caller, walk_id)
        rows = tuple(unit.updates.rows(walk_id))
    found = history(rows)
    return found[after : after + most], len(found)


# --- the cache ----------------------------------------------------------------------------------


def state_of(unit: Unit, walk_id: str) -> WalkState:
    """Return what the updates of a walk make: as it is kept, or made again where that does not hold."""
    seq = unit.updates.seq(walk_id)
    kept = unit.walk_states.find(walk_id)
    return kept if kept is not None and kept.seq == seq else _made(unit, walk_id, seq)


def renew_state(office: Office, caller: Caller, walk_id: str) -> None:
    """Drop what is kept of the state of a walk, and make it again from the updates.

    Raises
    ------
    MissingError, RefusedError
        As `send` does.
    """
    caller.require("walks.write")
    with office.writing(caller) as unit:
        seen_walk(unit, caller, walk_id)
        unit.walks.lock(walk_id)
        unit.walk_states.drop(walk_id)
        unit.walk_states.put(walk_id, state_of(unit, walk_id))


def _made(unit: Unit, walk_id: str, seq: int) -> WalkState:
    state = merged(unit.updates.bodies(walk_id)) if seq else EMPTY
    return WalkState(seq, state, state_vector(state))
