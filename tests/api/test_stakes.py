"""The stake-out of a new surface over the web, in one life of the service with a real worker."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import time
import uuid
import zipfile
from typing import Any

import pytest
from fastapi.testclient import TestClient

from courtwright.desk.office import Office
from tests.api.test_answers import app_of
from tests.desk.demo_walk import a_walk
from tests.desk.jobs import a_job
from tests.desk.kinds.demo import BARE, demo


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


def done(client: TestClient, task: str) -> dict[str, Any]:
    until = time.monotonic() + 60.0
    while (found := client.get(f"/api/tasks/{task}").json())["state"] in ("waiting", "running"):
        assert time.monotonic() < until
        time.sleep(0.05)
    return found


# --- laws ---------------------------------------------------------------------------------------


def test_a_stake_out_is_asked_for_made_and_taken_away(office: Office) -> None:
    """202 with the place of the files; there a zip to be saved, and nothing before it is made."""
    walk = a_walk(office, a_job(office), demo())
    with TestClient(app_of(office, workers=1)) as client:
        begun = client.post(f"/api/walks/{walk}/stakes", json={"pad": "lower", "least_mm": 50, "layout": "least"})
        assert (begun.status_code, begun.json()["kind"], begun.json()["about"]) == (202, "stakes", walk)
        early = client.get(begun.headers["location"])
        assert early.status_code == 404 or early.content.startswith(b"PK")
        assert done(client, begun.json()["id"])["state"] == "done"
        files = client.get(begun.headers["location"])
    assert (files.status_code, files.headers["content-type"]) == (200, "application/zip")
    assert "attachment" in files.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(files.content)) as archive:
        assert sorted(archive.namelist()) == ["stakes.dxf", "stakes.xlsx"]


def test_why_there_is_none_is_told_by_its_task(office: Office) -> None:
    """In words, with what to do."""
    walk = a_walk(office, a_job(office), BARE)
    with TestClient(app_of(office, workers=1)) as client:
        begun = client.post(f"/api/walks/{walk}/stakes", json={"pad": "a"})
        told = done(client, begun.json()["id"])
        assert (told["state"], told["problem"]["status"]) == ("failed", 422)
        assert "no new surface" in told["problem"]["title"]
        assert client.get(begun.headers["location"]).status_code == 404


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"pad": ""},
        {"pad": "a" * 201},
        {"pad": "a", "slope_min_pct": -1},
        {"pad": "a", "slope_max_pct": 21},
        {"pad": "a", "least_mm": 0},
        {"pad": "a", "least_mm": "thick"},
        {"pad": "a", "layout": "two"},
        {"pad": "a", "points": [{"x_m": 1}]},
        {"pad": "a", "points": [{"x_m": 1e9, "y_m": 0}]},
        {"pad": "a", "points": [{"x_m": 1, "y_m": 1}] * 51},
        {"pad": "a", "stakes": 1},
    ],
)
def test_what_is_no_surface_is_refused(office: Office, body: dict[str, Any]) -> None:
    """Whether or not there is such a walk; nothing is begun."""
    with TestClient(app_of(office)) as client:
        assert client.post(f"/api/walks/{uuid.uuid4()}/stakes", json=body).status_code == 422
        assert client.get("/api/tasks").json()["items"] == []
