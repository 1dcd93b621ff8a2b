"""What a worker tells, as bytes: plain data only, so that nothing a kind of work raises can hurt who asked for it."""

from __future__ import annotations

import datetime as dt
import json
import math
import struct
from collections.abc import Iterator
from decimal import Decimal
from numbers import Real
from typing import Any

from courtwright import errors
from courtwright.errors import CourtwrightError
from courtwright.says import Says, say

#: First byte of a message: the worker is ready; it has a call in hand; a step of it is done.
READY, BEGUN, STEP = b"w", b"b", b"s"
#: And of the last message of a call: the result; why there is none; no memory; a fault.
RESULT, REFUSAL, MEMORY, FAULT = b"r", b"e", b"m", b"f"
_STEP = struct.Struct(">qq")
_LONGEST_TEXT = 2_000
_DEEPEST = 20


def step(done: int, of: int) -> bytes:
    """Return the message that so many steps of so many are done [-]."""
    return STEP + _STEP.pack(done, of)


def read_step(message: bytes) -> tuple[int, int]:
    """Return what a message of a step tells."""
    done, of = _STEP.unpack(message[1:])
    return done, of


def refusal(error: CourtwrightError) -> bytes:
    """Return the message of an error that was foreseen: codes, sentences and their values."""
    told = {
        "codes": [kind.code for kind in type(error).__mro__ if issubclass(kind, CourtwrightError)],
        "problem": _sentence(error.problem),
        "where": _text(error.where),
        "fix": _sentence(error.fix) if error.fix else None,
        "complaints": [
            [_text(c.file), _text(c.at), c.code, c.weight, _sentence(c.says), _sentence(c.do)]
            for c in getattr(error, "complaints", ())
        ],
    }
    return REFUSAL + json.dumps(told).encode()


def read_refusal(message: bytes) -> CourtwrightError:
    """Return the error that a message tells of, to be raised: of the same class, or the nearest that all know."""
    told: dict[str, Any] = json.loads(message[1:])
    problem, fix = _said(told["problem"]), _said(told["fix"]) if told["fix"] else None
    if told["complaints"]:
        return _nothing_left(problem, told["where"], fix, told["complaints"])
    known = {kind.code: kind for kind in _tree(CourtwrightError) if kind.__module__ == errors.__name__}
    kind = next(known[code] for code in told["codes"] if code in known)
    return kind(problem, told["where"], fix)


def _nothing_left(problem: Says, where: str, fix: Says | None, complaints: list[Any]) -> CourtwrightError:
    # Loaded only when a site was refused with its complaints: who merely waits for a worker has no need of the room.
    from courtwright.site import Complaint, NothingLeftError

    found = (Complaint(file, at, code, weight, _said(s), _said(do)) for file, at, code, weight, s, do in complaints)
    return NothingLeftError(problem, where, fix or say("site.nothing-left-do"), tuple(found))


def _tree(kind: type[CourtwrightError]) -> Iterator[type[CourtwrightError]]:
    yield kind
    for below in kind.__subclasses__():
        yield from _tree(below)


def _sentence(says: object) -> object:
    if not isinstance(says, Says):
        raise TypeError(f"{type(says).__name__} is no sentence")
    return _plain(says)


def _plain(value: object, depth: int = 0) -> object:
    """Return a value of a sentence as JSON holds it; what has no such form becomes its text."""
    if depth > _DEEPEST:
        return "…"
    match value:
        case Says():
            return {"says": value.id, "values": {k: _plain(v, depth + 1) for k, v in value.values.items()}}
        case None | bool():
            return value
        case int():
            return value
        case Real() | Decimal():
            return _number(float(value))
        case tuple() | list():
            return [_plain(item, depth + 1) for item in value]
        case dt.date():
            return value.isoformat()
        case _:
            return _text(value)


def _number(value: float) -> float | str:
    return value if math.isfinite(value) else str(value)


def _text(value: object) -> str:
    try:
        return str(value)[:_LONGEST_TEXT]
    except Exception:  # a value may be anything, with any way to fail
        return type(value).__name__


def _said(plain: Any) -> Says:
    return Says(plain["says"], {name: _value(value) for name, value in plain["values"].items()})


def _value(plain: Any) -> object:
    if isinstance(plain, dict):
        return _said(plain)
    return tuple(_value(item) for item in plain) if isinstance(plain, list) else plain
