"""People: who sees whom, who changes whom, and that somebody always heads the company."""

from __future__ import annotations

import json

import pytest

from courtwright.desk.caller import RIGHTS
from tests.company import Browser, Company, company, quick_passwords

__all__ = ["company", "quick_passwords"]


def _url(browser: Browser, *rest: str) -> str:
    return "/".join((f"/api/people/{browser.person['id']}", *rest))


def _version(head: Browser, who: Browser) -> int:
    return head.get(_url(who)).json()["version"]


# --- who sees what ------------------------------------------------------------------------------


def test_everybody_sees_names_and_roles_the_head_alone_sees_addresses(company: Company) -> None:
    """Besides one's own; in the list and one by one."""
    head = company.set_up()
    crew = company.join(head, "crew", "mel")
    assert {one["email"] for one in head.get("/api/people").json()["items"]} == {
        "ana@courts.example",
        "mel@courts.example",
    }
    seen = {one["name"]: one for one in crew.get("/api/people").json()["items"]}
    assert (seen["Ana"]["email"], seen["Ana"]["role"]) == (None, "head")
    assert seen["mel"]["email"] == "mel@courts.example"
    assert crew.get(_url(head)).json()["email"] is None
    assert "password" not in head.get("/api/people").text


def test_history_tells_of_a_password_only_that_there_is_one(company: Company) -> None:
    """The head reads who became what and when; nobody reads a hash."""
    head = company.set_up()
    crew = company.join(head, "crew", "mel")
    crew.send("POST", "/api/me/password", {"old": "nine red kites over a wall", "new": "seven grey geese at dawn"})
    told = head.get(_url(crew, "history")).json()
    assert [one["after"].get("password_hash") for one in told] == [True, True]
    assert "argon2" not in head.get(_url(crew, "history")).text
    assert crew.get(_url(crew, "history")).status_code == 403


# --- changes ------------------------------------------------------------------------------------


def test_a_role_counts_from_the_next_request_on(company: Company) -> None:
    """Up and down, without signing in again."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    assert mel.send("POST", "/api/jobs", {"name": "x"}).status_code == 403
    assert head.send("PUT", _url(mel, "role"), {"role": "estimator"}, version=1).status_code == 200
    assert mel.send("POST", "/api/jobs", {"name": "x"}).status_code == 201
    assert head.send("PUT", _url(mel, "role"), {"role": "crew"}, version=2).status_code == 200
    assert mel.send("POST", "/api/jobs", {"name": "x"}).status_code == 403


def test_a_role_is_changed_as_it_was_seen(company: Company) -> None:
    """Without If-Match 428, with an old one 412."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    assert head.send("PUT", _url(mel, "role"), {"role": "estimator"}).status_code == 428
    assert head.send("PUT", _url(mel, "role"), {"role": "estimator"}, version=7).status_code == 412
    assert mel.get("/api/me").json()["role"] == "crew"


def test_one_changes_ones_own_name_language_and_units(company: Company) -> None:
    """As one saw it, and nothing else of oneself."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    done = mel.send("PATCH", "/api/me", {"name": "Mel Ruiz", "language": "es", "units": "metric"}, version=1)
    assert (done.status_code, done.headers["etag"]) == (200, '"2"')
    assert (done.json()["name"], done.json()["language"], done.json()["units"]) == ("Mel Ruiz", "es", "metric")
    assert mel.send("PATCH", "/api/me", {"name": "M"}, version=1).status_code == 412
    for more in ({"role": "head"}, {"email": "x@y.example"}, {"password_hash": "x"}, {"id": head.person["id"]}):
        assert mel.send("PATCH", "/api/me", {"name": "M", **more}, version=2).status_code == 422
    assert mel.get("/api/me").json()["role"] == "crew"


def test_who_is_withdrawn_is_out_at_once_and_can_be_brought_back(company: Company) -> None:
    """In every browser; back, they sign in anew, and no old cookie opens anything."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    phone = company.browser()
    phone.arrived(phone.sign_in("mel@courts.example"))
    assert head.send("POST", _url(mel, "withdraw"), version=1).status_code == 200
    assert [one.get("/api/session").status_code for one in (mel, phone)] == [401, 401]
    assert company.browser().sign_in("mel@courts.example").status_code == 401
    assert [one["name"] for one in head.get("/api/people").json()["items"]] == ["Ana"]
    assert [one["name"] for one in head.get("/api/people?withdrawn=true").json()["items"]] == ["mel"]
    assert head.send("POST", _url(mel, "bring-back"), version=2).status_code == 200
    assert [one.get("/api/session").status_code for one in (mel, phone)] == [401, 401]
    assert company.browser().sign_in("mel@courts.example").status_code == 200


# --- somebody heads the company -----------------------------------------------------------------


def test_the_last_head_remains(company: Company) -> None:
    """Neither role nor person goes until there is another head; and nobody withdraws themselves."""
    head = company.set_up()
    assert head.send("PUT", _url(head, "role"), {"role": "crew"}, version=1).status_code == 409
    assert head.send("POST", _url(head, "withdraw"), version=1).status_code == 409
    bea = company.join(head, "head", "bea")
    assert head.send("POST", _url(head, "withdraw"), version=1).status_code == 409
    assert head.send("PUT", _url(head, "role"), {"role": "crew"}, version=1).status_code == 200
    assert bea.send("PUT", _url(bea, "role"), {"role": "crew"}, version=1).status_code == 409
    assert bea.get("/api/me").json()["role"] == "head"


def test_a_withdrawn_head_does_not_count(company: Company) -> None:
    """A head who is out cannot stand in for the last one."""
    head = company.set_up()
    bea = company.join(head, "head", "bea")
    assert head.send("POST", _url(bea, "withdraw"), version=1).status_code == 200
    assert head.send("PUT", _url(head, "role"), {"role": "crew"}, version=1).status_code == 409


# --- who may not --------------------------------------------------------------------------------


@pytest.mark.parametrize("role", ["estimator", "crew"])
def test_nobody_raises_themselves_or_reaches_for_what_is_the_heads(company: Company, role: str) -> None:
    """Every way to more rights, tried by who has fewer, is refused and changes nothing."""
    head = company.set_up()
    mel, own = company.join(head, role, "mel"), company.join(head, "crew", "other")
    tries = [
        ("PUT", _url(mel, "role"), {"role": "head"}),
        ("PUT", _url(head, "role"), {"role": "crew"}),
        ("POST", _url(head, "withdraw"), None),
        ("POST", _url(own, "withdraw"), None),
        ("POST", _url(own, "bring-back"), None),
        ("POST", _url(head, "entry"), None),
        ("POST", _url(mel, "entry"), None),
        ("POST", "/api/invitations", {"role": "head", "email": "m@courts.example"}),
        ("PUT", "/api/company", {"name": "Mine"}),
        ("PUT", "/api/company/logo", None),
        ("DELETE", "/api/company/logo", None),
    ]
    for method, url, body in tries:
        assert mel.send(method, url, body, version=1).status_code == 403, url
    for url in ("/api/invitations", "/api/events", _url(mel, "history")):
        assert mel.get(url).status_code == 403, url
    roles = {one["name"]: one["role"] for one in head.get("/api/people").json()["items"]}
    assert roles == {"Ana": "head", "mel": role, "other": "crew"}
    assert head.get("/api/company").json()["name"] == "Level Courts"


def test_a_stranger_reaches_nothing(company: Company) -> None:
    """Without a session every route of people and company answers 401."""
    head = company.set_up()
    other = company.browser()
    reads = [
        "session",
        "sessions",
        "people",
        "me",
        "invitations",
        "company",
        "company/logo",
        "company/history",
        "events",
    ]
    for url in (*(f"/api/{name}" for name in reads), _url(head), _url(head, "history")):
        answer = other.get(url)
        assert (answer.status_code, answer.headers["www-authenticate"]) == (401, "Session"), url
    assert other.send("POST", _url(head, "withdraw"), version=1).status_code == 401


def test_the_rights_of_the_head_are_the_heads_and_the_machines() -> None:
    """What concerns people is written down for them alone."""
    for right in ("people.write", "company.write", "events.read"):
        assert RIGHTS[right] == {"head", "machine"}


NO_NAME = ("", "   ", "a\nb", "a\r\nSet-Cookie: x=y", "a\x00b", "a\x1b[31m", "x" * 201, "\ud800")


def test_a_name_is_one_line_that_says_something(company: Company) -> None:
    """No header, log line or page can be made of a name."""
    head = company.set_up()
    for name in NO_NAME:
        body, headers = json.dumps({"name": name}), {"content-type": "application/json"}
        answer = head.send("PATCH", "/api/me", version=1, content=body, headers=headers)
        assert answer.status_code == 422, repr(name)
    assert head.get("/api/me").json()["name"] == "Ana"
