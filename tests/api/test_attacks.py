"""Attacks, in the order of the table in ``docs/explanation/security.md``, which leads to those tested elsewhere too."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import importlib
import io
import itertools
import json
import re
import socket
import sys
import time
import tomllib
import uuid
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from pydantic import BaseModel

from courtwright.api.edge import Edge, around
from courtwright.api.edge.streams import OpenStreams
from courtwright.api.logs import open_log
from courtwright.api.raw import never_a_page
from courtwright.desk.bundles import export
from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.kinds import answer, asked, offer
from courtwright.desk.office import Office
from courtwright.site.formats import HEAD, kind_of
from courtwright.units import reading
from tests.api.asking import Answer, Ask
from tests.api.running import Running, running
from tests.api.small_app import small_app
from tests.api.test_uploads import announce, append, jpeg
from tests.api.test_walk_files import demo
from tests.api.walking import client_of, new_walk, send_all
from tests.company import Company, company, quick_passwords
from tests.desk.jobs import a_job
from tests.places import ROOT
from tests.store.walk.phones import Phone

__all__ = ["company", "quick_passwords"]

EVIL = "evil.example"
#: A session that nobody has.
NO_SESSION = {"Cookie": "courtwright_session=" + "A" * 43}


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
        connection.settimeout(1.0)
        connection.sendall(sent)
        said = b""
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


# --- paths --------------------------------------------------------------------------------------

CLIMBS = ["../" * 9 + "etc/passwd", "..%2f" * 9 + "etc%2fpasswd", "%2e%2e/%2e%2e/keys/seal.key", "..\\..\\keys", "%00"]


@pytest.mark.parametrize("climb", CLIMBS)
def test_no_address_climbs_out_of_its_place(company: Company, climb: str) -> None:
    """Every address that takes a name takes none that leads elsewhere; neither does one beside the style sheet."""
    head = company.set_up()
    paths = [path for method, path, _ in operations(company.app) if method == "GET" and "{" in path]
    urls = [re.sub(r"\{\w+\}", lambda _: climb, path) for path in paths] + [
        f"/enter.css/{climb}",
        f"/{climb}",
        f"/api/{climb}",
    ]
    for url in (*urls, f"/api/customer/file?name={climb}"):
        found = head.client.request("GET", url)
        assert found.status_code in (400, 401, 404, 405, 422), (url, found.status_code)
        assert "root:" not in found.text


def test_no_name_of_a_file_leaves_a_zip_or_an_export(client: TestClient, office: Office, tmp_path: Path) -> None:
    """Whatever a phone calls a photo, a survey, a job: what comes out lies where it is unpacked, and nowhere else."""
    names = ["../../evil.jpg", "/etc/evil.jpg", "..\\..\\evil.jpg", "C:evil.jpg", "x/../../evil.jpg", "..", "a\u202e/"]
    job = a_job(office)
    client.patch(f"/api/jobs/{job}", json={"name": "../../evil"}, headers={"If-Match": '"1"'})
    walk = new_walk(client, job, name="../../evil")
    phone = Phone(5)
    for number, name in enumerate(names):
        photo, survey = jpeg(100 + number), b"1,2,3,4\n" * (number + 1)
        for root, data, kind in (("photos", photo, "photo"), ("files", survey, "survey")):
            sha256 = upload(client, walk, data, name, kind)
            phone.new_item(root, str(uuid.uuid4()), {"name": name, "sha256": sha256})
    assert send_all(client, walk, phone).status_code == 200
    for path in ("file", "site.zip"):
        with zipfile.ZipFile(io.BytesIO(client.get(f"{walk}/{path}").content)) as archive:
            inside = archive.namelist()
        assert len(inside) > 2
        assert not [name for name in inside if {".", ".."} & set(re.split(r"[/\\]", name)) or name.startswith("/")]
    target = tmp_path / "deep" / "deep" / "out"
    export(office, THE_MACHINE, target)
    assert [path for path in (tmp_path / "deep").rglob("*evil*") if target not in path.parents] == []
    assert not (tmp_path / "evil.jpg").exists()


# --- what a document may make the server open ---------------------------------------------------


class Watch:
    """Notes each connection, look-up of a host and program that this process begins, and each file opened of a kind."""

    def __init__(self) -> None:
        self.seen: list[str] = []
        self.is_on = False
        sys.addaudithook(self._hear)  # stays for good, and says nothing while it is off

    def _hear(self, event: str, given: tuple[Any, ...]) -> None:
        if not self.is_on:
            return
        if event in (
            "socket.connect",
            "socket.getaddrinfo",
            "socket.gethostbyname",
            "subprocess.Popen",
            "os.system",
        ) or (event == "open" and "canary" in str(given[0])):
            self.seen.append(event)

    @contextlib.contextmanager
    def on(self) -> Iterator[None]:
        """Watch for as long as this lasts."""
        self.seen, self.is_on = [], True
        try:
            yield
        finally:
            self.is_on = False


@pytest.fixture(scope="module")
def watch() -> Watch:
    """Return one that watches this process."""
    return Watch()


def test_the_watch_sees_what_it_is_for(watch: Watch, tmp_path: Path) -> None:
    """A connection, a name that is looked up, a file."""
    (tmp_path / "canary").write_text("x")
    with watch.on(), socket.create_server(("127.0.0.1", 0)) as there:
        socket.create_connection(there.getsockname()).close()
        (tmp_path / "canary").read_text()
    assert {"socket.connect", "socket.getaddrinfo", "open"} <= set(watch.seen)


def _hostile(url: str, file: str) -> dict[str, bytes]:
    """Return survey files that ask their reader for an address or a file."""
    outside = f'<!DOCTYPE a [<!ENTITY x SYSTEM "{url}"><!ENTITY % y SYSTEM "{file}"> %y;]>'
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 30))
    landxml = '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2"><CgPoints>&x;</CgPoints></LandXML>'
    included = f'<LandXML xmlns:xi="http://www.w3.org/2001/XInclude"><xi:include href="{file}" parse="text"/></LandXML>'
    feature = {"type": "Feature", "properties": {"mark": url, "href": url}, "geometry": {"$ref": url}}
    linked = {"type": "FeatureCollection", "crs": {"type": "link", "properties": {"href": url}}, "features": [feature]}
    return {
        "entity.xml": f"<?xml version='1.0'?>{outside}{landxml}".encode(),
        "style.xml": f'<?xml-stylesheet href="{url}"?>{included}'.encode(),
        "laughs.xml": f'<!DOCTYPE a [<!ENTITY l0 "ha">{laughs}]><LandXML>&l29;</LandXML>'.encode(),
        "linked.geojson": json.dumps(linked).encode(),
        "points.csv": f'1,2,3,=WEBSERVICE("{url}")\n2,{file},4,"{url}"\n'.encode(),
        "local.dxf": f"0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n1\n{file}\n0\nENDSEC\n".encode(),
    }


def _photo_that_asks(url: str, file: str) -> bytes:
    """Return a photo whose XMP names an entity outside, and whose text names a file."""
    entity = f'<!DOCTYPE x [<!ENTITY x SYSTEM "{url}">]>'
    xmp = f'{entity}<x:xmpmeta xmlns:x="adobe:ns:meta/" rdf:about="{file}">&x;</x:xmpmeta>'
    part = b"http://ns.adobe.com/xap/1.0/\0" + xmp.encode()
    data = jpeg(7)
    return data[:2] + b"\xff\xe1" + (len(part) + 2).to_bytes(2, "big") + part + data[2:]


@pytest.fixture
def outside(tmp_path: Path) -> Iterator[tuple[socket.socket, str, str]]:
    """Give a door that nobody should knock at, its address, and a file that nobody should open."""
    (tmp_path / "canary.txt").write_text("secret")
    with socket.create_server(("127.0.0.1", 0)) as door:
        door.setblocking(False)
        yield door, f"http://127.0.0.1:{door.getsockname()[1]}/x", f"file://{tmp_path}/canary.txt"


def test_no_document_photo_or_survey_makes_the_server_ask_anybody(
    client: TestClient, walk: str, watch: Watch, outside: tuple[socket.socket, str, str]
) -> None:
    """Entities, includes, styles, links and formulas are bytes or words: kept, complained of, never followed."""
    door, url, file = outside
    phone = Phone(3)
    phone.new_item("pads", str(uuid.UUID(int=1)), {"id": url, "outline": url, "shots": file, "place": {"crs": url}})
    phone.set("walk", "", "name", f"@import url({url})")
    client.get(f"{walk}/record")  # what is looked at once in a process
    began = time.perf_counter()
    with watch.on():
        for name, data in _hostile(url, file).items():
            told = announce(client, walk, data, name=name, kind="survey")
            sent = append(client, told.headers["location"], 0, data)
            assert sent.status_code in (204, 422), sent.text
            sha256 = hashlib.sha256(data).hexdigest()
            phone.new_item("files", str(uuid.uuid4()), {"name": name, "sha256": sha256})
            pad = {"id": name, "outline": [[0, 0], [30, 0], [30, 15], [0, 15]], "shots": name}
            phone.new_item("pads", str(uuid.uuid4()), pad)
        sha256 = upload(client, walk, _photo_that_asks(url, file), url, "photo")
        phone.new_item("photos", str(uuid.uuid4()), {"name": url, "sha256": sha256})
        phone.new_item("photos", str(uuid.uuid4()), {"name": "b", "sha256": file})
        assert send_all(client, walk, phone).status_code == 200
        found = client.get(f"{walk}/record")
        assert found.status_code == 200, found.text
        assert client.get(f"{walk}/file").status_code == 200
        assert client.get(f"{walk}/history").status_code == 200
    assert found.json()["complaints"]
    assert watch.seen == []
    assert time.perf_counter() - began < 20
    with pytest.raises(BlockingIOError):
        door.accept()


def test_no_site_makes_a_worker_ask_anybody(watch: Watch, outside: tuple[socket.socket, str, str]) -> None:
    """The same in a site folder: its verdict and its offer are computed without a look outside."""
    door, url, file = outside
    name = f'#read("{file}") <image href="{url}"/> {url}'
    toml = (ROOT / "src/courtwright/cli/demo_site/site.toml").read_text(encoding="utf-8")
    given = tomllib.loads(toml)
    told = toml.replace(given["name"], name.replace('"', "'")) if "name" in given else toml
    site = {**demo(), "site.toml": told.encode(), **_hostile(url, file), "photos/x.jpg": _photo_that_asks(url, file)}
    kinds = asked.payload(asked.AnswerAsked("verdict"), site), asked.payload(asked.OfferAsked("2026-05-04"), site)
    answer.run(kinds[0], lambda *_: None)  # what is looked at once in a process
    with watch.on():
        answer.run(kinds[0], lambda *_: None)
        made = offer.run(kinds[1], lambda *_: None)
    assert len(made) > 100_000
    assert b"root:" not in made
    assert watch.seen == []
    with pytest.raises(BlockingIOError):
        door.accept()


def test_a_survey_with_a_script_in_it_is_saved_and_never_a_page(client: TestClient, walk: str) -> None:
    """LandXML that a browser would run comes out as it came, to be saved, in a box without rights."""
    data = b'<LandXML xmlns:h="http://www.w3.org/1999/xhtml"><h:script>alert(1)</h:script></LandXML>'
    upload(client, walk, data, "x.html", "survey")
    (kept,) = client.get(f"{walk}/surveys").json()["items"]
    found = client.get(f"/api/surveys/{kept['id']}")
    assert found.content == data
    assert found.headers["content-disposition"].startswith("attachment;")
    assert found.headers["x-content-type-options"] == "nosniff"
    assert found.headers["content-security-policy"] == "default-src 'none'; sandbox"
    for page in (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", b"<!doctype html><script>1</script>"):
        told = announce(client, walk, page, name="a.csv", kind="survey")
        assert append(client, told.headers["location"], 0, page).status_code == 422


# --- headers ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["a\r\nSet-Cookie: x=1", 'a"; filename="b.html', "a\0\x1f\x7f", "\u2028\U0001f3be\\;%0d%0a", ""]
)
def test_no_name_breaks_out_of_its_header(name: str) -> None:
    """One line of plain letters, the name in quotes and once more in percents."""
    told = never_a_page(name)["Content-Disposition"]
    assert told.isprintable()
    assert told.isascii()
    assert re.fullmatch(r"attachment; filename=\"[\w. -]*\"; filename\*=UTF-8''[\w.~%-]*", told)


def test_a_name_with_a_line_end_is_taken_nowhere(client: TestClient, walk: str) -> None:
    """Typed or from a file: refused in the first case, taken out in the second."""
    assert announce(client, walk, b"x", name="a\r\nX: y").status_code == 422
    assert client.patch(walk, json={"name": "a\r\nX: y"}, headers={"If-Match": '"1"'}).status_code == 422
    phone = Phone(4)
    phone.set("walk", "", "name", "a\r\nX: y")
    send_all(client, walk, phone)
    found = client.get(f"{walk}/file")
    assert "x" not in found.headers


def test_an_address_with_a_stroke_too_many_leads_nowhere(served: Running) -> None:
    """No way on is made of what the caller calls this host: not to another port, not to another name."""
    for path in (b"/api/jobs/", b"//evil.example/enter/", b"/enter/?token=x", b"/%2fevil.example/"):
        said = spoken(served, b"GET " + path + b" HTTP/1.1\r\nHost: localhost:9\r\nConnection: close\r\n\r\n")
        assert re.match(rb"HTTP/1\.1 (404|401|400) ", said), said[:60]
        assert b"location:" not in said.lower()


def test_no_answer_is_opened_to_another_site(company: Company) -> None:
    """Every route, asked from elsewhere and asked whether it may be: no word of CORS in any answer."""
    head = company.set_up()
    there = {"Origin": f"https://{EVIL}", "Access-Control-Request-Headers": "x-csrf-token,content-type"}
    asked_for = 0
    for method, path, _ in operations(company.app):
        url = re.sub(r"\{\w+\}", str(uuid.UUID(int=9)), path)
        if url.endswith("/events"):
            continue  # a stream, when there is such a task; there is none
        own = {**there, "Access-Control-Request-Method": method}
        for answer_ in (head.client.options(url, headers=own), head.client.request(method, url, headers=there)):
            asked_for += 1
            assert not [name for name in answer_.headers if name.startswith("access-control")], (method, path)
            assert answer_.status_code >= 400 or method in ("GET", "HEAD"), (method, path, answer_.status_code)
    assert asked_for > 150


def test_what_a_caller_says_of_the_way_here_changes_nothing(served: Running) -> None:
    """Without a declared proxy no header makes another host, scheme, path or method of a request."""
    claims = (
        b"X-Forwarded-Host: evil.example\r\nX-Forwarded-Proto: https\r\nForwarded: host=evil.example;proto=https\r\n"
        b"X-Original-URL: /api/people\r\nX-Rewrite-URL: /api/people\r\nX-HTTP-Method-Override: DELETE\r\n"
    )
    head = b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n"
    plain, claimed = (
        re.sub(rb"(?m)^(date|x-request-id):.*$", b"", spoken(served, head + more + b"\r\n")) for more in (b"", claims)
    )
    assert plain == claimed
    assert plain.endswith(b'{"live":true}')
    assert b"strict-transport" not in plain


# --- who it is ----------------------------------------------------------------------------------


def test_a_change_without_the_word_is_refused_on_every_route(company: Company) -> None:
    """Whatever changes anything for somebody who is signed in asks for the word of their page, before anything else."""
    head = company.set_up()
    asked_for = 0
    for method, path, told in operations(company.app):
        if method in ("GET", "HEAD") or "person" not in str(told.get("security")):
            continue
        url = re.sub(r"\{\w+\}", str(uuid.UUID(int=9)), path)
        body: dict[str, Any] = {"content": b"{}", "headers": {"content-type": "application/json", "If-Match": '"1"'}}
        for one in (body, {"data": {"a": "b"}}, {"content": b"{}", "headers": {"content-type": "text/plain"}}):
            found = head.client.request(method, url, **one)
            assert (found.status_code, found.json()["code"]) == (403, "not-our-page"), (method, path, found.text)
            asked_for += 1
    assert asked_for > 90


def test_no_header_or_field_makes_another_method_of_a_request(company: Company) -> None:
    """What is read stays reading."""
    head = company.set_up()
    for name in ("X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"):
        found = head.client.get("/api/session", params={"_method": "DELETE"}, headers={name: "DELETE"})
        assert found.status_code == 200
    assert head.get("/api/me").status_code == 200


def test_a_cookie_of_any_size_or_form_is_nobody(served: Running) -> None:
    """Sixty kilobytes, many of one name, letters that no token has: 401, and nothing worse."""
    plain = b"courtwright_session=" + b"A" * 43
    for cookie in (
        b"A" * 60_000,
        plain + b"; " + plain,
        plain * 500,
        b"courtwright_session=\xff\xfe;;;=;",
        b'a="; ' + plain,
        b"=",
    ):
        head = b"GET /api/session HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nCookie: " + cookie + b"\r\n\r\n"
        assert spoken(served, head).startswith(b"HTTP/1.1 401 ")


def test_a_planted_cookie_never_makes_two_people_of_one_request(company: Company) -> None:
    """Two cookies of one name, as a neighbour on this machine can make: the request is one of the two, whole."""
    head = company.set_up()
    crew = company.join(head, "crew", "ben")
    name, own = next(iter(head.cookies.items()))
    other = crew.cookies[name]
    for both in (f"{name}={own}; {name}={other}", f"{name}={other}; {name}={own}"):
        browser = company.browser()
        seen = browser.client.get("/api/session", headers={"Cookie": both}).json()
        word = {"X-CSRF-Token": seen["csrf_token"], "Cookie": both}
        done = browser.client.patch("/api/me", json={"name": "New"}, headers={**word, "If-Match": '"1"'})
        assert done.json()["id"] == seen["person"]["id"]
        wrong = {"Cookie": both, "X-CSRF-Token": {head.word, crew.word}.difference({seen["csrf_token"]}).pop()}
        assert browser.client.delete("/api/session", headers=wrong).status_code == 403


# --- what is sent -------------------------------------------------------------------------------


def _closed(schema: Any, parts: dict[str, Any], seen: set[str]) -> Iterator[tuple[str, bool]]:
    """Yield each object that a body may hold, and whether it takes no fields but its own."""
    if isinstance(schema, list):
        for one in schema:
            yield from _closed(one, parts, seen)
    elif isinstance(schema, dict):
        name = str(schema.get("$ref", "")).rpartition("/")[2]
        if name and name not in seen:
            seen.add(name)
            yield from _closed(parts[name], parts, seen)
        if "properties" in schema:
            yield schema.get("title", "?"), schema.get("additionalProperties") is False
        for key in ("properties", "items", "anyOf", "allOf", "oneOf", "additionalProperties"):
            inner = schema.get(key)
            yield from _closed(list(inner.values()) if key == "properties" and inner else inner, parts, seen)


def test_no_body_takes_a_field_that_is_not_its_own(company: Company) -> None:
    """Nobody sets a role, an owner, a state or a version by sending one along."""
    parts = company.app.openapi()["components"]["schemas"]
    bodies = [told["requestBody"]["content"] for _, _, told in operations(company.app) if "requestBody" in told]
    found = [one for body in bodies for kind in body.values() for one in _closed(kind["schema"], parts, set())]
    assert len(found) > 25
    assert [name for name, is_closed in found if not is_closed] == []


def test_nobody_raises_themselves_by_a_field_too_many(company: Company) -> None:
    """Refused whole; nothing of it is done."""
    head = company.set_up()
    crew = company.join(head, "crew", "ben")
    sent = crew.send("PATCH", "/api/me", {"name": "B", "role": "head"}, version=1)
    assert (sent.status_code, sent.json()["places"][0]["at"]) == (422, "body.role")
    assert crew.get("/api/me").json()["role"] == "crew"
    assert head.send("POST", "/api/jobs", {"name": "a", "id": str(uuid.uuid4()), "version": 9}).status_code == 422


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"[" * 400_000, 400),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, 400),
        (b'{"name":"x","terms":{"a":' + b"9" * 5000 + b"}}", 400),
        (b'{"name":"x","terms":{"a":' + b"9" * 4000 + b"}}", 422),
        (b'{"name":"x","terms":{"a":-9007199254740992}}', 422),
        (b'{"name":"x","terms":{"a":9007199254740991}}', 200),
        (b'{"name":"x","terms":{"a":1e999}}', 422),
        (b'{"name":"x","terms":{"a":NaN}}', 422),
        (b'{"name":"x","terms":{"\\ud800":1}}', 422),
        (b'{"name":"x","terms":{"a":"\\u0000"}}', 422),
        (b'{"name":"x","terms":' + b'{"a":' * 9 + b"1" + b"}" * 10, 422),
        (b'{"name":"x","terms":{"a":"' + "\ufdfa".encode() * 90_000 + b'"}}', 200),
        (b'{"name":"x","\\ud800":1}', 422),
        (b'{"name":"\\ud800"}', 422),
        (b'{"name":"a\\u0000"}', 422),
        (b'{"name":"x","name":"y"}', 200),
        (b'{"name":"\xff"}', 400),
        (b"null", 422),
    ],
    ids=range(18),
)
def test_json_that_no_page_sends_is_answered_in_words(company: Company, body: bytes, status: int) -> None:
    """Depth, numbers, halves of characters, names twice: never a fault, and within a second."""
    head = company.set_up()
    began = time.perf_counter()
    headers = {"content-type": "application/json", "X-CSRF-Token": head.word, "If-Match": '"1"'}
    found = head.client.put("/api/company", content=body, headers=headers)
    assert found.status_code == status, found.text
    assert time.perf_counter() - began < 1.5
    assert status == 200 or found.json()["code"]
    assert head.get("/api/company/history").status_code == 200


@pytest.mark.parametrize(
    "text", ["' OR '1'='1", '"; DROP TABLE job; --', "%", "_", "\\", "a' UNION SELECT 1--", "\u2028"]
)
def test_a_text_that_looks_like_sql_is_a_text(company: Company, text: str) -> None:
    """Searched for, typed as a name, at the door: found where it stands and nowhere else."""
    head = company.set_up()
    for name in ("plain", text):
        assert head.send("POST", "/api/jobs", {"name": name}).status_code == 201
    found = head.get("/api/jobs", params={"text": text}).json()["items"]
    assert [one["name"] for one in found] == [text.strip()] or text == "\u2028"
    assert len(head.get("/api/jobs").json()["items"]) == 2
    assert company.browser().sign_in(f"{text}@courts.example").status_code in (401, 422)


def test_a_nul_at_the_door_is_a_wrong_address(company: Company) -> None:
    """Not every database can look for one: answered as any address that nobody has."""
    company.set_up()
    answers = [
        company.browser().client.post("/", data={"email": email, "password": "\0" * 12})
        for email in ("\0", "ana@courts.example\0", "nobody@courts.example")
    ]
    assert [one.status_code for one in answers] == [401, 401, 401]


# --- at once and again --------------------------------------------------------------------------


def test_of_many_changes_that_saw_the_same_one_is_made(company: Company) -> None:
    """Eight at once with one ETag: one goes through, the others are told that it has changed."""
    head = company.set_up()
    job = head.send("POST", "/api/jobs", {"name": "a"}).json()["id"]
    with ThreadPoolExecutor(8) as threads:
        sent = [threads.submit(head.send, "PATCH", f"/api/jobs/{job}", {"name": f"n{n}"}, version=1) for n in range(8)]
    assert sorted(one.result().status_code for one in sent) == [200, *[412] * 7]
    assert head.get(f"/api/jobs/{job}").json()["version"] == 2


def test_the_key_of_somebody_else_opens_nothing(company: Company) -> None:
    """An idempotency key is its sender's: another's job does not come back by it; nor another body under one's own."""
    head = company.set_up()
    other = company.join(head, "estimator", "eva")
    key = {"Idempotency-Key": "k1"}
    first, again = (head.send("POST", "/api/jobs", {"name": "secret"}, headers=key) for _ in range(2))
    assert (first.status_code, again.json()) == (201, first.json())
    theirs = other.send("POST", "/api/jobs", {"name": "secret"}, headers=key)
    assert theirs.status_code == 201
    assert theirs.json()["id"] != first.json()["id"]
    assert head.send("POST", "/api/jobs", {"name": "other"}, headers=key).status_code == 409


# --- HTTP ---------------------------------------------------------------------------------------

_POST = b"POST /api/session HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
_BEHIND = b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\n\r\n"


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        (_POST + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "framing"),
        (_POST + b"Transfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n", "framing"),
        (_POST.replace(b"1.1", b"1.0") + b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "framing"),
        (_POST + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", "no-http"),
        (_POST + b"Content-Length: +2\r\n\r\n{}", "no-http"),
        (_POST + b"Content-Length: " + b"9" * 5000 + b"\r\n\r\n{}", "no-http"),
        (_POST + b"Transfer-Encoding: xchunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding: chunked, chunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n", "no-http"),
        (_POST + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n{}\r\n0\r\n\r\n", ""),
        (b"GET /api/\0 HTTP/1.1\r\nHost: localhost\r\n\r\n", "no-http"),
        (b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n", "no-http"),
    ],
    ids=range(12),
)
def test_no_second_request_hides_in_the_first(served: Running, sent: bytes, code: str) -> None:
    """What a proxy could read otherwise gets one answer, and the connection is closed before what stands behind it."""
    said = spoken(served, sent + _BEHIND)
    assert said.startswith(b"HTTP/1.1 400 "), said[:60]
    assert len(re.findall(rb"HTTP/1\.1 \d", said)) == 1
    assert b"live" not in said
    assert not code or f'"code": "{code}"'.encode() in said


@pytest.mark.parametrize(
    "line",
    [
        b"GET http://evil.example/api/health/live HTTP/1.1",
        b"CONNECT evil.example:443 HTTP/1.1",
        b"OPTIONS * HTTP/1.1",
        b"TRACE /api/health/live HTTP/1.1",
        b"PRI * HTTP/2.0",
    ],
)
def test_a_request_of_another_kind_is_refused(served: Running, line: bytes) -> None:
    """We are no proxy, echo nothing, and speak HTTP/1."""
    said = spoken(served, line + b"\r\nHost: localhost\r\nX-Echo: 4711\r\nConnection: close\r\n\r\n")
    assert re.match(rb"HTTP/1\.1 4\d\d ", said), said[:60]
    assert b"4711" not in said


def test_who_is_not_known_sends_nothing_large(served: Running) -> None:
    """Where a large body is meant, 401 comes before any of it; everywhere else it may not be large."""
    id = str(uuid.UUID(int=9)).encode()
    large = [(b"POST /api/walks/%b/updates", 30_000_000), (b"PATCH /api/uploads/%b", 200_000_000)]
    for line, size in [*large, (b"POST /api/jobs/%b/walks/file", 2_000_000_000)]:
        head = line % id + b" HTTP/1.1\r\nHost: localhost\r\nUpload-Offset: 0\r\nContent-Length: %d\r\n\r\n" % size
        assert spoken(served, head).startswith(b"HTTP/1.1 401 "), line
    for line in (
        b"PATCH /api/walks/%b",
        b"POST /api/walks/%b/answers",
        b"POST /api/walks/%b/uploads",
        b"POST /api/session",
    ):
        head = (
            line + b" HTTP/1.1\r\nHost: localhost\r\nExpect: 100-continue\r\nContent-Length: 1100000\r\n\r\n"
        ).replace(b"%b", id)
        assert spoken(served, head).startswith(b"HTTP/1.1 413 "), line


class AskFrom(Ask):
    """A request from an address."""

    def __init__(self, address: str, **given: Any) -> None:
        super().__init__(**given)
        self.address = address

    def _scope(self) -> dict[str, Any]:
        return {**super()._scope(), "client": (self.address, 1)}


def test_one_address_leaves_room_for_others() -> None:
    """Of three places one machine, or one network of IPv6, takes two; the third is somebody else's."""

    async def answers() -> list[Answer]:
        app = around(small_app(), Edge(most_requests=3, most_of_one=2), open_log(None, io.StringIO()), OpenStreams())
        slow = {"path": "/api/slow", "method": "GET", "query": "seconds=0.3"}
        mine = [AskFrom(f"2001:db8::{n}", **slow).answered(app) for n in (1, 2, 3)]
        return list(await asyncio.gather(*mine, AskFrom("203.0.113.9", **slow).answered(app)))

    assert [one.status for one in asyncio.run(answers())] == [200, 200, 503, 200]


# --- work without end ---------------------------------------------------------------------------

PUMPS = [
    "0",
    "a",
    " ",
    "\n",
    "\t",
    "-",
    ".",
    ",",
    "_",
    "[",
    "999 ",
    "999\n",
    "0\n",
    "a.",
    "1,1",
    "us ",
    "survey ",
    "m ",
    '"features"',
    "=",
    "\\",
]
_LONGEST_MATCH_S = 0.2


def _uses() -> dict[str, list[Callable[[Any], object]]]:
    """Return what our modules do with each pattern that they hold: match, match whole, look for."""
    found: dict[str, list[Callable[[Any], object]]] = {}
    for file in (ROOT / "src" / "courtwright").rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        if "re.compile" not in text or "migrations" in file.parts:
            continue
        name = ".".join(file.relative_to(ROOT / "src").with_suffix("").parts).removesuffix(".__init__")
        for own, pattern in vars(importlib.import_module(name)).items():
            if isinstance(pattern, re.Pattern):
                looks = re.search(rf"\b{own}\.(search|finditer|findall|sub|split)\(", text)
                found[f"{name}.{own}"] = [pattern.match, pattern.fullmatch, *([pattern.search] if looks else [])]
    return found


def _most_letters(name: str) -> int:
    """Return how much of a text a pattern gets to see: a quantity is refused by its length first."""
    return reading._LONGEST if name.startswith("courtwright.units") else 100_000


def test_no_pattern_of_ours_is_made_to_try_for_ever() -> None:
    """Each on repeated pieces that end otherwise, first short, where a bad one shows, then as long as a line may be."""
    uses = _uses()
    assert len(uses) > 30
    for name, matches in uses.items():
        is_bytes = isinstance(matches[0].__self__.pattern, bytes)  # type: ignore[attr-defined]  # a bound method
        for pump, times in itertools.product(PUMPS, (16, 24, 30, 4000)):
            text = (pump * times)[: _most_letters(name)] + "\x01"
            for match in matches:
                began = time.perf_counter()
                match(text.encode() if is_bytes else text)
                assert time.perf_counter() - began < _LONGEST_MATCH_S, (name, pump, times)


def test_the_kind_of_a_file_is_told_at_once() -> None:
    """A survey of sixteen kilobytes of what a drawing calls remarks took longer than anybody lives."""
    for text in (b"999 " * 32, b"999\n" * 32, b"999 " * (HEAD // 4), b"999\r\n0\r\n" * (HEAD // 8)):
        began = time.perf_counter()
        assert kind_of(text + b"x") == "text"
        assert time.perf_counter() - began < 1
    assert kind_of(b"999\r\nmade by 0\r\n  0\r\nSECTION\r\n") == "dxf"


def test_a_few_bytes_of_a_phone_do_not_fill_the_memory(client: TestClient, walk: str) -> None:
    """An update of 600 bytes that speaks of millions of ids took a gigabyte and most of a minute; it is refused."""
    run = b"\x21\x01\x04walk\x01k\xa0\x8d\x06"
    phone = Phone(6)
    began = time.perf_counter()
    sent = client.post(f"{walk}/updates", content=phone.envelope(b"\x01\x31\x06\x00" + run * 49 + b"\x00"))
    assert (sent.status_code, sent.json()["code"]) == (422, "envelope")
    assert time.perf_counter() - began < 5
    assert client.get(f"{walk}/state").json()["seq"] == 0


# --- secrets ------------------------------------------------------------------------------------


def test_no_secret_is_shown_where_what_came_in_is_shown() -> None:
    """A password or a token that was sent is in no repr: not of what was read, and not of what was made of it."""
    from courtwright.api.routes import customer, entry, invitations, people, session
    from courtwright.desk.entries import SetUp
    from courtwright.desk.invitations import Newcomer

    secret = "s3cret-" * 5
    models = [
        one
        for module in (customer, entry, invitations, people, session)
        for one in vars(module).values()
        if isinstance(one, type) and issubclass(one, BaseModel) and one.__module__ == module.__name__
    ]
    filled = 0
    for model in models:
        told = {"token", "password", "old", "new"} & set(model.model_fields)
        if told:
            filled += 1
            assert "s3cret" not in repr(model.model_construct(**dict.fromkeys(told, secret))), model
    assert filled >= 6
    assert "s3cret" not in repr(SetUp("a", "b", secret, "c")) + repr(Newcomer("a", secret))
