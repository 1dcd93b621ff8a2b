"""A file and its record are kept in one go: what fails in the midst is gone on with."""

from __future__ import annotations

import concurrent.futures
import hashlib
import io
import threading
import time

import pytest
from PIL import Image

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.walks import uploads
from courtwright.desk.walks.photos import files_of, preview
from courtwright.desk.walks.walks import begin_walk
from courtwright.desk.work.tasks import list_tasks
from courtwright.errors import BusyError, RefusedError, StoreError
from courtwright.says import say
from courtwright.store.unit import Unit
from tests.desk.jobs import CREW, ESTIMATOR, a_job


@pytest.fixture
def walk_id(office: Office) -> str:
    """Return the id of a new walk."""
    return begin_walk(office, ESTIMATOR, a_job(office))[0].id


@pytest.fixture
def photo() -> bytes:
    """Return a small photo."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (10, 90, 30)).save(out, "PNG")
    return out.getvalue()


def announced(office: Office, walk_id: str, data: bytes) -> str:
    """Return the id of an upload."""
    sha256 = hashlib.sha256(data).hexdigest()
    found = uploads.announce(
        office, ESTIMATOR, walk_id, sha256=sha256, size_bytes=len(data), name="a.png", kind="photo"
    )
    assert found.upload is not None
    return found.upload.id


def test_what_fails_in_the_midst_of_keeping_leaves_no_record_and_can_be_gone_on_with(
    office: Office, walk_id: str, photo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All bytes are there, no photo is; asked again with nothing more to send, it is kept."""
    id = announced(office, walk_id, photo)

    def full(unit: Unit, sha256: str, size: int) -> None:
        raise StoreError(say("store.full"))

    with monkeypatch.context() as patch:
        patch.setattr(Unit, "keep_put", full)
        with pytest.raises(StoreError):
            uploads.append(office, ESTIMATOR, id, 0, photo)
    found = uploads.progress(office, ESTIMATOR, id)
    assert (found.offset, found.is_complete) == (len(photo), False)
    with office.reading() as unit:
        assert not files_of(unit, walk_id)
    assert uploads.append(office, ESTIMATOR, id, len(photo), b"").is_complete
    assert office.store.parts.size(id) == 0


def test_a_photo_that_is_whole_has_its_small_copies_asked_for_once(
    office: Office, walk_id: str, photo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One task, also when somebody asks for a copy before it is made."""
    monkeypatch.setattr("courtwright.desk.walks.photos._WAIT_S", 0.0)
    done = uploads.append(office, ESTIMATOR, announced(office, walk_id, photo), 0, photo)
    assert done.kept is not None
    with pytest.raises(BusyError):
        preview(office, ESTIMATOR, done.kept.id, 320)
    tasks = list_tasks(office, ESTIMATOR, about=done.kept.id).items
    assert [(task.kind, task.state) for task in tasks] == [("photo", "waiting")]


def test_who_asks_for_a_small_copy_keeps_no_thread_from_others(
    office: Office, walk_id: str, photo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some wait; one more is told at once to come again."""
    monkeypatch.setattr("courtwright.desk.walks.photos._WAITING", threading.BoundedSemaphore(1))
    monkeypatch.setattr("courtwright.desk.walks.photos._WAIT_S", 1.0)
    kept = uploads.append(office, ESTIMATOR, announced(office, walk_id, photo), 0, photo).kept
    assert kept is not None

    def ask() -> float:
        began = time.monotonic()
        with pytest.raises(BusyError):
            preview(office, ESTIMATOR, kept.id, 320)
        return time.monotonic() - began

    with concurrent.futures.ThreadPoolExecutor() as pool:
        took = sorted(pool.map(lambda _: ask(), range(2)))
    assert took[0] < 0.9 < took[1]


def test_two_of_one_upload_at_once(office: Office, walk_id: str, photo: bytes) -> None:
    """While one request appends, another is told to come again."""
    id = announced(office, walk_id, photo)
    with office.store.parts.held(id), pytest.raises(BusyError):
        uploads.append(office, ESTIMATOR, id, 0, photo)


def test_a_customer_uploads_nothing(office: Office, walk_id: str) -> None:
    """Whoever comes by the link of an offer sees no walk."""
    customer = Caller("link:x", "customer", offer_id="x")
    with pytest.raises(RefusedError):
        uploads.announce(office, customer, walk_id, sha256="0" * 64, size_bytes=1, name="a", kind="photo")
    assert uploads.announce(office, CREW, walk_id, sha256="0" * 64, size_bytes=1, name="a", kind="photo").is_new
