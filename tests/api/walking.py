"""An app whose caller says who they are, and phones that send it what was typed on them."""

from __future__ import annotations

import base64
import uuid

from fastapi import Request
from fastapi.testclient import TestClient
from httpx2 import Response

from courtwright.api.app import create_app
from courtwright.api.who import signed_in
from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.store.walk.envelope import unpack_all
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, HEAD
from tests.store.walk.phones import Phone

CALLERS = {"head": HEAD, "estimator": ESTIMATOR, "crew": CREW, "crew off": CREW_OFF}
OCTETS = {"Content-Type": "application/octet-stream"}


def caller_of(request: Request) -> Caller:
    """Return who asks, as the request says."""
    return CALLERS[request.headers.get("x-who", "estimator")]


def client_of(office: Office) -> TestClient:
    """Return a client of an app on an office."""
    app = create_app(office)
    app.dependency_overrides[signed_in] = caller_of
    return TestClient(app)


def who(name: str) -> dict[str, str]:
    """Return the header by which a request says who asks."""
    return {"x-who": name}


def new_walk(client: TestClient, job_id: str, **given: object) -> str:
    """Return the address of a new walk."""
    answer = client.post(f"/api/jobs/{job_id}/walks", json={"id": str(uuid.uuid4()), **given})
    assert answer.status_code == 201, answer.text
    return answer.headers["location"]


def send(client: TestClient, url: str, body: bytes, name: str = "estimator") -> Response:
    """Send envelopes."""
    return client.post(f"{url}/updates", content=body, headers={**OCTETS, **who(name)})


def send_all(client: TestClient, url: str, phone: Phone) -> Response:
    """Send everything that was typed on a phone, again and again the same."""
    return send(client, url, b"".join(phone.envelope(update) for update in phone.made))


def receive(client: TestClient, url: str, phone: Phone) -> Response:
    """Bring a phone up to what the office knows."""
    since = base64.urlsafe_b64encode(phone.doc.get_state()).decode()
    answer = client.get(f"{url}/updates", params={"since": since})
    assert answer.status_code == 200, answer.text
    for envelope in unpack_all(answer.content):
        phone.receive(envelope.update)
    return answer
