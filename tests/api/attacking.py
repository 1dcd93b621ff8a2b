"""What attacks have in common: a client that says who it is, the app behind its door, and what it says to bytes."""

from __future__ import annotations

import contextlib
import hashlib
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from courtwright.desk.office import Office
from tests.api.running import Running, running
from tests.api.test_uploads import announce, append
from tests.api.walking import client_of, new_walk
from tests.company import Company
from tests.desk.jobs import a_job


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    """Return a client whose caller says who they are."""
    with client_of(office) as client:
        yield client


@pytest.fixture
def walk(client: TestClient, office: Office) -> str:
    """Return the address of a new walk."""
    return new_walk(client, a_job(office))


@pytest.fixture
def served(company: Company, tmp_path: Path) -> Iterator[Running]:
    """Give the app behind its door."""
    with running(company.app, tmp_path / "served") as server:
        yield server


def spoken(server: Running, sent: bytes) -> bytes:
    """Return all that the server says to some bytes, until it closes or has nothing more to say."""
    with socket.create_connection(server.place, timeout=20) as connection:
        connection.sendall(sent)
        said = connection.recv(65536)
        connection.settimeout(1.0)
        with contextlib.suppress(TimeoutError):
            while part := connection.recv(65536):
                said += part
    return said


def operations(app: Any) -> list[tuple[str, str, dict[str, Any]]]:
    """Return every operation of the schema: method, path, what it says of itself."""
    return [
        (method.upper(), path, told)
        for path, methods in app.openapi()["paths"].items()
        for method, told in methods.items()
    ]


def upload(client: TestClient, walk: str, data: bytes, name: str, kind: str) -> str:
    """Send a file whole, and return its hash."""
    url = announce(client, walk, data, name=name, kind=kind).headers["location"]
    assert append(client, url, 0, data).status_code == 204
    return hashlib.sha256(data).hexdigest()
