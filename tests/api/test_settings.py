"""Settings: read once, from the command, the environment or the defaults; what is wrong is told all at once."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest

from courtwright.api.settings import PREFIX, Settings, read_settings, setting_says
from courtwright.errors import CallError
from courtwright.trade.words import render, texts

DATA = Path("data")


def _read(environment: dict[str, str] | None = None, cores: int = 2, **options: Any) -> Settings:
    return read_settings(options, environment or {}, DATA, cores)


def _wrong(environment: dict[str, str] | None = None, **options: Any) -> str:
    with pytest.raises(CallError) as told:
        _read(environment, **options)
    return render(told.value.problem)


def test_the_defaults_serve_this_machine_alone():
    """Without a word: loopback, a file for the database, nobody believed, a worker less than cores."""
    settings = _read()
    assert settings == Settings(data=DATA, workers=1)
    assert settings.is_loopback
    assert settings.places.database == "sqlite:///data/courtwright.sqlite"
    assert (settings.places.files, settings.proxies) == ("data/blobs", ())
    assert settings.log_file == DATA / "log" / "service.jsonl"
    assert _read(log="-").log_file is None
    assert _read(cores=8).workers == 7


def test_the_command_wins_over_the_environment_and_that_over_the_defaults():
    """An empty variable counts as none."""
    environment = {"COURTWRIGHT_PORT": "9000", "COURTWRIGHT_HOST": "", "COURTWRIGHT_WITHOUT_TLS": "yes", "HOME": "x"}
    settings = _read(environment)
    assert (settings.port, settings.host, settings.without_tls) == (9000, "127.0.0.1", True)
    assert _read(environment, port="9001").port == 9001


def test_lists_are_read_with_commas():
    """Names and proxies."""
    settings = _read({"COURTWRIGHT_NAMES": "a.example, *.b.example,"}, proxies="127.0.0.1,10.0.0.0/8,::1")
    assert settings.names == ("a.example", "*.b.example")
    assert settings.proxies == ("127.0.0.1", "10.0.0.0/8", "::1")
    assert _read(address="https://courts.example.org/").address == "https://courts.example.org"


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.5", "office.local"])
def test_the_network_needs_https_or_a_word(host: str):
    """Listening beyond this machine without a certificate is refused unless it is meant."""
    assert host in _wrong(host=host)
    assert _read(host=host, without_tls=True).host == host
    assert _read(host=host, certificate="c.pem", key="k.pem").certificate == Path("c.pem")


@pytest.mark.parametrize("host", ["127.0.0.1", "127.8.8.8", "::1", "localhost"])
def test_this_machine_needs_none(host: str):
    """What only this machine can reach is not read on the way."""
    assert _read(host=host).is_loopback


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("port", "x"), ("port", "70000"), ("port", "-1"), ("workers", "0"), ("stop_within_s", "1e9"),
        ("proxies", "*"), ("proxies", "0.0.0.0/0"), ("proxies", "::/0"), ("proxies", "proxy.example"),
        ("names", "a.example:80"), ("names", "a/b"), ("address", "courts.example.org"), ("address", "ftp://a.example"),
        ("address", "https://a.example/path"), ("without_tls", "perhaps"), ("host", "a\nb"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_with_its_name(name: str, value: str):
    """As it was typed, with what was expected."""
    told = _wrong(**{name: value})
    assert f"--{name.replace('_', '-')}" in told
    assert value in told
    assert _wrong({PREFIX + name.upper(): value}) == told


def test_everything_wrong_is_told_at_once():
    """Not only the first; a variable that is no setting, too."""
    told = _wrong({"COURTWRIGHT_PROT": "1"}, port="x", workers="y")
    assert all(word in told for word in ("--port", "--workers", "COURTWRIGHT_PROT"))
    assert "--certificate and --key" in _wrong(certificate="c.pem")


def test_a_password_in_the_database_address_is_not_shown():
    """Printing the settings, as a fault might, gives nothing away."""
    assert "secret" not in repr(_read(database="postgresql+psycopg://ana:secret@db/courts"))


def test_every_setting_says_what_it_is_for():
    """In both languages; the command's help is made of it."""
    for one in dataclasses.fields(Settings):
        assert setting_says(one.name).id in texts()
