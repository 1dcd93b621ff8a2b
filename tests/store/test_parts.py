"""What has come of a file: on the disk part by part, by one writer at a time, and never more than was announced."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import uuid
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import BusyError, InputError, StoreError
from courtwright.store.parts import OffsetError, Parts

ID = str(uuid.UUID(int=1))


@pytest.fixture
def parts(tmp_path: Path) -> Parts:
    """Return an empty folder of parts, which is not there yet."""
    return Parts(tmp_path / "deep" / "parts")


# --- laws ---------------------------------------------------------------------------------------


@given(pieces=st.lists(st.binary(max_size=50), max_size=8))
def test_pieces_one_after_the_other_are_the_whole(
    tmp_path_factory: pytest.TempPathFactory, pieces: list[bytes]
) -> None:
    """Size, hash and content are those of the pieces joined; a piece at any other offset changes nothing."""
    parts, whole = Parts(tmp_path_factory.mktemp("parts")), b""
    for piece in pieces:
        with pytest.raises(OffsetError) as wrong:
            parts.append(ID, len(whole) + 1, piece, 10_000)
        assert wrong.value.kept == len(whole)
        whole += piece
        assert parts.append(ID, len(whole) - len(piece), piece, 10_000) == len(whole)
    assert (parts.size(ID), parts.read(ID)) == (len(whole), whole)
    if pieces:
        assert parts.sha256(ID) == hashlib.sha256(whole).hexdigest()
    parts.drop(ID)
    assert (parts.size(ID), parts.read(ID)) == (0, b"")


def test_every_part_is_on_the_disk_before_it_is_acknowledged(parts: Parts, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each append ends with the disk told to keep it, when all of it is written; the first with its name, too."""
    synced: list[object] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        found = os.fstat(handle)
        synced.append("folder" if stat.S_ISDIR(found.st_mode) else found.st_size)
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    parts.append(ID, 0, b"abc", 10)
    parts.append(ID, 3, b"de", 10)
    assert synced == [3, "folder", 5]


def test_old_parts_are_found(parts: Parts, tmp_path: Path) -> None:
    """Those to which nothing came since a time, and no other file of the folder; none where there is no folder."""
    assert parts.older(1e12) == []
    parts.append(ID, 0, b"abc", 10)
    other = str(uuid.UUID(int=2))
    parts.append(other, 0, b"abc", 10)
    folder = tmp_path / "deep" / "parts"
    (folder / "note.txt").write_text("x")
    os.utime(folder / f"{ID}.part", (1000, 1000))
    assert parts.older(2000) == [ID]
    assert parts.older(1e12) == sorted([ID, other])


# --- refusals -----------------------------------------------------------------------------------


def test_more_than_was_announced_changes_nothing(parts: Parts) -> None:
    """What was there before stays."""
    parts.append(ID, 0, b"abc", 4)
    with pytest.raises(InputError):
        parts.append(ID, 3, b"de", 4)
    assert parts.read(ID) == b"abc"


def test_one_writer_at_a_time(parts: Parts) -> None:
    """A second is told to come again; once the first has ended, also by an exception, it may."""
    with parts.held(ID):
        with pytest.raises(BusyError), parts.held(ID):
            pass
        with parts.held(str(uuid.UUID(int=2))):
            pass
    with pytest.raises(KeyError), parts.held(ID):
        raise KeyError
    with parts.held(ID):
        pass


def test_a_full_disk_is_told_and_what_was_there_is_gone_on_with(parts: Parts, monkeypatch: pytest.MonkeyPatch) -> None:
    """The part is not acknowledged; its size tells where to go on."""
    parts.append(ID, 0, b"abc", 10)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(StoreError) as told:
            parts.append(ID, 3, b"de", 10)
    assert told.value.problem.id == "store.full"
    kept = parts.size(ID)
    assert parts.append(ID, kept, b"defgh"[kept - 3 :], 10) == 8
    assert parts.read(ID) == b"abcdefgh"


@pytest.mark.parametrize("id", ["", "../x", "a/b", "x" * 36, ID + "x"])
def test_what_is_no_id_is_no_path(parts: Parts, id: str) -> None:
    """A fault of ours, before any file is touched."""
    with pytest.raises(ValueError, match="no id"):
        parts.append(id, 0, b"x", 10)
