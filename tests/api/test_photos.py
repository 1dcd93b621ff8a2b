"""Photos over the web: given out as they came, in small without a place, and never as a page."""

from __future__ import annotations

import hashlib
import io
import threading
import uuid
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from courtwright.desk.office import Office
from courtwright.desk.walks import photos
from courtwright.desk.work.runner import Runner
from courtwright.desk.workers import WorkerPool
from tests.api.test_uploads import announce, append
from tests.api.walking import client_of, new_walk, who
from tests.desk.jobs import a_job

ORIENTATION, GPS = 0x0112, 0x8825


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    """Return a pool of one worker process."""
    with WorkerPool(1, 30.0, warm=("photo",)) as made:
        yield made


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
def worked(office: Office, pool: WorkerPool) -> Iterator[None]:
    """Do long work while the test runs."""
    runner = Runner(office, pool, 1)
    runner.start(is_alone=True)
    yield
    runner.stop()


def turned() -> bytes:
    """Return a photo that lies on its side and tells where it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[2] = (41.0, 12.0, 0.0)
    out = io.BytesIO()
    Image.effect_noise((2000, 1500), 60).convert("RGB").save(out, "JPEG", exif=exif)
    return out.getvalue()


def upload(client: TestClient, walk: str, data: bytes, name: str = "IMG 1.jpg") -> str:
    """Return the address of a photo that was sent."""
    url = announce(client, walk, data, name=name).headers["location"]
    assert append(client, url, 0, data).status_code == 204
    return f"/api/photos/{client.get(url).json()['kept_id']}"


def test_a_photo_is_given_out_as_it_came_and_never_as_a_page(client: TestClient, walk: str) -> None:
    """The very bytes, their own type, to be saved under a name that breaks no header; kept by the caller for good."""
    data = turned()
    url = upload(client, walk, data, name='a";\u00f1 \u202e.html')
    found = client.get(url)
    assert found.content == data
    headers = found.headers
    assert (headers["content-type"], headers["x-content-type-options"]) == ("image/jpeg", "nosniff")
    assert headers["content-disposition"].startswith('attachment; filename="a___ _.html"; filename*=UTF-8')
    assert "sandbox" in headers["content-security-policy"]
    assert headers["cache-control"] == "private, max-age=31536000, immutable"
    assert headers["etag"] == f'"{hashlib.sha256(data).hexdigest()}"'
    assert client.get(url, headers={"If-None-Match": headers["etag"]}).status_code == 304


@pytest.mark.usefixtures("worked")
def test_the_small_copy_is_upright_and_tells_nothing_but_its_pixels(client: TestClient, walk: str) -> None:
    """Both sizes, made by a worker; the place is known of the photo and in neither copy; the same tag again is 304."""
    url = upload(client, walk, turned())
    facts = client.get(f"{walk}/photos").json()["items"][0]["facts"]
    assert (facts["width_px"], facts["height_px"], facts["has_location"]) == (1500, 2000, True)
    for size, upright in (("320", (240, 320)), ("1600", (1200, 1600))):
        found = client.get(f"{url}/preview", params={"size": size})
        assert found.status_code == 200, found.text
        with Image.open(io.BytesIO(found.content)) as picture:
            assert picture.size == upright
            assert not picture.getexif()
        tag = {"If-None-Match": found.headers["etag"]}
        assert client.get(f"{url}/preview", params={"size": size}, headers=tag).status_code == 304
    assert client.get(f"{url}/preview", params={"size": "999"}).status_code == 422


def test_a_small_copy_that_nobody_makes_is_told(client: TestClient, walk: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without workers 503, to be asked again."""
    monkeypatch.setattr(photos, "_WAIT_S", 0.1)
    url = upload(client, walk, turned())
    answer = client.get(f"{url}/preview")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "1")


@pytest.mark.usefixtures("worked")
def test_a_photo_that_breaks_off_is_kept_and_has_no_small_copy(client: TestClient, walk: str) -> None:
    """Its head is good and its pixels end too soon: evidence all the same; the copy is refused in words, twice."""
    url = upload(client, walk, turned()[:200_000])
    assert client.get(url).status_code == 200
    for _ in range(2):
        answer = client.get(f"{url}/preview")
        assert answer.status_code == 422, answer.text


def test_withdrawn_is_not_gone(client: TestClient, walk: str) -> None:
    """A withdrawn photo is in the other list, can still be read, and is brought back."""
    data = turned()
    url = upload(client, walk, data)
    assert client.post(f"{url}/withdraw").status_code == 428
    gone = client.post(f"{url}/withdraw", headers={"If-Match": '"1"'})
    assert gone.json()["withdrawn_at"] is not None
    assert client.get(f"{walk}/photos").json()["items"] == []
    assert len(client.get(f"{walk}/photos", params={"withdrawn": True}).json()["items"]) == 1
    assert client.get(url).status_code == 200
    assert client.post(f"{url}/bring-back", headers={"If-Match": '"1"'}).status_code == 412
    assert client.post(f"{url}/bring-back", headers={"If-Match": gone.headers["etag"]}).status_code == 200
    client.post(f"{url}/withdraw", headers={"If-Match": '"3"'})
    assert announce(client, walk, data).status_code == 200
    assert len(client.get(f"{walk}/photos").json()["items"]) == 1


def test_the_crew_of_another_job_sees_no_photo(client: TestClient, walk: str) -> None:
    """Each address answers as one of no photo."""
    url = upload(client, walk, turned())
    tag = {"If-Match": '"1"', **who("crew off")}
    for method, path in (("GET", ""), ("GET", "/preview"), ("POST", "/withdraw"), ("POST", "/bring-back")):
        theirs = client.request(method, url + path, headers=tag)
        nothing = client.request(method, f"/api/photos/{uuid.uuid4()}{path}", headers=tag)
        assert theirs.status_code == 404
        assert theirs.json() == nothing.json()
    assert client.get(url, headers=who("crew")).status_code == 200


def test_many_photos_at_once(client: TestClient, walk: str) -> None:
    """Four threads send three photos each; each is there once."""
    sent: list[bytes] = []

    def work(first: int) -> None:
        for n in range(3):
            out = io.BytesIO()
            Image.new("RGB", (64, 64), (first, n, 0)).save(out, "PNG")
            sent.append(out.getvalue())
            upload(client, walk, out.getvalue())

    threads = [threading.Thread(target=work, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = [one["sha256"] for one in client.get(f"{walk}/photos").json()["items"]]
    assert sorted(found) == sorted(hashlib.sha256(data).hexdigest() for data in sent)
