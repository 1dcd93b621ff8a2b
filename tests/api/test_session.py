"""Signing in: cookies, words, guesses, and how a session ends."""

from __future__ import annotations

from httpx2 import Response

from courtwright.api.csrf import csrf_token
from courtwright.store import tables
from tests.company import PASSWORD, Company, company, quick_passwords

__all__ = ["company", "quick_passwords"]

ANA = "ana@courts.example"


def _cookie(answer: Response) -> set[str]:
    return {part.strip() for part in answer.headers["set-cookie"].split(";")}


# --- cookies ------------------------------------------------------------------------------------


def test_under_https_the_cookie_is_bound_to_its_host_and_to_tls(company: Company) -> None:
    """``__Host-``, Secure, HttpOnly, SameSite=Strict, for the whole site and no other name."""
    company.set_up()
    answer = company.browser().sign_in(ANA)
    parts = _cookie(answer)
    assert next(iter(answer.headers["set-cookie"].split("="))) == "__Host-courtwright_session"
    assert {"Secure", "HttpOnly", "SameSite=strict", "Path=/", "Max-Age=7776000"} <= parts
    assert not any(part.lower().startswith("domain") for part in parts)


def test_without_https_the_cookie_has_its_plain_name(company: Company) -> None:
    """On this machine alone there may be no TLS: a Secure cookie would never come back."""
    company.set_up()
    browser = company.browser("http")
    answer = browser.sign_in(ANA)
    assert answer.headers["set-cookie"].startswith("courtwright_session=")
    assert "Secure" not in _cookie(answer)
    assert {"HttpOnly", "SameSite=strict"} <= _cookie(answer)
    assert browser.get("/api/session").status_code == 200


def test_a_cookie_that_a_neighbour_may_have_planted_is_not_read_under_https(company: Company) -> None:
    """Only the name that browsers guard counts."""
    head = company.set_up()
    token = head.cookies["__Host-courtwright_session"]
    other = company.browser()
    other.client.cookies.set("courtwright_session", token)
    assert other.get("/api/session").status_code == 401


def test_a_new_sign_in_has_a_new_token_and_ends_the_one_before(company: Company) -> None:
    """A token that somebody planted in a browser before the sign-in opens nothing afterwards."""
    head = company.set_up()
    planted = company.join(head, "crew", "mel")
    victim = company.browser()
    victim.client.cookies.set("__Host-courtwright_session", planted.cookies["__Host-courtwright_session"])
    answer = victim.sign_in(ANA)
    assert answer.status_code == 200
    assert answer.cookies["__Host-courtwright_session"] != planted.cookies["__Host-courtwright_session"]
    assert planted.get("/api/session").status_code == 401


def test_a_token_of_ones_own_making_opens_nothing(company: Company) -> None:
    """Well formed or not, a token that was never given is nobody's; nor does its hash open anything."""
    head = company.set_up()
    with company.office.reading() as unit:
        kept = unit.sessions.of(head.person["id"])[0].token_hash
    for token in ("", "a" * 43, "a" * 42, "a" * 5000, kept, kept[:43], "' OR 1=1 --", "%00", "\\x00" * 11):
        other = company.browser()
        answer = other.get("/api/session", headers={"Cookie": f"__Host-courtwright_session={token}"})
        assert (answer.status_code, answer.json()["code"]) == (401, "unknown-caller")


def test_tokens_are_kept_as_hashes_alone(company: Company) -> None:
    """Nothing in the database holds a token that opens something."""
    head = company.set_up()
    company.join(head, "crew", "mel")
    tokens = {head.cookies["__Host-courtwright_session"], head.word}
    with company.office.reading() as unit:
        for table in tables.METADATA.sorted_tables:
            for row in unit.connection.execute(table.select()):
                assert not any(token in str(value) for token in tokens for value in row), table.name


# --- a change comes from our own page -----------------------------------------------------------


WRONG_WORDS = (
    {},
    {"X-CSRF-Token": ""},
    {"X-CSRF-Token": "0" * 64},
    {"X-CSRF-Token": csrf_token("a" * 43)},
    {"X-CSRF-Token": "ñ"},
)


def test_a_change_without_the_word_is_refused(company: Company) -> None:
    """Missing, empty, made up, another session's, or no ASCII: nothing is changed."""
    head = company.set_up()
    for headers in WRONG_WORDS:
        raw = {name: value.encode() for name, value in headers.items()}
        answer = head.client.post("/api/jobs", json={"name": "x"}, headers=raw)
        assert (answer.status_code, answer.json()["code"]) == (403, "not-our-page"), headers
    assert head.get("/api/jobs").json()["items"] == []


FOREIGN = (
    {"Origin": "https://evil.example"},
    {"Origin": "http://courts.example"},
    {"Origin": "https://courts.example.evil.example"},
    {"Origin": "https://courts.example:8443"},
    {"Origin": "null"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
    {"Sec-Fetch-Site": "none"},
    {"Sec-Fetch-Site": "same-origin", "Origin": "https://evil.example"},
)


def test_a_change_from_another_page_is_refused_even_with_the_word(company: Company) -> None:
    """What the browser says of the page that asks is believed."""
    head, other = company.set_up(), company.browser()
    for headers in FOREIGN:
        change = head.send("POST", "/api/jobs", {"name": "x"}, headers=headers)
        entry = other.client.post("/api/session", json={"email": ANA, "password": PASSWORD}, headers=headers)
        assert (change.status_code, change.json()["code"]) == (403, "not-our-page"), headers
        assert (entry.status_code, entry.cookies) == (403, {}), headers


OURS = (
    {},
    {"Origin": "https://courts.example"},
    {"Origin": "https://courts.example:443"},
    {"Sec-Fetch-Site": "same-origin", "Origin": "https://COURTS.example"},
    {"Sec-Fetch-Site": "same-origin", "Origin": "null"},
)


def test_a_change_from_our_own_page_goes_through(company: Company) -> None:
    """With the word, and from a page that is ours as far as the browser tells."""
    head = company.set_up()
    for headers in OURS:
        assert head.send("POST", "/api/jobs", {"name": "x"}, headers=headers).status_code == 201, headers


def test_a_form_of_another_site_cannot_pass_for_json(company: Company) -> None:
    """What a plain form can send without asking is no JSON to us."""
    company.set_up()
    body = f'{{"email":"{ANA}","password":"{PASSWORD}"}}'
    answer = company.browser().client.post("/api/session", content=body, headers={"content-type": "text/plain"})
    assert answer.status_code == 422
    assert "set-cookie" not in answer.headers


# --- passwords ----------------------------------------------------------------------------------


def test_a_wrong_password_and_an_unknown_address_are_answered_alike(company: Company) -> None:
    """Nobody learns who works here: status, words and headers are the same, and so for who was withdrawn."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    head.send("POST", f"/api/people/{mel.person['id']}/withdraw", version=1)
    tries = [(ANA, "wrong wrong wrong"), ("nobody@courts.example", PASSWORD), ("mel@courts.example", PASSWORD)]
    answers = [company.browser().sign_in(email, password) for email, password in tries]
    assert {answer.status_code for answer in answers} == {401}
    assert len({answer.text for answer in answers}) == 1
    assert len({tuple(sorted(answer.headers)) for answer in answers}) == 1
    assert [one["what"] for one in head.get("/api/events").json()].count("sign-in-refused") == 3


def test_guessing_has_to_wait_longer_and_longer(company: Company) -> None:
    """Five tries are free, the next waits; while waiting even the right password is not looked at."""
    company.set_up()
    browser = company.browser()
    assert [browser.sign_in(ANA, "not this one either").status_code for _ in range(5)] == [401] * 5
    waits = list[int]()
    for _ in range(20):
        answer = browser.sign_in(ANA, "not this one either")
        if answer.status_code == 429:
            waits.append(int(answer.headers["retry-after"]))
            assert (browser.sign_in(ANA).status_code, answer.json()["code"]) == (429, "too-many")
            company.clock.ahead(seconds=waits[-1])
    assert waits == sorted(set(waits))
    assert 200 < waits[-1] < 900
    company.clock.ahead(minutes=15)
    assert browser.sign_in(ANA).status_code == 200


def test_somebody_who_signed_in_is_not_concerned_by_guesses(company: Company) -> None:
    """A stranger who guesses does not stop the work of who is in, and a link lets in who must wait."""
    head = company.set_up()
    other = company.browser()
    answers = [other.sign_in(ANA, "not this one either").status_code for _ in range(12)]
    assert 429 in answers
    assert head.send("POST", "/api/jobs", {"name": "x"}).status_code == 201


def test_who_finds_an_open_browser_may_not_guess_the_password_either(company: Company) -> None:
    """The password until now is guessed as slowly there as at the door."""
    head = company.set_up()
    wrong = {"old": "not this one either", "new": "seven grey geese at dawn"}
    answers = [head.send("POST", "/api/me/password", wrong).status_code for _ in range(12)]
    assert answers[:5] == [401] * 5
    assert 429 in answers


def test_a_changed_password_ends_every_other_session(company: Company) -> None:
    """The old one no longer holds, the new one does; this browser goes on under a new token."""
    head = company.set_up()
    other = company.browser()
    other.arrived(other.sign_in(ANA))
    before = head.cookies["__Host-courtwright_session"]
    answer = head.send("POST", "/api/me/password", {"old": PASSWORD, "new": "seven grey geese at dawn"})
    old_word, head.word = head.word, answer.json()["csrf_token"]
    assert answer.status_code == 200
    assert other.get("/api/session").status_code == 401
    assert head.cookies["__Host-courtwright_session"] != before
    assert head.word != old_word
    assert head.get("/api/session").status_code == 200
    assert company.browser().sign_in(ANA).status_code == 401
    assert company.browser().sign_in(ANA, "seven grey geese at dawn").status_code == 200


WRONG_CHANGES = (
    ("wrong wrong wrong", "seven grey geese at dawn", 401),
    (PASSWORD, "short", 422),
    (PASSWORD, "ana@courts.example", 422),
    (PASSWORD, "Level Courts", 422),
    (PASSWORD, "password123", 422),
)


def test_a_password_is_changed_by_who_knows_it_to_one_that_holds(company: Company) -> None:
    """Else nothing is changed, and this browser stays signed in."""
    head = company.set_up()
    for old, new, status in WRONG_CHANGES:
        assert head.send("POST", "/api/me/password", {"old": old, "new": new}).status_code == status, new
    assert head.get("/api/session").status_code == 200
    assert company.browser().sign_in(ANA).status_code == 200


# --- the end of a session -----------------------------------------------------------------------


def test_signing_out_ends_the_session_for_whoever_has_its_token(company: Company) -> None:
    """The cookie is taken back, and a copy of it opens nothing."""
    head = company.set_up()
    copy = company.browser()
    copy.client.cookies.set("__Host-courtwright_session", head.cookies["__Host-courtwright_session"])
    assert copy.get("/api/session").status_code == 200
    answer = head.send("DELETE", "/api/session")
    assert answer.status_code == 204
    assert "Max-Age=0" in _cookie(answer)
    assert copy.get("/api/session").status_code == 401


def test_a_session_that_nobody_uses_ends_after_two_weeks(company: Company) -> None:
    """Used within, it goes on; after 14 days without a use it does not."""
    head = company.set_up()
    for _ in range(3):
        company.clock.ahead(days=13)
        assert head.get("/api/session").status_code == 200
    company.clock.ahead(days=14)
    assert head.get("/api/session").status_code == 401


def test_a_session_ends_after_three_months_in_any_case(company: Company) -> None:
    """Use does not carry it beyond 90 days."""
    head = company.set_up()
    for _ in range(9):
        assert head.get("/api/session").status_code == 200
        company.clock.ahead(days=10)
    assert head.get("/api/session").status_code == 401


def test_reading_does_not_write_each_time(company: Company) -> None:
    """When a session was used is written down once an hour at most."""
    head = company.set_up()
    versions = list[int]()
    for _ in range(4):
        head.get("/api/jobs")
        with company.office.reading() as unit:
            versions.append(unit.sessions.of(head.person["id"])[0].version)
    company.clock.ahead(hours=1)
    head.get("/api/jobs")
    with company.office.reading() as unit:
        assert unit.sessions.of(head.person["id"])[0].version == versions[0] + 1
    assert len(set(versions)) == 1


def test_ones_own_sessions_are_listed_and_ended_and_nobody_elses(company: Company) -> None:
    """A lost phone is signed out from the desk; the session of another is as if there were none."""
    head = company.set_up()
    phone = company.browser()
    phone.arrived(phone.sign_in(ANA))
    mel = company.join(head, "crew", "mel")
    listed = head.get("/api/sessions").json()
    assert [one["is_this"] for one in listed] == [True, False]
    assert len(mel.get("/api/sessions").json()) == 1
    for one in listed:
        assert mel.send("DELETE", f"/api/sessions/{one['id']}").status_code == 404
    assert head.send("DELETE", f"/api/sessions/{listed[1]['id']}").status_code == 204
    assert phone.get("/api/session").status_code == 401
    assert len(head.get("/api/sessions").json()) == 1


# --- refusals -----------------------------------------------------------------------------------


NO_SIGN_IN = (
    {"email": ANA},
    {"email": ANA, "password": PASSWORD, "next": "//evil.example"},
    {"email": ANA, "password": "x" * 201},
    {"email": ANA, "password": "a\u0000b"},
    {"email": f"{ANA}\r\nSet-Cookie: a=b", "password": PASSWORD},
    {"email": ANA, "password": ["x"]},
)


def test_what_is_no_sign_in_is_told_without_the_password(company: Company) -> None:
    """Nobody is signed in, and the answer does not repeat what was typed."""
    company.set_up()
    for body in NO_SIGN_IN:
        answer = company.browser().client.post("/api/session", json=body)
        assert answer.status_code == 422, body
        assert PASSWORD not in answer.text
        assert "set-cookie" not in answer.headers
