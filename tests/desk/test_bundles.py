"""Who may take a job or the store out, and that it is written down when somebody did."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from courtwright.desk.caller import THE_MACHINE, Caller, Kind
from courtwright.desk.keeping.bundles import back_up, check_store, export, find_job, pack_job, unpack_job
from courtwright.desk.office import Office
from courtwright.errors import RefusedError
from tests.store.full_job import add_job, add_person, id_of

DOES: dict[str, Callable[[Office, Caller, Path], object]] = {
    "pack": lambda office, caller, _: pack_job(office, caller, id_of("greens"), io.BytesIO()),
    "unpack": lambda office, caller, _: unpack_job(office, caller, io.BytesIO(b"x"), "x"),
    "back up": lambda office, caller, place: back_up(office, caller, place / "b.zip"),
    "check": lambda office, caller, _: check_store(office, caller),
    "export": lambda office, caller, place: export(office, caller, place / "all"),
}


@pytest.fixture
def full(office: Office) -> Office:
    """Return an office with one person and one whole job."""
    add_person(office)
    add_job(office)
    return office


def test_what_leaves_is_written_down(full: Office, tmp_path: Path):
    """By whom, what, and which job; in words of a kind, without names."""
    estimator = Caller(id_of("ana"), "estimator")
    out = io.BytesIO()
    assert find_job(full, estimator, "greens road") == id_of("greens")
    pack_job(full, estimator, id_of("greens"), out)
    unpack_job(full, estimator, out, "job.zip")
    back_up(full, THE_MACHINE, tmp_path / "b.zip")
    export(full, THE_MACHINE, tmp_path / "all")
    with full.reading() as unit:
        events = [(one.who, one.what, one.about) for one in unit.changes.events(most=9)]
    assert events[1:] == [
        (id_of("ana"), "packed", id_of("greens")),
        ("machine", "backed-up", ""),
        ("machine", "exported", ""),
    ]


@pytest.mark.parametrize("does", DOES)
@pytest.mark.parametrize("kind", ["crew", "customer"])
def test_crew_and_customers_take_nothing_out(full: Office, tmp_path: Path, does: str, kind: Kind):
    """Nor bring anything in."""
    with pytest.raises(RefusedError):
        DOES[does](full, Caller(id_of("ana"), kind), tmp_path)
    assert not (tmp_path / "b.zip").exists()
    assert not (tmp_path / "all").exists()


@pytest.mark.parametrize("does", ["back up", "check", "export"])
@pytest.mark.parametrize("kind", ["head", "estimator"])
def test_the_whole_store_leaves_by_the_machine_alone(full: Office, tmp_path: Path, does: str, kind: Kind):
    """A backup holds the hashes of passwords."""
    with pytest.raises(RefusedError):
        DOES[does](full, Caller(id_of("ana"), kind), tmp_path)
