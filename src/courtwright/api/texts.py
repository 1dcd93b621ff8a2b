"""Texts as they may come in: bounded, and without what no database, file or page can hold."""

from __future__ import annotations

import json
import unicodedata
from typing import Annotated, Any, LiteralString

from pydantic import AfterValidator, Field, StringConstraints
from pydantic_core import PydanticCustomError

_LINE, _NOTE, _DEEP, _JSON = 200, 20_000, 8, 100_000
#: Larger whole numbers are not the same in every program that reads them, and cannot be sealed.
_LARGEST = 2**53 - 1


def _wrong(name: LiteralString) -> PydanticCustomError:
    """Return a mistake that `mistakes` has words for."""
    return PydanticCustomError(name, "cannot stand so")


def _printable(text: str) -> str:
    for letter in text:
        if unicodedata.category(letter) in ("Cc", "Cs") and letter not in "\n\t":
            raise _wrong("printed")
    return text


def _one_line(text: str) -> str:
    if "\n" in text or "\t" in text:
        raise _wrong("line")
    return _printable(text)


def _plain(value: dict[str, Any]) -> dict[str, Any]:
    _walk(value, _DEEP)
    if len(json.dumps(value, ensure_ascii=False)) > _JSON:
        raise _wrong("long")
    return value


def _walk(value: Any, deep: int) -> None:
    if deep == 0:
        raise _wrong("deep")
    if isinstance(value, str):
        _printable(value)
    elif isinstance(value, dict):
        for name, part in value.items():
            _printable(str(name))
            _walk(part, deep - 1)
    elif isinstance(value, list):
        for part in value:
            _walk(part, deep - 1)
    elif isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        raise _wrong("no-number")
    elif isinstance(value, int) and abs(value) > _LARGEST:
        raise _wrong("large-number")


#: One line, such as a name.
Line = Annotated[str, StringConstraints(max_length=_LINE), AfterValidator(_one_line)]
#: Some paragraphs.
Note = Annotated[str, StringConstraints(max_length=_NOTE), AfterValidator(_printable)]
#: Fields by name, as typed.
Fields = Annotated[dict[str, Any], AfterValidator(_plain)]


def _address(text: str) -> str:
    name, _, host = text.partition("@")
    if not name or not host or "@" in host or any(letter.isspace() for letter in text):
        raise _wrong("email")
    return text.lower()


#: What somebody or something is called: one line that says something.
Name = Annotated[
    str, StringConstraints(min_length=1, max_length=_LINE, strip_whitespace=True), AfterValidator(_one_line)
]
#: An email address, in small letters.
Email = Annotated[
    str,
    StringConstraints(max_length=_LINE, strip_whitespace=True),
    AfterValidator(_one_line),
    AfterValidator(_address),
    Field(json_schema_extra={"format": "email"}),
]
#: A password or a token: never shown where what came in is shown.
Secret = Annotated[str, StringConstraints(max_length=_LINE), AfterValidator(_one_line), Field(repr=False)]
