"""Sessions of people and of customers, as the store keeps them."""

from __future__ import annotations

import contextlib
import datetime as dt
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import pytest
from argon2 import PasswordHasher
from sqlalchemy import insert

from courtwright.desk.caller import THE_MACHINE, Caller
from courtwright.desk.office import Office
from courtwright.desk.people import passwords, people, sessions
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.passwords import hashed_password, is_outdated
from courtwright.errors import BusyError, ConflictError, RefusedError, StaleError, StoreError, UnknownCallerError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.rows.people import People, Person
from tests.company import PASSWORD, Clock, quick_passwords

__all__ = ["quick_passwords"]


def _person(office: Office, name: str, role: str = "head", password_hash: str | None = None) -> Person:
    with office.writing(THE_MACHINE) as unit:
        return unit.people.add(
            office.new_id(),
            name=name,
            email=f"{name}@courts.example",
            role=role,
            language="en",
            units="us",
            password_hash=password_hash,
        )


@dataclass(frozen=True)
class Link:
    """A customer's link, as whoever makes one has it."""

    id: str
    expires_at: dt.datetime
    offer_id: str


def _link(office: Office, holds: dt.timedelta) -> Link:
    """Keep a job, a walk, an offer and a link to it."""
    at = office.now()
    kept = {"version": 1, "made_at": at, "changed_at": at}
    ids = {name: office.new_id() for name in ("job", "walk", "offer", "link")}
    link = Link(ids["link"], at + holds, ids["offer"])
    with office.writing(THE_MACHINE) as unit:
        unit.jobs.add(ids["job"], name="x", address="", note="", customer=None, stage="offer", units="us", call={})
        run = unit.connection.execute
        run(insert(tables.walk).values(id=ids["walk"], job_id=ids["job"], name="first", **kept))
        run(
            insert(tables.offer).values(
                id=ids["offer"], job_id=ids["job"], walk_id=ids["walk"], number=1, revision=1, state="sent",
                language="en", issued_on=at.date(), request={}, says={}, **kept,
            )
        )  # fmt: skip
        run(
            insert(tables.link).values(
                id=link.id, offer_id=link.offer_id, token_hash=link.id.zfill(64), scope="read",
                expires_at=link.expires_at, made_by="machine", **kept,
            )
        )  # fmt: skip
    return link


def _come(office: Office, link: Link) -> str:
    with office.writing(THE_MACHINE) as unit:
        return sessions.start_for_link(unit, office, link)[0]


# --- customers ----------------------------------------------------------------------------------


def test_a_customer_sees_one_offer_and_is_no_person(office: Office) -> None:
    """The session tells which link and which offer, and opens nothing of the company's."""
    link = _link(office, dt.timedelta(days=30))
    token = _come(office, link)
    customer = sessions.customer_of(office, token)
    assert (customer.who, customer.kind, customer.offer_id) == (f"link:{link.id}", "customer", link.offer_id)
    with pytest.raises(UnknownCallerError):
        sessions.caller_of(office, token)
    with pytest.raises(RefusedError):
        sessions.own_sessions(office, customer)


def test_a_person_is_no_customer(office: Office) -> None:
    """A person's token opens no offer."""
    ana = _person(office, "ana")
    with office.writing(THE_MACHINE) as unit:
        token, _ = sessions.start(unit, office, ana.id)
    assert sessions.caller_of(office, token).who == ana.id
    with pytest.raises(UnknownCallerError):
        sessions.customer_of(office, token)


def test_a_customers_session_holds_no_longer_than_the_link(office: Office) -> None:
    """Neither after its time, be that moved, nor after it was withdrawn."""
    clock = Clock()
    office = replace(office, now=clock)
    short, withdrawn = _link(office, dt.timedelta(days=2)), _link(office, dt.timedelta(days=30))
    tokens = [_come(office, link) for link in (short, withdrawn)]
    assert [sessions.customer_of(office, token).kind for token in tokens] == ["customer", "customer"]
    with office.writing(THE_MACHINE) as unit:
        unit.connection.execute(
            tables.link.update().where(tables.link.c.id == withdrawn.id).values(withdrawn_at=clock())
        )
    with pytest.raises(UnknownCallerError):
        sessions.customer_of(office, tokens[1])
    earlier = _link(office, dt.timedelta(days=30))
    token = _come(office, earlier)
    with office.writing(THE_MACHINE) as unit:
        unit.connection.execute(tables.link.update().where(tables.link.c.id == earlier.id).values(expires_at=clock()))
    with pytest.raises(UnknownCallerError):
        sessions.customer_of(office, token)
    clock.ahead(days=2)
    with pytest.raises(UnknownCallerError):
        sessions.customer_of(office, tokens[0])


# --- people -------------------------------------------------------------------------------------


def test_a_hash_of_older_costs_is_made_anew_at_the_next_sign_in(office: Office, quick_passwords: None) -> None:
    """Nobody has to choose a new password for it."""
    older = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1).hash(PASSWORD)
    ana = _person(office, "ana", password_hash=older)
    arrival = sessions.sign_in(office, Guesses(), "ana@courts.example", PASSWORD)
    assert arrival.person.id == ana.id
    assert arrival.person.password_hash != older
    assert not is_outdated(arrival.person.password_hash or "")
    assert sessions.sign_in(office, Guesses(), "ana@courts.example", PASSWORD).person.id == ana.id


def test_no_secret_shows_in_what_is_printed(office: Office, quick_passwords: None) -> None:
    """Records that land in a log by mistake show no token and no hash."""
    _person(office, "ana", password_hash=hashed_password(PASSWORD))
    arrival = sessions.sign_in(office, Guesses(), "ana@courts.example", PASSWORD)
    shown = repr(arrival)
    assert arrival.token not in shown
    assert arrival.session.token_hash not in shown
    assert "argon2" not in shown


def test_who_reads_is_served_when_nothing_can_be_written(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    """That a session is in use is not written down then, and the reading goes on."""
    ana = _person(office, "ana")
    clock = Clock()
    office = replace(office, now=clock)
    with office.writing(THE_MACHINE) as unit:
        token, _ = sessions.start(unit, office, ana.id)
    clock.ahead(hours=2)

    def full(_self: object, _id: str) -> None:
        raise BusyError(say("store.busy"))

    monkeypatch.setattr("courtwright.store.rows.sessions.Sessions.touch", full)
    assert issubclass(BusyError, StoreError)
    assert sessions.caller_of(office, token).who == ana.id


def test_two_heads_who_withdraw_each_other_leave_one(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever comes second is told that nobody would head the company, even if both looked before either acted."""
    one, two = _person(office, "ana"), _person(office, "bea")
    both, look = threading.Barrier(2), People.heads

    def look_and_wait(rows: People, *, lock: bool = False) -> tuple[Person, ...]:
        found = look(rows, lock=lock)
        with contextlib.suppress(threading.BrokenBarrierError):
            both.wait(0.5)
        return found

    def withdraw(pair: tuple[Person, Person]) -> bool:
        try:
            people.withdraw_person(office, Caller(pair[0].id, "head"), pair[1].id, 1)
        except (ConflictError, StaleError):
            return False
        return True

    monkeypatch.setattr(People, "heads", look_and_wait)
    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(withdraw, [(one, two), (two, one)]))
    monkeypatch.undo()
    with office.reading() as unit:
        assert len(unit.people.heads()) == 1
    assert sorted(done) == [False, True]


def test_a_session_of_somebody_withdrawn_opens_nothing(office: Office) -> None:
    """Even one that was begun in the same moment as they were withdrawn."""
    _person(office, "ana")
    bea = _person(office, "bea")
    people.withdraw_person(office, THE_MACHINE, bea.id, 1)
    with office.writing(THE_MACHINE) as unit:
        token, _ = sessions.start(unit, office, bea.id)
    with pytest.raises(UnknownCallerError):
        sessions.caller_of(office, token)


class _Counting:
    """A hasher that counts what it is asked to do."""

    def __init__(self, inner: PasswordHasher) -> None:
        self.inner, self.times = inner, 0

    def hash(self, password: str) -> str:
        """Count, and hash."""
        self.times += 1
        return self.inner.hash(password)

    def verify(self, password_hash: str, password: str) -> bool:
        """Count, and compare."""
        self.times += 1
        return self.inner.verify(password_hash, password)


def test_an_unknown_address_costs_as_much_as_a_wrong_password(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    """One piece of hashing each, so that the time tells nobody who works here; withdrawn or without a password too."""
    _person(office, "ana", password_hash=PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD))
    _person(office, "new")
    out = _person(office, "out", password_hash="no hash at all")
    people.withdraw_person(office, THE_MACHINE, out.id, 1)
    counting = _Counting(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    monkeypatch.setattr(passwords, "_HASHER", counting)
    for n, name in enumerate(("ana", "new", "out", "nobody"), start=1):
        with pytest.raises(UnknownCallerError):
            sessions.sign_in(office, Guesses(), f"{name}@courts.example", "not this one either")
        assert counting.times == n, name


def test_a_password_that_is_changed_meanwhile_lets_nobody_in(
    office: Office, monkeypatch: pytest.MonkeyPatch, quick_passwords: None
) -> None:
    """Whoever began to sign in with the old one before the change does not come in after it."""
    ana = _person(office, "ana", password_hash=hashed_password(PASSWORD))
    new = "seven grey geese at dawn"

    def change_then_tell(password: str, password_hash: str | None) -> bool:
        monkeypatch.undo()
        people.change_password(office, Caller(ana.id, "head"), Guesses(), PASSWORD, new)
        return True

    monkeypatch.setattr(sessions, "is_right", change_then_tell)
    with pytest.raises(UnknownCallerError):
        sessions.sign_in(office, Guesses(), "ana@courts.example", PASSWORD)
    with office.reading() as unit:
        assert len(unit.sessions.of(ana.id)) == 1
