"""What the how-tos tell people to type does what they say."""

from __future__ import annotations

import re
import shlex
import ssl
import subprocess
from pathlib import Path

import httpx2
import pytest
from click.testing import CliRunner

from courtwright.api.settings import PREFIX, read_settings
from courtwright.cli.serve import command
from tests.api.running import running
from tests.api.small_app import small_app

HOW_TO = Path(__file__).resolve().parents[2] / "docs" / "how-to"
PAGES = ["office-network.md", "rented-server.md", "container.md", "courtwright.service", "Containerfile"]


def _typed(page: str, program: str) -> list[list[str]]:
    """Return the commands of a page that begin with a program."""
    text = (HOW_TO / page).read_text(encoding="utf-8")
    return [shlex.split(line) for line in re.findall(rf"^    ({program} .+)$", text, re.MULTILINE)]


def test_the_offices_own_certificate_works(tmp_path: Path):
    """Typed as it stands: a client that trusts the authority reaches the service by both names, by https."""
    commands = _typed("office-network.md", "openssl")
    assert len(commands) == 3
    for call in commands:
        subprocess.run(call, cwd=tmp_path, check=True, capture_output=True)
    trusting = ssl.create_default_context(cafile=str(tmp_path / "office-ca.pem"))
    trusting.verify_flags |= ssl.VERIFY_X509_STRICT
    files = {"certificate": tmp_path / "cert.pem", "key": tmp_path / "key.pem"}
    with running(small_app(), tmp_path, **files) as server:

        def ask(name: str) -> httpx2.Response:
            headers = {"host": f"{name}:{server.port}"}
            with httpx2.Client(verify=trusting, headers=headers) as client:
                return client.get(f"https://127.0.0.1:{server.port}/who", extensions={"sni_hostname": name})

        for name in ("courts.local", "192.168.1.10"):
            assert (ask(name).status_code, ask(name).text.split()[0]) == (200, "https")
        with pytest.raises(httpx2.ConnectError, match="not valid for"):
            ask("elsewhere.example")


@pytest.mark.parametrize("page", PAGES)
def test_every_setting_that_a_page_names_is_one(page: str):
    """Variables with their values are read by the service; options are those of the command."""
    text = (HOW_TO / page).read_text(encoding="utf-8")
    given = dict(re.findall(rf"\b({PREFIX}[A-Z_]+)=([^\s\"`]+)", text))
    settings = read_settings({}, {**given, f"{PREFIX}WITHOUT_TLS": "yes"}, Path("data"), 2)
    assert settings.address in (given.get(f"{PREFIX}ADDRESS"), "")
    options = {word for call in _typed(page, "courtwright serve") for word in call if word.startswith("--")}
    told = CliRunner().invoke(command, ["--help"]).output
    assert {option for option in options if option not in told} == set()


def test_the_proxy_of_the_page_sets_what_the_service_believes():
    """Set, not added to: what a caller sends under these names does not arrive."""
    text = (HOW_TO / "rented-server.md").read_text(encoding="utf-8")
    assert "proxy_set_header X-Forwarded-Proto $scheme;" in text
    assert "proxy_set_header X-Forwarded-For $remote_addr;" in text
    assert "proxy_add_x_forwarded_for" not in text
