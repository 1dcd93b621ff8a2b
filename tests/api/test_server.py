"""The door and the server: https or this machine alone, patience with an end, a stop in order."""

from __future__ import annotations

import contextlib
import io
import json
import re
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx2
import pytest
import trustme
from cryptography.hazmat.primitives import serialization
from fastapi import FastAPI

from courtwright.api.certificate import open_certificate
from courtwright.api.edge.patience import PatientProtocol
from courtwright.api.logs import open_log
from courtwright.api.server import open_door, serve
from courtwright.api.settings import Settings
from courtwright.errors import CallError
from tests.api.running import Running, running
from tests.api.small_app import SECRET, small_app

ROOT = Path(__file__).resolve().parents[2]
#: Longest from its call to its being ready, as promised. [s]
READY_S = 2.0


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    """Return an authority of the tests' own."""
    return trustme.CA()


def _files(folder: Path, leaf: trustme.LeafCert, name: str = "") -> dict[str, Path]:
    certificate, key = folder / f"{name}cert.pem", folder / f"{name}key.pem"
    certificate.write_bytes(b"".join(blob.bytes() for blob in leaf.cert_chain_pems))
    key.write_bytes(leaf.private_key_pem.bytes())
    return {"certificate": certificate, "key": key}


@pytest.fixture
def own(authority: trustme.CA, tmp_path: Path) -> dict[str, Path]:
    """Return own certificate files."""
    return _files(tmp_path, authority.issue_cert("courts.example", "127.0.0.1"))


@pytest.fixture
def trusting(authority: trustme.CA) -> ssl.SSLContext:
    """Return what a browser that trusts the authority goes by."""
    context = ssl.create_default_context()
    authority.configure_trust(context)
    return context


# --- own certificate ----------------------------------------------------------------------------


def test_own_certificate_files_give_https(own: dict[str, Path], trusting: ssl.SSLContext, tmp_path: Path):
    """Https works with nothing but the files; cookies are Secure; strict transport is said; names are known."""
    with running(small_app(), tmp_path, **own) as server:
        assert server.address.startswith("https://courts.example:")
        port = server.port
        with httpx2.Client(verify=trusting, base_url=f"https://127.0.0.1:{port}") as client:
            answer = client.get("/who")
            assert answer.text.startswith("https ")
            assert "Secure" in answer.headers["set-cookie"]
            assert "strict-transport-security" in answer.headers
            assert client.get("/who", headers={"host": f"courts.example:{port}"}).status_code == 200
            assert client.get("/who", headers={"host": "evil.example"}).status_code == 421


def test_http_is_refused_where_https_is_served(own: dict[str, Path], tmp_path: Path):
    """Plain HTTP gets no answer there."""
    with running(small_app(), tmp_path, **own) as server, pytest.raises(httpx2.RemoteProtocolError):
        httpx2.get(f"http://127.0.0.1:{server.port}/who")


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1_2, ssl.TLSVersion.TLSv1_3])
def test_tls_of_today_is_spoken(
    own: dict[str, Path], trusting: ssl.SSLContext, tmp_path: Path, version: ssl.TLSVersion
):
    """1.2 and 1.3."""
    trusting.maximum_version = trusting.minimum_version = version
    with (
        running(small_app(), tmp_path, **own) as server,
        socket.create_connection(server.place) as plain,
        trusting.wrap_socket(plain, server_hostname="courts.example") as secure,
    ):
        assert secure.version() == version.name.replace("_", ".")


def test_nothing_older_is_spoken(own: dict[str, Path]):
    """1.1 and older are broken."""
    assert open_certificate(**own).context.minimum_version == ssl.TLSVersion.TLSv1_2


def _unlike(authority: trustme.CA, folder: Path) -> Iterator[tuple[str, dict[str, Path]]]:
    """Yield the files of each mistake, with the sentence it ends in."""
    good = _files(folder, authority.issue_cert("a.example"))
    other = _files(folder, authority.issue_cert("b.example"), "other-")
    now = datetime.now(UTC)
    old = authority.issue_cert("a.example", not_before=now - timedelta(9), not_after=now - timedelta(1))
    young = authority.issue_cert("a.example", not_before=now + timedelta(1), not_after=now + timedelta(9))
    locked = folder / "locked.pem"
    key = serialization.load_pem_private_key(good["key"].read_bytes(), None)
    kind, form = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8
    locked.write_bytes(key.private_bytes(kind, form, serialization.BestAvailableEncryption(b"secret")))
    text = folder / "notes.txt"
    text.write_text("notes", encoding="utf-8")
    yield "tls-unreadable", {**good, "key": folder / "none.pem"}
    yield "tls-unreadable", {**good, "certificate": folder}
    yield "tls-mismatch", {**good, "key": other["key"]}
    yield "tls-not-pem", {"certificate": good["key"], "key": good["certificate"]}
    yield "tls-not-pem", {**good, "certificate": text}
    yield "tls-locked", {**good, "key": locked}
    yield "tls-expired", _files(folder, old, "old-")
    yield "tls-not-yet", _files(folder, young, "young-")


def test_a_wrong_certificate_is_told_before_anything_opens(authority: trustme.CA, tmp_path: Path):
    """Each mistake has its own words, and a locked key does not wait for somebody to type."""
    for sentence, files in _unlike(authority, tmp_path):
        with pytest.raises(CallError) as told:
            open_door(Settings(data=tmp_path, port=0, **files))
        assert told.value.problem.id == f"api.{sentence}", files
        assert told.value.where in map(str, files.values())
        assert told.value.fix is not None


# --- behind a proxy -----------------------------------------------------------------------------


class TlsProxy:
    """Ends TLS in front of a server and says so in X-Forwarded headers: as much of a proxy as is needed."""

    def __init__(self, leaf: trustme.LeafCert, behind: tuple[str, int]) -> None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        leaf.configure_cert(context)
        self.behind = behind
        self.socket = context.wrap_socket(socket.create_server(("127.0.0.1", 0)), server_side=True)
        self.port: int = self.socket.getsockname()[1]
        self.socket.settimeout(10)
        self.thread = threading.Thread(target=self._serve_one, daemon=True)
        self.thread.start()

    def _serve_one(self) -> None:
        front, _ = self.socket.accept()
        with front, socket.create_connection(self.behind) as back:
            head = b""
            while b"\r\n\r\n" not in head:
                head += front.recv(4096)
            ours = b"X-Forwarded-Proto: https\r\nX-Forwarded-For: 203.0.113.7\r\nConnection: close\r\n"
            kept = [line for line in head.split(b"\r\n")[1:] if line and not line.lower().startswith((b"x-f", b"conn"))]
            back.sendall(head.split(b"\r\n")[0] + b"\r\n" + b"\r\n".join(kept) + b"\r\n" + ours + b"\r\n")
            while part := back.recv(4096):
                front.sendall(part)

    def close(self) -> None:
        """End it."""
        self.thread.join(10)
        self.socket.close()


@pytest.mark.parametrize(("proxies", "is_believed"), [(("127.0.0.1",), True), ((), False), (("10.0.0.0/8",), False)])
def test_a_declared_proxy_is_believed_and_no_other(
    authority: trustme.CA, trusting: ssl.SSLContext, tmp_path: Path, proxies: tuple[str, ...], is_believed: bool
):
    """Behind it the app knows that it is reached by https: cookies are Secure, strict transport is said."""
    address = "https://courts.example"
    with (
        running(small_app(), tmp_path, proxies=proxies, address=address) as server,
        closing(TlsProxy(authority.issue_cert("127.0.0.1"), server.place)) as proxy,
    ):
        assert server.address.startswith(address) or not is_believed
        answer = httpx2.get(f"https://127.0.0.1:{proxy.port}/who", verify=trusting, headers={"host": "courts.example"})
    assert answer.text == ("https 203.0.113.7" if is_believed else "http 127.0.0.1")
    assert ("Secure" in answer.headers["set-cookie"]) is is_believed
    assert ("strict-transport-security" in answer.headers) is is_believed


# --- who may listen where -----------------------------------------------------------------------


def test_a_taken_port_is_told(tmp_path: Path):
    """In words, with what to do."""
    with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(CallError) as told:
        open_door(Settings(data=tmp_path, port=taken.getsockname()[1]))
    assert told.value.problem.id == "api.port-taken"


@pytest.mark.parametrize(
    ("host", "sentence"), [("203.0.113.9", "host-not-ours"), ("no-such-host.invalid", "host-unknown")]
)
def test_a_host_that_is_not_ours_is_told(tmp_path: Path, host: str, sentence: str):
    """An address of another machine, and a name that nobody knows."""
    with pytest.raises(CallError) as told:
        open_door(Settings(data=tmp_path, port=0, host=host))
    assert told.value.problem.id == f"api.{sentence}"


def test_two_doors_do_not_share_a_port(tmp_path: Path):
    """Taken from the moment it is opened, before anything is served."""
    with closing(open_door(Settings(data=tmp_path, port=0))) as first, pytest.raises(CallError):
        open_door(Settings(data=tmp_path, port=first.socket.getsockname()[1]))


# --- patience -----------------------------------------------------------------------------------


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Running]:
    """Give a server with hardly any patience."""
    monkeypatch.setattr(PatientProtocol, "head_s", 0.3)
    monkeypatch.setattr(PatientProtocol, "reader_s", 0.5)
    monkeypatch.setattr(PatientProtocol, "most_connections", 5)
    with running(small_app(), tmp_path) as server:
        yield server


def _read_all(connection: socket.socket) -> bytes:
    connection.settimeout(10)
    told = b""
    while part := connection.recv(65536):
        told += part
    return told


_WHOLE = b"GET /api/health/live HTTP/1.1\r\nHost: localhost\r\n\r\n"


@pytest.mark.parametrize("begun", [b"", b"GET /api/hea", _WHOLE[:-2]], ids=["nothing", "a line", "almost"])
def test_a_head_that_never_ends_is_closed(hasty: Running, begun: bytes):
    """A connection that sends nothing, or its head for ever, is answered and closed."""
    with socket.create_connection(hasty.place) as connection:
        connection.sendall(begun)
        started = time.monotonic()
        told = _read_all(connection)
        assert 0.2 < time.monotonic() - started < 2
    assert told.startswith(b"HTTP/1.1 408 ")
    assert json.loads(told.partition(b"\r\n\r\n")[2])["code"] == "too-slow"


def test_a_head_that_trickles_is_closed(hasty: Running):
    """Each byte in time is not enough: the head as a whole has to be."""
    sent, told = 0, b""
    with socket.create_connection(hasty.place) as connection:
        connection.settimeout(0.05)
        for byte in b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 100:
            connection.sendall(bytes([byte]))
            sent += 1
            with contextlib.suppress(TimeoutError):
                told = connection.recv(65536)
                break
    assert 2 < sent < 40
    assert told.startswith(b"HTTP/1.1 408 ")


def test_the_next_head_on_a_connection_has_to_end_too(hasty: Running):
    """A first request that was answered buys nothing for the second."""
    with socket.create_connection(hasty.place) as connection:
        connection.sendall(_WHOLE)
        assert connection.recv(65536).startswith(b"HTTP/1.1 200 ")
        time.sleep(0.5)  # an idle connection is kept longer than a head
        connection.sendall(b"GET /")
        assert b"HTTP/1.1 408 " in _read_all(connection)


def test_a_slow_answer_is_not_cut(hasty: Running):
    """Patience with heads says nothing of how long the app may take."""
    answer = httpx2.get(f"{hasty.address}/api/slow?seconds=0.8", timeout=10)
    assert (answer.status_code, answer.json()) == (200, "done")


def test_a_reader_that_does_not_read_is_let_go(hasty: Running):
    """An answer that nobody takes holds no place for ever."""
    with socket.create_connection(hasty.place) as connection:
        connection.sendall(_WHOLE.replace(b"/api/health/live", b"/api/large"))
        time.sleep(1.2)
        told = b""
        with contextlib.suppress(ConnectionResetError):
            told = _read_all(connection)
    assert len(told) < 1000 * 65536
    assert not told.endswith(b"0\r\n\r\n")


def test_too_many_connections_are_turned_away(hasty: Running):
    """Those that are there stay; one that goes makes room."""
    held = [socket.create_connection(hasty.place) for _ in range(5)]
    try:
        for connection in held:
            connection.sendall(_WHOLE)
            assert connection.recv(65536).startswith(b"HTTP/1.1 200 ")
        with socket.create_connection(hasty.place) as one_more:
            assert _read_all(one_more).startswith(b"HTTP/1.1 503 ")
        held.pop().close()
        time.sleep(0.1)
        assert httpx2.get(f"{hasty.address}/api/health/live").status_code == 200
    finally:
        for connection in held:
            connection.close()


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x02\x00\x01\x00\x01",
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\n\r\n",
        b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 20_000,
        b"GET /a\x00b HTTP/1.1\r\nHost: localhost\r\n\r\n",
    ],
    ids=["tls", "no host", "two hosts", "negative", "two lengths", "large head", "nul"],
)
def test_what_is_no_http_is_answered_as_a_problem(hasty: Running, sent: bytes):
    """Greetings in TLS, lengths that could be read in two ways, heads without end."""
    with socket.create_connection(hasty.place) as connection:
        connection.sendall(sent)
        told = _read_all(connection)
    assert re.match(rb"HTTP/1.1 40[08] ", told)
    assert json.loads(told.partition(b"\r\n\r\n")[2])["code"] in ("no-http", "too-slow")
    assert b"x-content-type-options: nosniff" in told.lower()


def test_a_large_body_is_answered_and_not_cut_off(tmp_path: Path):
    """A caller that sends on past the limit still reads why it was refused."""
    with running(small_app(), tmp_path) as server, httpx2.Client(base_url=server.address) as client:
        refused = client.post("/api/echo", content=b"x" * 3_000_000)
        assert (refused.status_code, refused.json()["code"]) == (413, "too-large")
        parts = (b"x" * 100_000 for _ in range(30))
        assert client.post("/api/echo", content=parts).status_code == 413
        assert client.get("/api/health/live").status_code == 200


def test_a_fault_reaches_nobody_in_its_words(tmp_path: Path):
    """Neither the caller nor the log, a whole answer or half of one."""
    with running(small_app(), tmp_path) as server:
        assert httpx2.get(f"{server.address}/api/broken").status_code == 500
        with pytest.raises(httpx2.RemoteProtocolError):
            httpx2.get(f"{server.address}/api/half")
        server.stop()
        assert SECRET not in server.log.getvalue()
        assert server.log.getvalue().count('"event": "fault"') == 2


def test_an_app_that_does_not_start_is_a_fault(tmp_path: Path):
    """The server leaves the address, and says so to whoever started it; the app's own words stay out."""

    @contextlib.asynccontextmanager
    async def breaks(_: FastAPI) -> AsyncIterator[None]:
        raise ValueError(SECRET)
        yield

    settings, log = Settings(data=tmp_path, port=0), io.StringIO()
    door = open_door(settings)
    with pytest.raises(RuntimeError, match="the app did not start"):
        serve(FastAPI(lifespan=breaks), door, settings, open_log(None, log), ready=lambda: None)
    assert door.socket.fileno() == -1
    assert re.search(r"test_server\.py:\d+ breaks", log.getvalue())
    assert SECRET not in log.getvalue()


# --- start and stop -----------------------------------------------------------------------------

_PROGRAM = """
import sys
from pathlib import Path
from courtwright.api.logs import open_log
from courtwright.api.server import open_door, serve
from courtwright.api.settings import Settings
from tests.api.small_app import small_app
settings = Settings(data=Path(sys.argv[1]), port=0, stop_within_s=int(sys.argv[2]), log="-")
door = open_door(settings)
serve(small_app(), door, settings, open_log(None), ready=lambda: print(door.address, flush=True))
print("left in order", flush=True)
"""


class Program:
    """The server in a process of its own."""

    def __init__(self, data: Path, stop_within_s: int = 3) -> None:
        self.started = time.monotonic()
        self.process = subprocess.Popen(
            [sys.executable, "-c", _PROGRAM, str(data), str(stop_within_s)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        self.ready_s = time.monotonic() - self.started

    def ended(self) -> tuple[int, str, str]:
        """Return the exit code and what was printed."""
        out, err = self.process.communicate(timeout=20)
        return self.process.returncode, out, err


def test_it_is_ready_in_two_seconds(tmp_path: Path):
    """From its call, with all that it imports, to the line that it is ready; then it answers. Best of three."""
    took: list[float] = []
    for _ in range(3):
        program = Program(tmp_path)
        took.append(program.ready_s)
        assert httpx2.get(f"{program.address}/api/health/live").status_code == 200
        program.process.terminate()
        assert program.ended()[0] == 0
        if min(took) < READY_S:
            break
    assert min(took) < READY_S


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_a_stop_lets_running_requests_finish_and_ends_streams(tmp_path: Path, how: signal.Signals):
    """The request is answered whole, the stream ends whole, nobody new is taken, and it leaves with 0."""
    program = Program(tmp_path)
    got: dict[str, httpx2.Response] = {}

    def ask(name: str, path: str) -> None:
        got[name] = httpx2.get(program.address + path, timeout=10)

    threads = [
        threading.Thread(target=ask, args=("slow", "/api/slow?seconds=1.2")),
        threading.Thread(target=ask, args=("events", "/api/events")),
    ]
    for thread in threads:
        thread.start()
    time.sleep(0.5)
    program.process.send_signal(how)
    time.sleep(0.3)
    with pytest.raises(httpx2.ConnectError):
        httpx2.get(f"{program.address}/api/health/live")
    for thread in threads:
        thread.join(10)
    code, out, err = program.ended()
    assert (code, out) == (0, "left in order\n")
    assert got["slow"].json() == "done"
    assert got["events"].text.endswith("data: tick\n\n")
    assert "Traceback" not in err


def test_what_does_not_finish_in_time_is_told_to_come_again(tmp_path: Path):
    """After the time for stopping is over, a request that still runs is answered with 503."""
    program = Program(tmp_path, stop_within_s=1)
    got: list[httpx2.Response] = []
    asking = threading.Thread(
        target=lambda: got.append(httpx2.get(f"{program.address}/api/slow?seconds=30", timeout=20))
    )
    asking.start()
    time.sleep(0.5)
    program.process.terminate()
    asking.join(10)
    code, out, err = program.ended()
    assert (code, out) == (0, "left in order\n")
    assert (got[0].status_code, got[0].json()["code"]) == (503, "stopping")
    assert "Traceback" not in err
