"""Sessions of people and of customers, as the store keeps them."""

from __future__ import annotations

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import pytest
from argon2 import PasswordHasher
from sqlalchemy import insert

from courtwright.desk import people, sessions
from courtwright.desk.caller import THE_MACHINE, Caller
from courtwright.desk.guesses import Guesses
from courtwright.desk.office import Office
from courtwright.desk.passwords import hashed_password, is_outdated
from courtwright.errors import BusyError, ConflictError, RefusedError, StaleError, StoreError, UnknownCallerError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.rows.people import Person
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
    """Neither after its time nor after it was withdrawn."""
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


def test_two_heads_who_withdraw_each_other_leave_one(office: Office) -> None:
    """Whoever comes second is told that nobody would head the company."""
    clock = Clock()
    for round in range(5):
        at = replace(office, now=clock)
        one, two = (_person(at, f"{name}{round}") for name in ("ana", "bea"))
        with at.reading() as unit:
            others = [head for head in unit.people.heads() if head.id not in (one.id, two.id)]
        for other in others:
            people.withdraw_person(at, THE_MACHINE, other.id, other.version)

        def withdraw(pair: tuple[Person, Person], at: Office = at) -> bool:
            try:
                people.withdraw_person(at, Caller(pair[0].id, "head"), pair[1].id, 1)
            except (ConflictError, StaleError):
                return False
            return True

        with ThreadPoolExecutor(2) as pool:
            done = list(pool.map(withdraw, [(one, two), (two, one)]))
        with at.reading() as unit:
            assert len(unit.people.heads()) == 1
        assert sorted(done) == [False, True]
