"""Attacks by names, files and headers; ``docs/explanation/security.md`` leads from each attack to its tests."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import re
import socket
import sys
import time
import uuid
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest
from fastapi.testclient import TestClient
from pydantic import BaseModel

from courtwright.api.raw import never_a_page
from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.keeping.bundles import export
from courtwright.desk.kinds import answer, asked, offer, parcel
from courtwright.desk.office import Office
from tests.api.attacking import client, operations, served, spoken, upload, walk
from tests.api.running import Running
from tests.api.test_uploads import announce, append, jpeg
from tests.api.test_walk_files import demo
from tests.api.walking import new_walk, send_all
from tests.company import Company, company, quick_passwords
from tests.desk.jobs import a_job
from tests.places import ROOT
from tests.store.walk.phones import Phone

__all__ = ["client", "company", "quick_passwords", "served", "walk"]

EVIL = "evil.example"


# --- paths --------------------------------------------------------------------------------------

CANARY = b"sings in the mine"
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
    (tmp_path / "canary.txt").write_bytes(CANARY)
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
    """The same in a site folder: its verdict and its offer are computed without a look outside, names are words."""
    door, url, file = outside
    path = file.removeprefix("file://")
    toml = (ROOT / "src/courtwright/site/demo_site/site.toml").read_text(encoding="utf-8")
    for told, asks in (
        ("Bellwether Green: tennis, basketball and pickleball", f'#read("{path}") #image("{path}")'),
        ("N. Verrill", f"</text><script href={url} />"),
        ('id = "upper"', f"""id = '<script>"&{url}'"""),
    ):
        assert told in toml
        toml = toml.replace(f'"{told}"', f"""'{asks}'""") if told[0] != "i" else toml.replace(told, asks)
    site = {**demo(), "site.toml": toml.encode(), **_hostile(url, file), "photos/x.jpg": _photo_that_asks(url, file)}
    verdict, paper = (
        asked.payload(asked.AnswerAsked("verdict"), site),
        asked.payload(asked.OfferAsked("2026-05-04"), site),
    )
    answer.run(verdict, lambda *_: None)  # what is looked at once in a process
    with watch.on():
        answer.run(verdict, lambda *_: None)
        made = parcel.unpack(offer.run(paper, lambda *_: None))
    assert watch.seen == []
    with pytest.raises(BlockingIOError):
        door.accept()
    assert not [name for name, data in made.items() if CANARY in data or (b"<script" in data and b"<svg" in data)]
    (pdf,) = (data for name, data in made.items() if name.endswith("offer.pdf"))
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    assert CANARY.decode() not in text
    assert "#read(" in text


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


# --- secrets ------------------------------------------------------------------------------------


def test_no_secret_is_shown_where_what_came_in_is_shown() -> None:
    """A password or a token that was sent is in no repr: not of what was read, and not of what was made of it."""
    from courtwright.api.routes import customer, entry, invitations, people, session
    from courtwright.desk.people.entries import SetUp
    from courtwright.desk.people.invitations import Newcomer

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


# --- the table ----------------------------------------------------------------------------------


def test_every_test_that_the_table_names_is_there() -> None:
    """``docs/explanation/security.md`` leads from each attack to what shows that it is met."""
    page = (ROOT / "docs" / "explanation" / "security.md").read_text(encoding="utf-8")
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", page)
    assert len(named) > 60
    texts = {file: (ROOT / file).read_text(encoding="utf-8") for file, _ in named}
    assert [(file, name) for file, name in named if f"def {name}(" not in texts[file]] == []
    own = "".join(file.read_text(encoding="utf-8") for file in Path(__file__).parent.glob("test_attacks*.py"))
    ours = set(re.findall(r"(?m)^def (test_\w+)\(", own)) - {"test_every_test_that_the_table_names_is_there"}
    assert ours - {name for _, name in named} == set()
