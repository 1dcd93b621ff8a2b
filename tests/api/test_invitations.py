"""Invitations: joined by once, by one person, within a week."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor

import pytest

from courtwright.store import tables
from tests.company import PASSWORD, Browser, Company, company, quick_passwords, token_in

__all__ = ["company", "quick_passwords"]


def _invited(head: Browser, role: str = "crew", email: str = "mel@courts.example") -> str:
    answer = head.send("POST", "/api/invitations", {"role": role, "email": email})
    assert answer.status_code == 201
    return token_in(answer.json()["path"])


def _accept(company: Company, token: str, **more: str) -> int:
    given = {"token": token, "name": "Mel", "password": PASSWORD, **more}
    return company.browser().client.post("/api/invitations/accept", json=given).status_code


def test_who_is_invited_joins_as_what_they_were_invited_as(company: Company) -> None:
    """With the role and the address of the invitation, whatever they would like."""
    head = company.set_up()
    token = _invited(head, "estimator", " Mel@Courts.example ")
    browser = company.browser()
    given = {"token": token, "name": "Mel", "password": PASSWORD, "language": "es", "units": "metric"}
    refused = browser.client.post("/api/invitations/accept", json={**given, "role": "head"})
    assert refused.status_code == 422
    browser.arrived(browser.client.post("/api/invitations/accept", json=given))
    kept = {"role": "estimator", "email": "mel@courts.example", "language": "es", "units": "metric"}
    assert {name: browser.person[name] for name in kept} == kept
    assert browser.get("/api/jobs").status_code == 200


def test_the_link_is_shown_once_and_kept_nowhere(company: Company) -> None:
    """The list, the history, the events and every table hold no token."""
    head = company.set_up()
    token = _invited(head)
    shown = head.get("/api/invitations")
    assert [one["email"] for one in shown.json()] == ["mel@courts.example"]
    assert token not in shown.text
    assert token not in head.get("/api/events").text
    with company.office.reading() as unit:
        rows = [row for table in tables.METADATA.sorted_tables for row in unit.connection.execute(table.select())]
        kept = unit.invitations.waiting()[0]
    assert not any(token in str(value) for row in rows for value in row)
    assert kept.token_hash not in repr(kept)
    with company.office.reading() as unit:
        changes = unit.changes.of("invitation", kept.id, most=9)
    assert changes[0].after is not None
    assert changes[0].after["token_hash"] is True


def test_links_that_do_not_hold_are_answered_alike(company: Company) -> None:
    """Unknown, used, withdrawn, replaced by a later one, expired: nobody learns which."""
    head = company.set_up()
    used, replaced = _invited(head), _invited(head, email="b@c.example")
    assert _accept(company, used) == 201
    withdrawn = _invited(head, email="b@c.example")
    id = head.get("/api/invitations").json()[0]["id"]
    assert head.send("POST", f"/api/invitations/{id}/withdraw").status_code == 200
    expired = _invited(head, email="d@c.example")
    given = {"name": "Mel", "password": PASSWORD}
    answers = [
        company.browser().client.post("/api/invitations/accept", json={"token": token, **given})
        for token in (used, replaced, withdrawn, "a" * 43, "", "x" * 200, "' OR 1=1 --")
    ]
    company.clock.ahead(days=7)
    answers.append(company.browser().client.post("/api/invitations/accept", json={"token": expired, **given}))
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.text for answer in answers}) == 1
    assert not any("set-cookie" in answer.headers for answer in answers)


def test_of_many_who_use_one_link_at_once_one_joins(company: Company) -> None:
    """The others find that it no longer holds."""
    head = company.set_up()
    token = _invited(head)
    with ThreadPoolExecutor(6) as pool:
        done = list(pool.map(lambda _: _accept(company, token), range(6)))
    assert sorted(set(done) - {404, 409}) == [201]
    assert done.count(201) == 1
    assert len(head.get("/api/people").json()["items"]) == 2


def test_an_address_is_one_persons(company: Company) -> None:
    """Who is of the company, or was, is not invited again; the head is told to bring them back."""
    head = company.set_up()
    for email in ("ana@courts.example", " ANA@courts.example"):
        answer = head.send("POST", "/api/invitations", {"role": "crew", "email": email})
        assert (answer.status_code, answer.json()["at"]) == (409, "email")


def test_an_invitation_that_was_used_cannot_be_withdrawn(company: Company) -> None:
    """The person can."""
    head = company.set_up()
    token = _invited(head)
    id = head.get("/api/invitations").json()[0]["id"]
    assert _accept(company, token) == 201
    assert head.send("POST", f"/api/invitations/{id}/withdraw").status_code == 409
    assert head.get("/api/invitations").json() == []


def test_a_weak_password_leaves_the_link_as_it_was(company: Company) -> None:
    """It is told, nobody joins, and the link still holds."""
    token = _invited(company.set_up())
    assert [_accept(company, token, password=one) for one in ("short", "mel@courts.example", "aaaaaaaaaaaa")] == [
        422
    ] * 3
    assert _accept(company, token) == 201


NO_ADDRESS = ("", "mel", "mel@", "@x.example", "a b@x.example", "a@b@c", "a@x.example\r\nBcc: b", "a\x00@b", "a" * 201)


def test_what_is_no_address_is_refused(company: Company) -> None:
    """Nobody is invited."""
    head = company.set_up()
    for email in NO_ADDRESS:
        assert head.send("POST", "/api/invitations", {"role": "crew", "email": email}).status_code == 422, email
    assert head.get("/api/invitations").json() == []


def test_no_log_line_holds_a_secret(company: Company, caplog: pytest.LogCaptureFixture) -> None:
    """Tokens, passwords and addresses are written to no log, at any level."""
    caplog.set_level(logging.DEBUG)
    head = company.set_up()
    token = _invited(head)
    assert _accept(company, token) == 201
    assert company.browser().sign_in("mel@courts.example", "not this one either").status_code == 401
    told = "\n".join(
        f"{record.getMessage()}" for record in caplog.records if not record.name.startswith(("httpx", "httpcore"))
    )
    for secret in (token, PASSWORD, "mel@courts.example", head.word, *head.cookies.values()):
        assert secret not in told
