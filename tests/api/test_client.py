"""The built client as a browser asks for it."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from courtwright.api.app import create_app
from courtwright.api.edge.security_headers import CONTENT_POLICY, SecurityHeaders
from courtwright.desk.office import Office
from tests.api.built import FILES, build

PAGES = {"/": "index.html", "/offer": "offer.html"}
REST = tuple(f"/{name}" for name in FILES if name not in PAGES.values())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return the folder of a small client that was built."""
    return build(tmp_path / "static")


@pytest.fixture
def client(folder: Path) -> TestClient:
    """Return a browser, which asks nothing of the store."""
    return _browser(folder)


def _browser(folder: Path) -> TestClient:
    app = create_app(Office(None), built=folder)  # type: ignore[arg-type]  # pages and files alone are asked for
    return TestClient(SecurityHeaders(app), base_url="https://courts.example", follow_redirects=False)


def _plainly(client: TestClient, url: str, **headers: str) -> Response:
    return client.get(url, headers={"Accept-Encoding": "identity", **headers})


# --- what is there ------------------------------------------------------------------------------


@pytest.mark.parametrize("url", [*PAGES, *REST])
def test_each_file_comes_as_it_was_built(client: TestClient, url: str):
    """Its bytes, its type, and the same head without a body."""
    answer = _plainly(client, url)
    assert (answer.status_code, answer.content) == (200, FILES[PAGES.get(url, url[1:])])
    head = client.head(url, headers={"Accept-Encoding": "identity"})
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers == answer.headers


def test_each_file_says_what_it_is(client: TestClient):
    """A browser that heeds nosniff runs no script and shows no page of another type."""
    types = {url: _plainly(client, url).headers["content-type"].partition(";")[0] for url in (*PAGES, *REST)}
    assert types == {
        "/": "text/html",
        "/offer": "text/html",
        "/assets/index-1a2b3c.js": "text/javascript",
        "/assets/letters-7a8b9c.woff2": "font/woff2",
        "/icons/courtwright.svg": "image/svg+xml",
        "/sw.js": "text/javascript",
        "/manifest.webmanifest": "application/manifest+json",
    }


def test_what_has_a_hash_in_its_name_is_kept_for_good_and_the_rest_is_asked_about(client: TestClient):
    """The customer's page is kept nowhere, and no search finds it."""
    kept = {url: _plainly(client, url).headers["cache-control"] for url in (*PAGES, *REST)}
    assert {url for url, how in kept.items() if "immutable" in how} == {url for url in REST if "/assets/" in url}
    assert kept.pop("/offer") == "no-store"
    assert {how for url, how in kept.items() if "/assets/" not in url} == {"no-cache"}
    offer = _plainly(client, "/offer").headers
    assert (offer["x-robots-tag"], offer["referrer-policy"], "etag" in offer) == ("noindex", "no-referrer", False)


@pytest.mark.parametrize("url", ["/", *REST])
def test_who_has_it_is_not_sent_it_again(client: TestClient, url: str):
    """By its ETag, in each coding; a rebuilt file is another."""
    for coding in ("identity", "gzip", "br"):
        headers = {"Accept-Encoding": coding}
        first = client.head(url, headers=headers)
        again = client.get(url, headers={**headers, "If-None-Match": f'"x", {first.headers["etag"]}'})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["cache-control"] == first.headers["cache-control"]


def test_a_client_that_is_built_again_is_served(client: TestClient, folder: Path):
    """Without a new start of the service; the old ETag no longer holds."""
    tag = _plainly(client, "/").headers["etag"]
    (folder / "index.html").write_bytes(b"<!doctype html>new")
    answer = _plainly(client, "/", **{"If-None-Match": tag})
    assert (answer.status_code, answer.content) == (200, b"<!doctype html>new")


@pytest.mark.parametrize(
    ("takes", "coding"),
    [
        ("gzip, deflate, br, zstd", "br"),
        ("gzip", "gzip"),
        ("GZIP;q=0.5", "gzip"),
        ("br;q=0, gzip", "gzip"),
        ("br; q=0.0", None),
        ("deflate", None),
        ("identity", None),
        ("br;q=none", None),
    ],
)
def test_it_comes_packed_where_the_browser_takes_that(client: TestClient, takes: str, coding: str | None):
    """In the best coding that it takes; what the build did not pack comes as it is."""
    answer = client.head("/assets/index-1a2b3c.js", headers={"Accept-Encoding": takes})
    assert answer.headers.get("content-encoding") == coding
    assert answer.headers["vary"] == "Accept-Encoding"
    font = client.head("/assets/letters-7a8b9c.woff2", headers={"Accept-Encoding": takes})
    assert "content-encoding" not in font.headers


def test_what_comes_packed_is_the_file(client: TestClient, folder: Path):
    """The bytes of the packed sibling, and its length; a browser unpacks them to the file."""
    answer = client.get("/", headers={"Accept-Encoding": "gzip"})
    assert answer.content == FILES["index.html"]
    packed = gzip.compress(FILES["index.html"], mtime=0)
    assert answer.headers["content-length"] == str(len(packed))
    assert _plainly(client, "/").headers["etag"] != answer.headers["etag"]


# --- what is not there --------------------------------------------------------------------------

OUTSIDE = (
    "/assets/../index.html",
    "/assets/%2e%2e/index.html",
    "/assets/..%2findex.html",
    "/assets/..%5cindex.html",
    "/assets/%2e%2e%2f%2e%2e%2fsecret.js",
    "/assets/secret.js",
    "/assets//etc/passwd",
    "/assets/%2fetc%2fpasswd",
    "/assets/index-1a2b3c.js%00.js",
    "/assets/index-1a2b3c.js.br",
    "/assets/index-1a2b3c.js.gz",
    "/assets/.hidden.js",
    "/assets/notes.txt",
    "/assets/",
    "/assets",
    "/icons/index.html",
    "/icons/../sw.js",
    "/index.html",
    "/offer.html",
    "/static/index.html",
    "/sw.js/",
    "/favicon.ico",
)


@pytest.mark.parametrize("url", OUTSIDE)
def test_nothing_else_of_the_disk_is_served(client: TestClient, folder: Path, url: str):
    """Neither what lies beside or above the client, nor what a link in it leads to, nor a packed file by its name."""
    secret = folder.parent / "secret.js"
    secret.write_text("secret")
    (folder / "assets" / "secret.js").symlink_to(secret)
    for name in (".hidden.js", "notes.txt"):
        (folder / "assets" / name).write_text("secret")
    answer = client.get(url)
    # A client of HTTP takes out /../ itself: then it asked for the page.
    assert answer.status_code == 404 or answer.url.path == "/sw.js", url
    assert b"secret" not in answer.content


@pytest.mark.parametrize("way", ["POST", "PUT", "DELETE", "PATCH"])
@pytest.mark.parametrize("url", [*PAGES, *REST])
def test_nothing_is_changed_here(client: TestClient, way: str, url: str):
    """The pages are read; who signs in does so at the API."""
    assert client.request(way, url, content=b"email=a&password=b").status_code == 405


def test_pages_say_what_they_never_do(client: TestClient):
    """The policy of all answers stands on the pages and on the worker, and lets nothing inline or from elsewhere in."""
    for url in (*PAGES, *REST):
        assert client.get(url).headers["content-security-policy"] == CONTENT_POLICY
    assert "unsafe" not in CONTENT_POLICY
    assert "http" not in CONTENT_POLICY
    assert "*" not in CONTENT_POLICY


# --- where it was not built ---------------------------------------------------------------------


def test_without_a_client_the_pages_say_so_and_what_to_do(tmp_path: Path):
    """In the reader's language, without a script or a form; and there is nothing to load."""
    browser = _browser(tmp_path / "nothing")
    for url, english, spanish in (("/", "make setup", "make setup"), ("/offer", "ask whoever sent it", "Pida el doc")):
        for language, words in (("en", english), ("es-MX", spanish)):
            answer = browser.get(url, headers={"Accept-Language": language})
            assert (answer.status_code, answer.headers["cache-control"]) == (503, "no-store")
            assert words in answer.text
            assert f'lang="{language[:2]}"' in answer.text
            assert "<script" not in answer.text
            assert "<form" not in answer.text
    assert {browser.get(url).status_code for url in REST} == {404}
