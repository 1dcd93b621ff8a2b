"""Texts as they may come in: bounded, and without what no database, file or page can hold."""

from __future__ import annotations

import json
import unicodedata
from typing import Annotated, Any

from pydantic import AfterValidator, Field, StringConstraints

_LINE, _NOTE, _DEEP, _JSON = 200, 20_000, 8, 100_000
#: Larger whole numbers are not the same in every program that reads them, and cannot be sealed.
_LARGEST = 2**53 - 1


def _printable(text: str) -> str:
    for letter in text:
        if unicodedata.category(letter) in ("Cc", "Cs") and letter not in "\n\t":
            message = "holds a character that cannot be printed"
            raise ValueError(message)
    return text


def _one_line(text: str) -> str:
    if "\n" in text or "\t" in text:
        message = "must be one line"
        raise ValueError(message)
    return _printable(text)


def _plain(value: dict[str, Any]) -> dict[str, Any]:
    _walk(value, _DEEP)
    if len(json.dumps(value, ensure_ascii=False)) > _JSON:
        message = "is too long"
        raise ValueError(message)
    return value


def _walk(value: Any, deep: int) -> None:
    if deep == 0:
        message = "is nested too deeply"
        raise ValueError(message)
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
        message = "holds what is no number"
        raise ValueError(message)
    elif isinstance(value, int) and abs(value) > _LARGEST:
        message = "holds a number that is too large"
        raise ValueError(message)


#: One line, such as a name.
Line = Annotated[str, StringConstraints(max_length=_LINE), AfterValidator(_one_line)]
#: Some paragraphs.
Note = Annotated[str, StringConstraints(max_length=_NOTE), AfterValidator(_printable)]
#: Fields by name, as typed.
Fields = Annotated[dict[str, Any], AfterValidator(_plain)]


def _address(text: str) -> str:
    name, _, host = text.partition("@")
    if not name or not host or "@" in host or any(letter.isspace() for letter in text):
        message = "is no email address"
        raise ValueError(message)
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
