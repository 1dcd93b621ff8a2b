"""For every operation a request that is as it should be, so that nothing but the caller's rights decides.

A request is about a target: ids of the world in the order of the address, by name, and perhaps a word for its body:
``walk a``, ``offer sent, link reader``, ``walk a, price``. ``own`` stands for whoever asks.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from courtwright.api import cookies
from courtwright.api.conditional import tag
from courtwright.api.csrf import csrf_token
from courtwright.store.rows.company import COMPANY
from courtwright.store.rows.house_rates import HOUSE_RATES
from tests.api.world import SURVEY, Someone, World, a_logo, typed_on_a_phone
from tests.company import PASSWORD
from tests.desk.kinds.demo import BARE, zipped
from tests.desk.offered import ISSUED, WHO

OTHER_PASSWORD = "seven green gates under rain"
OCTETS = {"Content-Type": "application/octet-stream"}
FORM = {"Content-Type": "application/x-www-form-urlencoded"}
#: Beside the schema: the client, what a browser shows before it, and the schema itself.
PAGES = (
    *(
        f"{way} {path}"
        for path in (
            "/",
            "/offer",
            "/assets/{name}",
            "/icons/{name}",
            "/sw.js",
            "/manifest.webmanifest",
            "/api/openapi.json",
        )
        for way in ("GET", "HEAD")
    ),
    "GET /enter",
    "POST /enter",
    "GET /join",
    "POST /join",
    "GET /enter.css",
    "GET /enter.ttf",
)


@dataclass
class Meant:
    """What is sent, but for who sends it."""

    json: Any = None
    content: bytes | None = None
    data: Mapping[str, str] | None = None
    params: Mapping[str, str] = field(default_factory=dict[str, str])
    headers: Mapping[str, str] = field(default_factory=dict[str, str])

    def values(self) -> dict[str, Any]:
        """Return it as a client takes it."""
        found = {"json": self.json, "content": self.content, "data": self.data}
        return {name: value for name, value in found.items() if value is not None} | {"params": dict(self.params)}


Make = Callable[[World, str], Meant]


def _json(**values: Any) -> Make:
    return lambda world, word: Meant(json=values)


def _told(make: Callable[[World], Any]) -> Make:
    return lambda world, word: Meant(json=make(world))


def _form(make: Callable[[World], Mapping[str, str]]) -> Make:
    return lambda world, word: Meant(data=make(world))


def _accepted(world: World, **more: Any) -> dict[str, Any]:
    with world.office.reading() as unit:
        says = unit.offers.get(world.ids["offer sent"]).says
    return {"options": {pad["id"]: pad["options"][0]["id"] for pad in says["pads"]}, "name": WHO, **more}


def _new_file(world: World, word: str) -> Meant:
    data = SURVEY + b"5,4,4,0.04\n"
    sha256 = hashlib.sha256(data).hexdigest()
    return Meant(json={"sha256": sha256, "size_bytes": len(data), "name": "b.csv", "kind": "survey"})


def _look(world: World, word: str) -> Meant:
    """Look at the survey file that the walk has."""
    name = word.split()[-1]
    sha256 = hashlib.sha256(SURVEY + f"{name}\n".encode()).hexdigest()
    return Meant(json={"sha256": sha256, "pad": world.ids.get(f"pad {name}", world.ids["pad a"])})


def _token(name: str, /, **more: str) -> Make:
    return _told(lambda world: {"token": world.ids[f"token {name}"], **more})


#: What an operation is sent with beside its address and the version that was seen.
_SENT: Mapping[str, Make] = {
    "POST /api/session": _json(email="bo@courts.example", password=PASSWORD),
    "PUT /api/people/{id}/role": _json(role="crew"),
    "PATCH /api/me": _json(name="Somebody else"),
    "POST /api/me/password": _json(old=PASSWORD, new=OTHER_PASSWORD),
    "POST /api/invitations": _json(role="crew", email="gus@courts.example"),
    "POST /api/invitations/accept": _token("invitation", name="Fay", password=PASSWORD),
    "POST /api/entry/look": _token("sign-in"),
    "POST /api/entry/set-up": _token(
        "sign-in", name="Hal", email="hal@courts.example", password=PASSWORD, company="Hal's"
    ),
    "POST /api/entry/sign-in": _token("sign-in"),
    "POST /api/entry/password": _token("password", password=OTHER_PASSWORD),
    "PUT /api/company": _json(name="Even Courts"),
    "PUT /api/company/rates": _json(rates={"lines.swale": {"value": "28,50", "date": "2026-05-04"}}),
    "POST /api/company/rates/read": lambda world, word: Meant(
        content=b"id,value\nlines.swale,27.5\n", headers={"Content-Type": "text/csv"}
    ),
    "PUT /api/company/logo": lambda world, word: Meant(content=a_logo(), headers={"Content-Type": "image/png"}),
    "POST /api/jobs": _json(name="Three courts"),
    "PATCH /api/jobs/{id}": _json(name="Three courts"),
    "POST /api/jobs/{id}/walks": _json(name="Second walk"),
    "PATCH /api/walks/{id}": _json(name="First walk"),
    "POST /api/jobs/{id}/walks/file": lambda world, word: Meant(
        content=zipped({**BARE, "photos/note.txt": b""}), headers=OCTETS
    ),
    "POST /api/walks/{id}/updates": lambda world, word: Meant(content=typed_on_a_phone(), headers=OCTETS),
    "POST /api/walks/{id}/uploads": _new_file,
    "PATCH /api/uploads/{id}": lambda world, word: Meant(
        content=b"0", headers={"Content-Type": "application/partial-upload", "Upload-Offset": "20"}
    ),
    "POST /api/walks/{id}/answers": lambda world, word: Meant(json={"what": word}),
    "POST /api/walks/{id}/stakes": _json(pad="a"),
    "POST /api/walks/{id}/surveys/looks": _look,
    "POST /api/jobs/{id}/offers": lambda world, word: Meant(
        json={"walk_id": world.ids[f"walk {word}"], "issued_on": ISSUED.isoformat()}
    ),
    "PATCH /api/offers/{id}": _json(seed=2),
    "GET /api/offers/{id}/file": lambda world, word: Meant(params={"name": world.ids["file"]}),
    "GET /api/offers/{id}/input": lambda world, word: Meant(params={"name": "site.toml"}),
    "PUT /api/offers/{id}/acceptance": _told(lambda world: _accepted(world, signed_on=ISSUED.isoformat())),
    "POST /api/offers/{id}/decline": _json(because="too dear"),
    "POST /api/offers/{id}/links": _json(scope="read"),
    "PUT /api/offers/{id}/questions/{question_id}/answer": _json(answer="In May."),
    "POST /api/customer/session": _token("reader"),
    "GET /api/customer/file": lambda world, word: Meant(params={"name": "offer.json"}),
    "POST /api/customer/questions": _json(text="When?"),
    "POST /api/customer/accept": _told(lambda world: _accepted(world, consent=world.ids["consent"])),
    "POST /api/customer/decline": _json(because="too dear"),
    "GET /enter": lambda world, word: Meant(params={"token": world.ids["token sign-in"]}),
    "POST /enter": _form(lambda world: {"token": world.ids["token sign-in"]}),
    "GET /join": lambda world, word: Meant(params={"token": world.ids["token invitation"]}),
    "POST /join": _form(lambda world: {"token": world.ids["token invitation"], "name": "Fay", "password": PASSWORD}),
}
_PART = re.compile(r"\{\w+\}")


def address(world: World, operation: str, target: str, who: str) -> tuple[str, list[str]]:
    """Return the address of a request, and the words of its target that name ids in it.

    Parameters
    ----------
    world, operation
        Where, and what: ``GET /api/jobs/{id}``.
    target
        About what.
    who
        Of the callers of the world.
    """
    path = operation.partition(" ")[2]
    words = [_own(world, word, who) for word in target.split(", ")]
    named = words[: len(_PART.findall(path))]
    for word in named:
        path = _PART.sub(lambda _, word=word: world.ids.get(word, word), path, count=1)
    return path, named


def _own(world: World, word: str, who: str) -> str:
    kind, _, rest = word.partition(" ")
    if rest != "own":
        return word
    for name in (f"{kind} own {who}", f"{kind} {who}", f"{kind} own estimator"):
        if name in world.ids:
            return name
    return f"{kind} estimator"


def sent_with(world: World, operation: str, target: str) -> Meant:
    """Return what an operation is sent with."""
    make = _SENT.get(operation)
    return make(world, target.rpartition(", ")[2]) if make else Meant()


def version_header(world: World, operation: str, named: list[str], who: str) -> dict[str, str]:
    """Return the version of the record that a request is about, as If-Match."""
    path = operation.partition(" ")[2]
    if named:
        table, id = named[-1].partition(" ")[0], world.ids.get(named[-1], "")
    elif path == "/api/company/rates":
        table, id = "house_rates", HOUSE_RATES
    elif path.startswith("/api/company"):
        table, id = "company", COMPANY
    elif path.startswith("/api/me") and world.callers[who].id:
        table, id = "person", world.callers[who].id
    else:
        return {}
    return {"If-Match": tag(world.version(table, id) if id else 1)} if table != "seal" else {}


def cookie_headers(someone: Someone, operation: str, *, is_https: bool = True) -> dict[str, str]:
    """Return what a browser of theirs and our page in it send along."""
    front = "__Host-" if is_https else ""
    given = {cookies.SESSION: someone.person, cookies.OFFER: someone.offer}
    pairs = "; ".join(f"{front}{name}={token}" for name, token in given.items() if token)
    # Each of the two halves of the service has a page of its own.
    token = someone.offer if " /api/customer" in operation else someone.person
    headers = {"X-CSRF-Token": csrf_token(token)} if token else {}
    return {**headers, "Cookie": pairs} if pairs else headers
