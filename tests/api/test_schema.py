"""The schema says all that the service answers: tried by a machine that makes requests from it, right ones and wrong.

Ids in addresses are those of real records most of the time, so that what is asked is done and not only refused.
"""

from __future__ import annotations

import base64
import io
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from schemathesis.transport.serialization import serialize_binary

from courtwright.api import watching
from courtwright.api.edge import Edge, around
from courtwright.api.edge.streams import OpenStreams
from courtwright.api.logs import open_log
from courtwright.api.problem import MEDIA
from courtwright.api.routes.uploads import PARTIAL
from tests.api.meant import PAGES, address, cookie_headers, sent_with, version_header
from tests.api.test_rights import RIGHTS, WHO, is_safe
from tests.api.world import World, on_postgresql, on_sqlite, quick_hashes

__all__ = ["quick_hashes"]
pytestmark = pytest.mark.soak

POSITIVE, NEGATIVE = schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
OPERATIONS = sorted(set(RIGHTS) - set(PAGES))


@schemathesis.serializer(PARTIAL)
def _as_it_is(context: Any, value: Any) -> dict[str, Any]:
    """Send a part of a file as the bytes that it is."""
    return {"data": serialize_binary(value)}


#: So many cases of each operation; ``make soak`` tries many more.
CASES = max(12, settings().max_examples // 10)
#: What no machine guesses is sent as it is meant: a token, a password, a file, what is offered. Such a request is done
#: only when all of its body is right.
ONLY_AS_MEANT = {
    "POST /api/session": "an address with its password",
    "POST /api/me/password": "the password until now",
    "POST /api/entry/look": "a token",
    "POST /api/entry/set-up": "nobody can, once a company is set up",
    "POST /api/entry/sign-in": "a token",
    "POST /api/entry/password": "a token",
    "POST /api/invitations/accept": "a token",
    "POST /api/customer/session": "a token",
    "POST /api/customer/accept": "the sentence as it was shown",
    "PUT /api/offers/{id}/acceptance": "the options that are offered",
    "PUT /api/company/logo": "a picture",
    "POST /api/jobs/{id}/walks/file": "a file of a walk",
    "POST /api/walks/{id}/updates": "envelopes",
    "GET /api/seals/{code}": "a code",
}
#: What was answered to each operation, by whether any of it was made by the machine, and by status.
SEEN: dict[str, Counter[tuple[bool, int]]] = {operation: Counter() for operation in OPERATIONS}
#: Places in a list, real and damaged; of vectors and of names of files likewise.
CURSORS = [
    base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")
    for text in (
        "2026-05-04T09:00:00+00:00 00000000-0000-0000-0000-000000000013",
        "0001-01-01T00:00:00+23:59 x",
        "9999-12-31T23:59:59-23:59 x",
        "2026-05-04 x",
        " ",
    )
]
VECTORS = ["", "AA", "AQcA", base64.b64encode(b"\xff" * 40).decode(), "AQ", "////////////"]
NAMES = ["estimate.json", "offer.json", "site.toml", "offer.pdf", "plan-a.svg", "../offer.json"]


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def world(request: pytest.FixtureRequest, quick_hashes: None, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Give a world on each database; the second is stricter with texts and numbers, and slower to put back."""
    folder = tmp_path_factory.mktemp("world")
    if request.param == "sqlite":
        made = on_sqlite(folder, request.getfixturevalue("sqlite_template"))
    else:
        made = on_postgresql(folder, request.getfixturevalue("postgres_shared"))
    yield made
    made.close()


@pytest.fixture(scope="module")
def log() -> io.StringIO:
    """Return where the service tells of faults."""
    return io.StringIO()


@pytest.fixture(scope="module")
def schema(world: World, log: io.StringIO) -> Iterator[Any]:
    """Give the schema of the app behind its guards, as it is served."""
    served = around(world.company.app, Edge(("testserver",)), open_log(None, log), OpenStreams())
    config = schemathesis.Config()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(watching, "LONGEST", 0.01)
        patch.setattr(watching, "LOOK", 0.01)
        yield schemathesis.openapi.from_asgi("/api/openapi.json", served, config=config)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_every_answer_is_as_declared(world: World, schema: Any, log: io.StringIO, operation: str) -> None:
    """No fault, no status, type, header or body that the schema does not tell; and what is asked gets done."""
    method, _, path = operation.partition(" ")
    found = schema[path][method]

    is_quick = world.office.store.engine.dialect.name == "sqlite"
    seen = Counter[tuple[bool, int]]()

    @settings(max_examples=CASES if is_quick else CASES // 4, deadline=None, suppress_health_check=list(HealthCheck))
    @given(data=st.data())
    def answered(data: st.DataObject) -> None:
        case, is_made = _case(world, found, operation, data)
        answer = case.call()
        seen[is_made, answer.status_code] += 1
        try:
            case.validate_response(answer, checks=CHECKS)
            if answer.status_code >= 400:
                assert answer.headers["content-type"] == [MEDIA], answer.headers
        except BaseException:
            note(log.getvalue()[-2000:])
            raise
        finally:
            is_changed = not is_safe(operation) and answer.status_code < 400
            # Where it takes long, only whoever signed themselves out is let in again.
            if answer.status_code == 401 or (is_changed and is_quick):
                world.restore()

    try:
        answered()
    finally:
        SEEN[operation] += seen
        if not is_safe(operation):
            world.restore()
    done = [is_made for is_made, status in seen if status < 300]
    if is_quick:
        assert any(done) or operation in ONLY_AS_MEANT, seen
        assert done or operation == "POST /api/entry/set-up", seen


def _case(world: World, found: Any, operation: str, data: st.DataObject) -> tuple[Any, bool]:
    """Return a case, and whether a machine made any of what is sent beside ids and versions."""
    mode = data.draw(st.sampled_from((POSITIVE, POSITIVE, NEGATIVE)), "mode")
    case = data.draw(found.as_strategy(generation_mode=mode), "case")
    whose = "customer" if " /api/customer" in operation else "person"
    callers = ("acceptor",) * 3 + ("reader", "customer of b") if whose == "customer" else ("head",) * 8 + ("crew on",)
    who = data.draw(st.sampled_from(callers), "who")
    targets = sorted(RIGHTS[operation])
    theirs = [target for target in targets if WHO[RIGHTS[operation][target]].get(who) == "yes"] or targets
    target = data.draw(st.sampled_from(theirs * 3 + targets), "target")
    meant = sent_with(world, operation, target)
    _, named = address(world, operation, target, who)
    _put_ids(world, case, operation, named, data)
    _put_headers(world, case, operation, named, who, dict(meant.headers), data)
    is_made = _put_query(case, dict(meant.params), data)
    return case, _put_body(world, case, meant, data) or is_made


def _put_ids(world: World, case: Any, operation: str, named: list[str], data: st.DataObject) -> None:
    """Name real records in the address, most of the time: those that belong together, or any of their kinds."""
    if data.draw(st.integers(0, 9), "ids") < 7:
        case.path_parameters.update(
            {name: world.ids.get(word, word) for name, word in zip(case.path_parameters, named, strict=False)}
        )
        return
    for name, word in zip(list(case.path_parameters), named, strict=False):
        same = sorted(id for other, id in world.ids.items() if other.partition(" ")[0] == word.partition(" ")[0])
        if same and data.draw(st.booleans(), f"real {name}"):
            case.path_parameters[name] = data.draw(st.sampled_from(same), name)


def _put_headers(
    world: World, case: Any, operation: str, named: list[str], who: str, meant: dict[str, str], data: st.DataObject
) -> None:
    """Send the cookie and the word of somebody, and mostly the version that they saw."""
    case.cookies.clear()
    for name in [name for name in case.headers if name.lower() in ("cookie", "x-csrf-token")]:
        del case.headers[name]
    case.headers.update(cookie_headers(world.callers[who], operation, is_https=False))
    version = version_header(world, operation, named, who)
    if "if-match" in {one.name.lower() for one in case.operation.headers}:
        choice = data.draw(st.integers(0, 9), "version")
        if choice < 8:
            case.headers["If-Match"] = version.get("If-Match", '"1"')
        elif choice == 8:
            case.headers["If-Match"] = '"77"'
    meant.pop("Content-Type", None)
    if meant and data.draw(st.integers(0, 3), "headers as meant"):
        case.headers.update(meant)


def _put_query(case: Any, meant: dict[str, str], data: st.DataObject) -> bool:
    """Ask for what is there, some of the time; tell whether the machine asked."""
    if meant and data.draw(st.booleans(), "query as meant"):
        case.query.update(meant)
        return False
    for name, known in (("after", CURSORS), ("since", VECTORS), ("name", NAMES)):
        is_number = isinstance(case.query.get(name), int)
        if name in {one.name for one in case.operation.query} and not is_number and data.draw(st.booleans(), name):
            case.query[name] = data.draw(st.sampled_from(known), f"{name} of ours")
    return True


def _put_body(world: World, case: Any, meant: Any, data: st.DataObject) -> bool:
    """Send what is meant, some of the time, or a part of it; tell whether the machine made any of it."""
    choice = data.draw(st.integers(0, 9), "body")
    if meant.content is not None:
        if choice < 4:
            case.body = meant.content
            return False
        if choice < 7:
            cut, byte = data.draw(st.integers(0, len(meant.content) - 1), "cut"), data.draw(st.binary(max_size=3), "in")
            case.body = meant.content[:cut] + byte + meant.content[cut + 1 :]
        return True
    if meant.json is None:
        return True
    if choice < 3:
        case.body, case.media_type = meant.json, "application/json"
        return False
    if isinstance(case.body, dict):
        kept = data.draw(st.sets(st.sampled_from(sorted(meant.json))), "kept") if choice < 7 else set[str]()
        # Ids and tokens of nobody say little.
        kept |= {"walk_id", "token"} & set(meant.json) if choice < 9 else set()
        case.body = {**case.body, **{name: meant.json[name] for name in kept}}
    return True
