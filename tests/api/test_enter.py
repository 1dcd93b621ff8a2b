"""One-time links and their pages: looked at without harm, used once, and leading nowhere but home."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from courtwright.desk.people.entries import entry_for, first_entry
from courtwright.errors import MissingError
from tests.company import PASSWORD, Browser, Company, company, quick_passwords, token_in

__all__ = ["company", "quick_passwords"]

SET_UP = {"name": "Ana", "email": "ana@courts.example", "password": PASSWORD, "company": "Level Courts"}
NEW = "seven grey geese at dawn"


def _post(browser: Browser, url: str, **form: str):
    return browser.client.post(url, data=form)


# --- the first time -----------------------------------------------------------------------------


def test_the_first_link_sets_the_company_up(company: Company) -> None:
    """A page with a form; then the head is signed in, the company has its name, and the way leads home."""
    path = first_entry(company.office)
    browser = company.browser()
    assert 'name="company"' in browser.get(path).text
    done = _post(browser, "/enter", token=token_in(path), **SET_UP)
    assert (done.status_code, done.headers["location"]) == (303, "/")
    assert browser.get("/api/session").json()["person"]["role"] == "head"
    assert browser.get("/api/company").json()["name"] == "Level Courts"


def test_looking_at_a_link_uses_nothing_up(company: Company) -> None:
    """A preview of the link in a message may look as often as it likes, and gets no cookie."""
    path = first_entry(company.office)
    looks = [company.browser().get(path) for _ in range(3)]
    assert {look.status_code for look in looks} == {200}
    assert not any("set-cookie" in look.headers for look in looks)
    assert _post(company.browser(), "/enter", token=token_in(path), **SET_UP).status_code == 303


def test_a_later_start_lets_the_head_in(company: Company) -> None:
    """The head who has been so longest, by one button; the link of the start before no longer holds."""
    company.set_up()
    before, path = first_entry(company.office), first_entry(company.office)
    browser = company.browser()
    assert browser.get(before).status_code == 404
    assert "<form" in browser.get(path).text
    assert _post(browser, "/enter", token=token_in(path)).status_code == 303
    assert browser.get("/api/session").json()["person"]["name"] == "Ana"


def test_of_many_who_set_up_at_once_one_does(company: Company) -> None:
    """There is one head and one company; the others find the link used."""
    token = token_in(first_entry(company.office))

    def go(n: int) -> int:
        given = {**SET_UP, "email": f"ana{n}@courts.example", "token": token}
        return company.browser().client.post("/api/entry/set-up", json=given).status_code

    with ThreadPoolExecutor(6) as pool:
        done = list(pool.map(go, range(6)))
    assert done.count(200) == 1
    assert set(done) <= {200, 404, 409}
    with company.office.reading() as unit:
        assert (len(unit.people.all()), len(unit.company.all())) == (1, 1)


# --- a forgotten password -----------------------------------------------------------------------


def test_who_forgot_the_password_chooses_a_new_one_by_a_link(company: Company) -> None:
    """From the head or from the machine; every other session of theirs ends."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    made = head.send("POST", f"/api/people/{mel.person['id']}/entry")
    assert made.status_code == 201
    browser = company.browser()
    assert 'name="password"' in browser.get(made.json()["path"]).text
    assert _post(browser, "/enter", token=token_in(made.json()["path"]), password="short").status_code == 422
    assert _post(browser, "/enter", token=token_in(made.json()["path"]), password=NEW).status_code == 303
    assert browser.get("/api/session").json()["person"]["name"] == "mel"
    assert mel.get("/api/session").status_code == 401
    assert company.browser().sign_in("mel@courts.example", NEW).status_code == 200
    path = entry_for(company.office, "Mel@courts.example")
    assert _post(company.browser(), "/enter", token=token_in(path), password=PASSWORD).status_code == 303


def test_a_link_for_a_password_opens_nothing_else(company: Company) -> None:
    """Nor does it let in who does not choose one."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    token = token_in(head.send("POST", f"/api/people/{mel.person['id']}/entry").json()["path"])
    client = company.browser().client
    assert client.post("/api/entry/sign-in", json={"token": token}).status_code == 404
    assert client.post("/api/entry/set-up", json={"token": token, **SET_UP}).status_code == 404
    assert (
        client.post("/api/invitations/accept", json={"token": token, "name": "x", "password": NEW}).status_code == 404
    )
    assert client.post("/api/entry/look", json={"token": token}).json()["opens"] == "password"


def test_nobody_gets_a_link_for_who_is_not_there(company: Company) -> None:
    """The machine is told so; a withdrawn person's link no longer holds, and none is made."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    token = token_in(entry_for(company.office, "mel@courts.example"))
    head.send("POST", f"/api/people/{mel.person['id']}/withdraw", version=1)
    assert _post(company.browser(), "/enter", token=token, password=NEW).status_code == 404
    assert head.send("POST", f"/api/people/{mel.person['id']}/entry").status_code == 409
    with pytest.raises(MissingError):
        entry_for(company.office, "nobody@courts.example")


def test_the_link_of_the_machine_is_for_a_head(company: Company) -> None:
    """Who was head when it was printed and is so no longer is not let in by it."""
    head = company.set_up()
    bea = company.join(head, "head", "bea")
    token = token_in(first_entry(company.office))
    assert bea.send("PUT", f"/api/people/{head.person['id']}/role", {"role": "crew"}, version=1).status_code == 200
    assert _post(company.browser(), "/enter", token=token).status_code == 404


# --- the pages ----------------------------------------------------------------------------------


def test_what_was_typed_stays_and_is_text(company: Company) -> None:
    """A form with a mistake comes back with its words escaped, but for the password."""
    token = token_in(first_entry(company.office))
    evil = '"><script>alert(1)</script>'
    form = {**SET_UP, "company": evil, "name": "", "token": token}
    answer = company.browser().client.post("/enter", data=form, headers={"accept-language": "es-MX"})
    assert answer.status_code == 422
    assert "<script" not in answer.text
    assert "&quot;&gt;&lt;script&gt;" in answer.text
    assert PASSWORD not in answer.text
    assert 'lang="es"' in answer.text
    assert "Su nombre" in answer.text


def test_an_invitation_has_its_page(company: Company) -> None:
    """It says as what; name and password are asked for; the way leads home."""
    head = company.set_up()
    path = head.send("POST", "/api/invitations", {"role": "crew", "email": "mel@courts.example"}).json()["path"]
    browser = company.browser()
    shown = browser.get(path)
    assert shown.status_code == 200
    assert "mel@courts.example" in shown.text
    assert _post(browser, "/join", token=token_in(path), name="", password=PASSWORD).status_code == 422
    done = _post(browser, "/join", token=token_in(path), name="Mel", password=PASSWORD)
    assert (done.status_code, done.headers["location"]) == (303, "/")
    assert browser.get("/api/session").json()["person"]["role"] == "crew"
    assert browser.get(path).status_code == 404


def test_pages_are_kept_by_nobody_and_hold_no_script(company: Company) -> None:
    """Their address holds a token: no cache, no search, no word of it to other sites; nothing inline to forbid."""
    head = company.set_up()
    invited = head.send("POST", "/api/invitations", {"role": "crew", "email": "mel@courts.example"}).json()["path"]
    for path in (first_entry(company.office), invited, "/enter?token=x", "/join", "/enter"):
        page = company.browser().get(path)
        assert page.headers["cache-control"] == "no-store"
        assert page.headers["referrer-policy"] == "same-origin"
        assert page.headers["x-robots-tag"] == "noindex"
        assert page.headers["content-type"] == "text/html; charset=utf-8"
        assert not re.search(r"<script|<style|\son\w+=|\sstyle=|https?://", page.text)
    assert company.browser().get("/enter.css").headers["content-type"].startswith("text/css")
    assert company.browser().get("/enter.ttf").content[:4] == b"\x00\x01\x00\x00"


ELSEWHERE = ("//evil.example", "\\\\evil.example", "https://evil.example", "javascript:alert(1)", "/\\evil", "/jobs")


def test_no_link_leads_elsewhere(company: Company) -> None:
    """Whatever a link or a form says of where to go, the way leads home."""
    company.set_up()
    for place in ELSEWHERE:
        token = token_in(first_entry(company.office))
        client = company.browser().client
        assert place not in client.get("/enter", params={"token": token, "next": place}).text
        done = client.post("/enter", params={"next": place}, data={"token": token, "next": place})
        assert (done.status_code, done.headers["location"]) == (303, "/"), place


def test_links_that_do_not_hold_show_the_same_page(company: Company) -> None:
    """Unknown, used, expired, or for something else: nobody learns which, and nobody is signed in."""
    company.set_up()
    used = token_in(first_entry(company.office))
    assert _post(company.browser(), "/enter", token=used).status_code == 303
    pages, posts = [], []

    def go(*tokens: str) -> None:
        pages.extend(company.browser().client.get("/enter", params={"token": one}) for one in tokens)
        posts.extend(_post(company.browser(), "/enter", token=one) for one in tokens)

    go(used, "a" * 43, "", "\x00", "é" * 43)
    expired = token_in(first_entry(company.office))
    company.clock.ahead(minutes=15)
    go(expired)
    assert {one.status_code for one in (*pages, *posts)} == {404}
    assert len({one.text for one in (*pages, *posts)}) == 1
    assert not any("set-cookie" in one.headers for one in posts)


def test_a_form_comes_from_our_own_page(company: Company) -> None:
    """Another site cannot post a link of its own through somebody's browser; nor is anything but a form read."""
    company.set_up()
    token = token_in(first_entry(company.office))
    client = company.browser().client
    for headers in ({"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        answer = client.post("/enter", data={"token": token}, headers=headers)
        assert (answer.status_code, "set-cookie" in answer.headers) == (403, False)
    assert client.post("/enter", json={"token": token}).status_code == 400
    many = "&".join(f"a{n}=1" for n in range(21))
    form = {"content-type": "application/x-www-form-urlencoded"}
    for body in (many.encode(), b"token=\xff\xff"):
        assert client.post("/enter", content=body, headers=form).status_code in (400, 404)
    assert client.post("/enter", data={"token": token}).status_code == 303


@pytest.mark.parametrize("way", ["POST", "DELETE"])
def test_nobody_is_signed_in_or_out_from_another_page(company: Company, way: str) -> None:
    """A form or a script on somebody else's page neither signs in nor out."""
    browser = company.set_up()
    given = {"email": "ana@courts.example", "password": PASSWORD}
    refused = browser.send(way, "/api/session", given, headers={"Origin": "https://elsewhere.example"})
    assert refused.status_code == 403
    assert "set-cookie" not in refused.headers
    assert browser.get("/api/session").status_code == 200
