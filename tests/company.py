"""A company at its browsers: whoever sets it up, joins it and signs in, as their pages would."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response

from courtwright.api.app import create_app
from courtwright.desk.office import Office
from courtwright.desk.people import passwords
from courtwright.desk.people.entries import first_entry

PASSWORD = "nine red kites over a wall"


@dataclass
class Clock:
    """A clock that goes on a second with each look, and further when told to."""

    at: dt.datetime = dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        self.at += dt.timedelta(seconds=1)
        return self.at

    def ahead(self, **span: float) -> None:
        """Let so much time pass."""
        self.at += dt.timedelta(**span)


@dataclass
class Browser:
    """One browser with its cookies, whose page sends the word along."""

    client: TestClient
    word: str = ""
    person: dict[str, Any] = field(default_factory=dict[str, Any])

    def get(self, url: str, **more: Any) -> Response:
        """Read."""
        return self.client.get(url, **more)

    def send(self, method: str, url: str, json: Any = None, *, version: int | None = None, **more: Any) -> Response:
        """Change something, as our page does."""
        headers = {"X-CSRF-Token": self.word, **more.pop("headers", {})}
        if version is not None:
            headers["If-Match"] = f'"{version}"'
        if json is not None:
            more["json"] = json
        return self.client.request(method, url, headers=headers, **more)

    def arrived(self, answer: Response) -> Browser:
        """Keep what the answer to whoever arrives says."""
        assert answer.status_code in (200, 201), answer.text
        self.word, self.person = answer.json()["csrf_token"], answer.json()["person"]
        return self

    def sign_in(self, email: str, password: str = PASSWORD) -> Response:
        """Sign in."""
        return self.client.post("/api/session", json={"email": email, "password": password})

    @property
    def cookies(self) -> dict[str, str]:
        """The cookies by name."""
        return {cookie.name: cookie.value or "" for cookie in self.client.cookies.jar}


@dataclass
class Company:
    """The app of an office, with its clock."""

    office: Office
    clock: Clock
    app: FastAPI

    def browser(self, scheme: str = "https") -> Browser:
        """Return a browser that has never been here."""
        return Browser(TestClient(self.app, base_url=f"{scheme}://courts.example", follow_redirects=False))

    def set_up(self, **more: str) -> Browser:
        """Set the company up, and return the head's browser."""
        given = {"name": "Ana", "email": "ana@courts.example", "password": PASSWORD, "company": "Level Courts", **more}
        browser = self.browser()
        token = token_in(first_entry(self.office))
        return browser.arrived(browser.client.post("/api/entry/set-up", json={"token": token, **given}))

    def join(self, head: Browser, role: str, name: str) -> Browser:
        """Let somebody join, and return their browser."""
        made = head.send("POST", "/api/invitations", {"role": role, "email": f"{name}@courts.example"})
        assert made.status_code == 201, made.text
        given = {"token": token_in(made.json()["path"]), "name": name, "password": PASSWORD}
        browser = self.browser()
        return browser.arrived(browser.client.post("/api/invitations/accept", json=given))


def token_in(path: str) -> str:
    """Return the token of a link."""
    return path.partition("token=")[2]


@pytest.fixture
def quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords that cost little to hash."""
    monkeypatch.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))


@pytest.fixture
def company(office: Office, quick_passwords: None) -> Company:
    """Open an office that nobody has set up."""
    clock = Clock()
    at_it = replace(office, now=clock)
    return Company(at_it, clock, create_app(at_it))
