"""Raises or returns what it is told: the foreseen, the unforeseen and the odd."""

import datetime as dt
import threading
from collections.abc import Callable
from decimal import Decimal

from courtwright.errors import ArchiveError, BusyError, CourtwrightError, InputError
from courtwright.says import say
from courtwright.site import Complaint, NothingLeftError


class SilentError(Exception):
    """Cannot even say what it is."""

    def __str__(self) -> str:
        raise RuntimeError("nothing to say")


class HeldError(Exception):
    """Holds what no other process can take."""

    def __init__(self) -> None:
        super().__init__(threading.Lock(), lambda: None)


class Unsayable:
    """A value without words."""

    def __str__(self) -> str:
        raise RuntimeError("nothing to say")


def _value() -> CourtwrightError:
    values = {
        "width": Decimal("0.5"),
        "day": dt.date(2026, 4, 11),
        "none": None,
        "inside": say("words.crack", depth=float("inf")),
        "all": (1, "two", say("words.heave")),
        "odd": Unsayable(),
        "long": "x" * 100_000,
    }
    return InputError(say("site.nothing-left", **values), where="site.toml", fix=say("site.nothing-left-do"))


def _complaints() -> CourtwrightError:
    wrong = Complaint(
        "marks.geojson", "feature 3", "few-points", "error", say("site.photo-broken"), say("site.photo-broken-do")
    )
    return NothingLeftError(say("site.nothing-left"), "walk", say("site.nothing-left-do"), (wrong,))


def _damaged() -> CourtwrightError:
    error = InputError(say("site.nothing-left"))
    error.problem = None
    return error


RAISES: dict[str, Callable[[], BaseException]] = {
    "archive": lambda: ArchiveError(say("site.archive-broken"), where="walk.zip"),
    "busy": lambda: BusyError(say("store.busy")),
    "value": _value,
    "complaints": _complaints,
    "damaged": _damaged,
    "zero": lambda: ZeroDivisionError("by nought"),
    "silent": SilentError,
    "held": HeldError,
    "interrupt": KeyboardInterrupt,
    "deep": RecursionError,
    "surrogate": lambda: ValueError("\udcff"),
}


def run(payload: bytes, told: Callable[[int, int], None]) -> bytes:
    if payload == b"not bytes":
        return "text"
    raise RAISES[payload.decode()]()
