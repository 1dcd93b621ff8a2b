"""entry: the way back in for whoever lost the password, from the machine itself."""

from __future__ import annotations

import contextlib
import shutil
from pathlib import Path

import pytest
from tests.cli.test_commands import answer, run
from tests.store.full_job import add_person

from courtwright.desk.office import Office
from courtwright.desk.people.entries import entry_of
from courtwright.desk.places import open_places, places_in


@pytest.fixture
def data(sqlite_template: Path, tmp_path: Path) -> Path:
    """Return the data folder of an office with one person."""
    folder = tmp_path / "data"
    folder.mkdir()
    shutil.copy(sqlite_template, folder / "courtwright.sqlite")
    with contextlib.closing(open_places(places_in(folder))) as store:
        add_person(Office(store))
    return folder


def _email(data: Path) -> str:
    with contextlib.closing(open_places(places_in(data))) as store, store.reading() as unit:
        return unit.people.all()[0].email


def test_the_link_opens_the_choice_of_a_password(data: Path) -> None:
    """It begins with the address that people use, and the one made before no longer holds."""
    first, link = (
        answer("entry", _email(data), "--data", data, "--address", "https://courts.example.org/")["link"] for _ in "ab"
    )
    assert link.startswith("https://courts.example.org/enter?token=")
    with contextlib.closing(open_places(places_in(data))) as store:
        assert entry_of(Office(store), link.partition("=")[2]).opens == "password"
    assert first != link


def test_links_begin_as_those_of_the_service_do(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The service's own setting holds here too, and what is no address is refused before anything is made."""
    monkeypatch.setenv("COURTWRIGHT_ADDRESS", "https://courts.example.org")
    assert answer("entry", _email(data), "--data", data)["link"].startswith("https://courts.example.org/enter?")
    assert answer("entry", _email(data), "--data", data, "--address", "http://a:1")["link"].startswith("http://a:1/")
    assert "foo" in run("entry", _email(data), "--data", data, "--address", "foo", code=2).stderr


def test_nobody_and_no_store_are_told(data: Path, tmp_path: Path) -> None:
    """An address that nobody has, and a folder without a store: words, and nothing is made."""
    assert "there is no such person" in run("entry", "nobody@example.org", "--data", data, code=3).stderr
    assert "none" in run("entry", "nobody@example.org", "--data", tmp_path / "none", code=2).stderr
    assert not (tmp_path / "none").exists()
