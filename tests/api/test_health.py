"""Live and ready: told without a sign-in, and what is not ready by its part."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import text

from courtwright.api.app import create_app
from courtwright.desk.office import Office
from courtwright.desk.work.runner import Runner
from courtwright.errors import StoreError
from courtwright.says import say

READY, LIVE = "/api/health/ready", "/api/health/live"


@pytest.fixture
def client(office: Office) -> Iterator[TestClient]:
    with TestClient(create_app(office)) as client:
        yield client


def missing(client: TestClient) -> list[str]:
    """Return the parts that are not ready."""
    answer = client.get(READY)
    if answer.status_code == 200:
        assert answer.json() == {"ready": True}
        return []
    assert (answer.status_code, answer.json()["code"]) == (503, "not-ready")
    assert answer.headers["retry-after"]
    assert all(place["says"] for place in answer.json()["places"])
    return [place["at"] for place in answer.json()["places"]]


# --- laws ---------------------------------------------------------------------------------------


def test_a_service_that_works_is_live_and_ready(client: TestClient, office: Office) -> None:
    """Nothing is written by asking."""
    for _ in range(3):
        assert client.get(LIVE).json() == {"live": True}
        assert missing(client) == []
    with office.reading() as unit:
        assert unit.changes.events(most=9) == ()


def test_workers_live_as_long_as_the_app(office: Office) -> None:
    """Ready while they do, not ready when nobody takes up long work."""
    with TestClient(create_app(office, workers=1)) as client:
        assert missing(client) == []
        runner: Runner = client.app.state.runner
        assert runner.is_alive
        runner.stop()
        assert missing(client) == ["workers"]
        assert client.get(LIVE).status_code == 200
    assert not runner.is_alive


# --- refusals -----------------------------------------------------------------------------------


def test_a_service_without_its_files_is_live_and_not_ready(client: TestClient, tmp_path: Path) -> None:
    """The folder is gone: nothing could be kept."""
    shutil.rmtree(tmp_path / "files")
    assert missing(client) == ["files"]
    assert client.get(LIVE).status_code == 200


def test_a_database_of_a_newer_release_is_not_ready(client: TestClient, office: Office) -> None:
    """It was brought on while this release ran."""
    with office.writing_as("machine") as unit:
        unit.connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    assert missing(client) == ["database"]


def test_a_database_that_may_only_be_read_is_not_ready(client: TestClient, office: Office) -> None:
    """Reading alone does not tell."""
    engine = office.store.engine
    name = engine.dialect.name
    if name == "sqlite":
        from sqlalchemy import event

        event.listen(engine, "checkout", lambda connection, *_: connection.execute("PRAGMA query_only = ON"))
    else:
        with engine.connect() as connection:
            database = connection.execute(text("SELECT current_database()")).scalar_one()
            connection.execute(text(f'ALTER DATABASE "{database}" SET default_transaction_read_only = on'))
            connection.commit()
        engine.dispose()
    assert missing(client) == ["database"]


def test_what_is_not_ready_is_told_without_secrets(
    client: TestClient, office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the reader's language; no address, no password, no path."""

    def broken(*_: object) -> None:
        raise StoreError(say("store.read-only"), where="postgresql://ana:secret@db/x")

    monkeypatch.setattr("courtwright.desk.keeping.health.check_database", broken)
    english, spanish = (client.get(READY, headers={"Accept-Language": one}).text for one in ("en", "es"))
    assert english != spanish
    assert "secret" not in english
    assert "/" not in english.replace("about:blank", "")


def test_live_needs_no_database(client: TestClient, office: Office) -> None:
    """It answers while the database does not."""
    office.store.engine.dispose()
    at = time.monotonic()
    assert client.get(LIVE).status_code == 200
    assert time.monotonic() - at < 1.0
