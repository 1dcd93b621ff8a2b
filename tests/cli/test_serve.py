"""The command ``serve``, as a program."""

from __future__ import annotations

import json
import os
import signal
import socket
import stat
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from courtwright.api.built import is_built

PROGRAM = Path(sys.executable).with_name("courtwright")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """Return a data folder that is not there yet."""
    return tmp_path / "new" / "data"


@pytest.fixture
def served(data: Path) -> Iterator[subprocess.Popen[str]]:
    """Give the service running on a free port; killed when a test leaves it."""
    call = [PROGRAM, "serve", "--json", "--port", "0", "--data", data]
    with subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        yield process
        process.kill()


def _refused(*options: object, **environment: str) -> tuple[int, str]:
    call = [PROGRAM, "serve", *map(str, options)]
    done = subprocess.run(
        call, capture_output=True, text=True, check=False, env={**os.environ, **environment}, timeout=30
    )
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    return done.returncode, done.stderr


def test_it_serves_until_it_is_told_to_stop(served: subprocess.Popen[str], data: Path):
    """It says where, answers there, keeps its files from other users, and leaves with 0 on SIGTERM."""
    assert served.stdout is not None
    told = "".join(iter(served.stdout.readline, "}\n")) + "}"
    ready = json.loads(told)
    address = ready["address"]
    assert ready["link"].startswith(f"{address}/")
    with urllib.request.urlopen(f"{address}/api/openapi.json") as answer:
        assert json.load(answer)["info"]["title"] == "courtwright"
    assert stat.S_IMODE(data.stat().st_mode) == 0o700
    assert {stat.S_IMODE(f.stat().st_mode) & 0o077 for f in data.rglob("*")} == {0}
    served.send_signal(signal.SIGTERM)
    assert served.wait(15) == 0


def test_it_says_when_it_has_no_screens(data: Path):
    """Whoever reads the terminal learns it there, and not from an empty page; with screens nothing is said."""
    call = [PROGRAM, "serve", "--port", "0", "--data", data]
    with subprocess.Popen(call, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        told = [process.stdout.readline(), process.stdout.readline()]
        process.send_signal(signal.SIGTERM)
        told += process.stdout.readlines()
        assert process.wait(15) == 0
    assert ("Without screens" in "".join(told)) == (not is_built())


def test_a_taken_port_is_a_wrong_call(data: Path):
    """In words, on one line, before anything is made."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        code, told = _refused("--port", taken.getsockname()[1], "--data", data)
    assert code == 2
    assert "is taken" in told
    assert told.count("\n") == 1


def test_wrong_settings_are_a_wrong_call(data: Path):
    """From the command or the environment, in the reader's language."""
    assert _refused("--host", "0.0.0.0", "--data", data)[0] == 2
    code, told = _refused("--data", data, "--lang", "es", COURTWRIGHT_PORT="x")
    assert code == 2
    assert "un puerto es un número entero" in told
    assert not data.exists()


def test_a_data_folder_that_cannot_be_used_is_told(tmp_path: Path):
    """A file in its place."""
    (tmp_path / "file").touch()
    code, told = _refused("--port", 0, "--data", tmp_path / "file")
    assert code == 2
    assert "the data folder cannot be used" in told
