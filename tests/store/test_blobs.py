"""Kept files: whole or not there, known by what is in them, checked when read."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from courtwright.errors import CallError, DamagedError, StoreError
from courtwright.store.blobs import Blobs, FolderBlobs, blobs_at, digest, named


@pytest.fixture(params=["folder", "memory"])
def blobs(request: pytest.FixtureRequest, tmp_path: Path) -> Blobs:
    """Return a place for files: a folder, and one that fsspec speaks with."""
    return blobs_at(str(tmp_path / "files") if request.param == "folder" else f"memory://{tmp_path.name}")


# --- laws ---------------------------------------------------------------------------------------


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.binary(max_size=2000), max_size=8))
def test_what_is_put_is_got(blobs: Blobs, many: list[bytes]):
    """Any bytes, any number of times, under the name of what is in them."""
    names = [blobs.put(data) for data in [*many, *many]]
    assert names == [digest(data) for data in [*many, *many]]
    assert [blobs.get(name) for name in names] == [*many, *many]
    assert all(blobs.has(name) for name in names)


def test_a_file_is_on_the_disk_before_it_has_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Bytes are flushed, then named, then the names of the folders are flushed: in this order."""
    seen: list[str] = []
    flush, name = os.fsync, Path.replace

    def fsync(handle: int) -> None:
        kind = "folder" if os.path.isdir(f"/proc/self/fd/{handle}") else "file"  # noqa: PTH112 – a handle, no path
        seen.append(kind)
        flush(handle)

    def replace(self: Path, target: Path) -> Path:
        seen.append("name")
        return name(self, target)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(Path, "replace", replace)
    FolderBlobs(tmp_path / "files").put(b"a photo")
    assert seen == ["file", "name", "folder", "folder"]


def test_a_file_that_cannot_be_named_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A failure just before the name: no half file."""

    def fail(self: Path, target: Path) -> Path:
        raise OSError(5, "Input/output error")

    blobs = FolderBlobs(tmp_path / "files")
    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(StoreError) as told:
        blobs.put(b"a photo")
    assert told.value.problem.id == "store.disk"
    assert [path for path in (tmp_path / "files").rglob("*") if path.is_file()] == []


def test_what_a_crash_left_half_is_tidied_and_the_rest_stays(tmp_path: Path):
    """Only half-written files go, and not those that somebody may be writing now."""
    blobs = FolderBlobs(tmp_path / "files")
    kept = blobs.put(b"a photo")
    half = tmp_path / "files" / kept[:2] / "tmp123.half"
    half.write_bytes(b"a ph")
    written = dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC)
    os.utime(half, (written.timestamp(), written.timestamp()))
    assert blobs.tidy(written) == 0
    assert blobs.tidy(written + dt.timedelta(seconds=1)) == 1
    assert not half.exists()
    assert blobs.get(kept) == b"a photo"


def test_a_damaged_file_is_mended_by_putting_it_again(tmp_path: Path):
    """The name is there, the bytes are not: put writes them."""
    blobs = FolderBlobs(tmp_path / "files")
    kept = blobs.put(b"a photo")
    (tmp_path / "files" / kept[:2] / kept).write_bytes(b"a ph")
    assert blobs.get(blobs.put(b"a photo")) == b"a photo"


def test_files_are_for_their_owner_alone(tmp_path: Path):
    """Others of the machine cannot read them."""
    kept = FolderBlobs(tmp_path / "files").put(b"a photo")
    assert (tmp_path / "files").stat().st_mode & 0o077 == 0
    assert (tmp_path / "files" / kept[:2] / kept).stat().st_mode & 0o077 == 0


# --- refusals -----------------------------------------------------------------------------------


def test_a_file_that_is_not_there_is_told(blobs: Blobs):
    """With the beginning of its name."""
    with pytest.raises(DamagedError) as told:
        blobs.get("0" * 64)
    assert told.value.problem.id == "store.blob-missing"
    assert not blobs.has("0" * 64)


@pytest.mark.parametrize(
    "name", ["", "..", "../../etc/passwd", "A" * 64, "0" * 63, "0" * 65, "0" * 63 + "/", "0" * 64 + "\n"]
)
def test_a_name_that_is_no_hash_is_part_of_no_path(blobs: Blobs, name: str):
    """Whoever sends it."""
    with pytest.raises(DamagedError):
        named(name)
    with pytest.raises(DamagedError):
        blobs.get(name)


def test_an_address_that_nothing_speaks_with_is_told():
    """A mistyped kind of address."""
    with pytest.raises(CallError):
        blobs_at("nowhere://bucket")


def test_a_folder_that_is_a_file_is_told(tmp_path: Path):
    """In words."""
    (tmp_path / "files").write_bytes(b"x")
    with pytest.raises(StoreError):
        FolderBlobs(tmp_path / "files")
