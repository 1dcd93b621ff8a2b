"""What is wrong at one place of a request, in the reader's words: what the library tells is English and its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from courtwright.says import Says, say

#: What `texts` finds wrong.
_OURS = ("printed", "line", "long", "deep", "no-number", "large-number", "email")
#: What was expected, by how the library's name for the mistake begins.
_KINDS = (
    ("datetime", "moment"),
    ("date", "date"),
    ("string", "text"),
    ("int", "number"),
    ("bool", "flag"),
    ("uuid", "id"),
    ("dict", "object"),
    ("model", "object"),
    ("list", "list"),
)
#: Where a bound stands in what the library tells, and the text that says it.
_BOUNDS: Mapping[str, tuple[str, str]] = {
    "string_too_long": ("max_length", "letters-most"),
    "string_too_short": ("min_length", "letters-least"),
    "too_long": ("max_length", "entries-most"),
    "greater_than_equal": ("ge", "least"),
    "less_than_equal": ("le", "most"),
}


def wrong_at(mistake: Mapping[str, Any]) -> Says:
    """Return what is wrong at one place.

    Parameters
    ----------
    mistake : mapping
        As pydantic tells it, of its own or of `texts`: ``type`` and, with some, ``ctx``.

    Examples
    --------
    >>> wrong_at({"type": "missing"}).id, wrong_at({"type": "uuid_parsing"}).id
    ('api.place-missing', 'api.place-id')
    >>> wrong_at({"type": "string_too_long", "ctx": {"max_length": 200}}).id
    'api.place-letters-most'
    """
    name, told = str(mistake["type"]), mistake.get("ctx") or {}
    if name in _OURS:
        return say(f"api.place-{name}")
    if name == "missing":
        return say("api.place-missing")
    if name == "extra_forbidden":
        return say("api.place-unknown")
    if name == "literal_error":
        return say("api.place-one-of", names=str(told["expected"]).replace(" or ", ", "))
    if name in _BOUNDS:
        bound, text = _BOUNDS[name]
        if isinstance(told[bound], int | float):
            return say(f"api.place-{text}", bound=int(told[bound]))
        # The first and the last day, which stand as text.
        return say("api.place-day", bound=str(told[bound]))
    if name.endswith(("_type", "_parsing", "_from_float", "_inexact")):
        for begin, kind in _KINDS:
            if name.startswith(begin):
                return say(f"api.place-{kind}")
    return say("api.place-other")
