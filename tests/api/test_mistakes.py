"""What is wrong at one place of a request is said in words of ours, in both languages."""

from __future__ import annotations

import datetime as dt
from typing import Any, Literal
from uuid import UUID

import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from courtwright.api.mistakes import wrong_at
from courtwright.api.texts import Email, Fields, Name
from courtwright.trade.words import render


def _deep(levels: int) -> dict[str, object]:
    return {"a": _deep(levels - 1)} if levels else {}


class Everything(BaseModel):
    """One field of each kind that routes take."""

    model_config = ConfigDict(extra="forbid")

    text: str = Field("aa", min_length=2, max_length=3)
    number: int = Field(1, ge=1, le=3)
    flag: bool = False
    on: dt.date = Field(dt.date(2026, 5, 4), ge=dt.date(2000, 1, 1))
    at: dt.datetime | None = None
    id: UUID | None = None
    of: dict[str, Any] = Field(default_factory=dict)
    these: list[str] = Field(default_factory=list, max_length=1)
    what: Literal["check", "price"] = "check"
    email: Email = "a@b"
    name: Name = "a"
    fields: Fields = Field(default_factory=dict)


@pytest.mark.parametrize(
    ("given", "en", "es"),
    [
        ({"text": 5}, "this is to be text", "esto ha de ser texto"),
        ({"text": "a"}, "at least 2 letters are wanted", "hacen falta al menos 2 letras"),
        ({"text": "aaaa"}, "at most 3 letters are taken", "se toman 3 letras como máximo"),
        ({"number": "x"}, "this is to be a whole number", "esto ha de ser un número entero"),
        ({"number": 1.5}, "this is to be a whole number", "esto ha de ser un número entero"),
        ({"number": 0}, "this is to be 1 or more", "esto ha de ser 1 o más"),
        ({"number": 4}, "this is to be 3 or less", "esto ha de ser 3 o menos"),
        ({"flag": "x"}, "this is to be true or false", "esto ha de ser true o false"),
        ({"on": "x"}, "this is to be a date such as 2026-05-04", "esto ha de ser una fecha como 2026-05-04"),
        (
            {"at": []},
            "this is to be a moment such as 2026-05-04T16:30:00Z",
            "esto ha de ser un momento como 2026-05-04",
        ),
        ({"id": "x"}, "this is to be an id, such as", "esto ha de ser un identificador, como"),
        ({"of": []}, "this is to be an object, in braces", "esto ha de ser un objeto, entre llaves"),
        ({"these": "x"}, "this is to be a list, in brackets", "esto ha de ser una lista, entre corchetes"),
        ({"these": ["a", "b"]}, "at most 1 entries are taken", "se toman 1 entradas como máximo"),
        ({"what": "x"}, "this is to be one of 'check', 'price'", "esto ha de ser uno de 'check', 'price'"),
        ({"email": "ana"}, "this is no email address", "esto no es una dirección de correo"),
        ({"name": "a\nb"}, "this is to be one line", "esto ha de ser una sola línea"),
        ({"name": "a\0b"}, "this holds a character that cannot be printed", "esto contiene un carácter que no"),
        ({"fields": {"a": 2**60}}, "this holds a number that is too large", "esto contiene un número demasiado"),
        ({"fields": {"a": float("nan")}}, "this holds what is no number", "esto contiene algo que no es un número"),
        ({"fields": {"a": "x" * 100_000}}, "this is too long", "esto es demasiado largo"),
        ({"fields": _deep(9)}, "this has too many things within things", "esto tiene demasiadas cosas dentro"),
        ({"more": 1}, "nothing of this name is taken here", "aquí no se toma nada con este nombre"),
    ],
)
def test_each_mistake_has_its_words(given: dict[str, object], en: str, es: str) -> None:
    """Of whatever kind a field is."""
    with pytest.raises(ValidationError) as wrong:
        Everything.model_validate(given)
    says = wrong_at(dict(wrong.value.errors()[0]))
    assert render(says, "en").startswith(en)
    assert render(says, "es").startswith(es)


def test_what_nobody_thought_of_is_told_plainly() -> None:
    """No English of the library comes through."""
    assert render(wrong_at({"type": "is_instance_of", "msg": "Input should be"}), "es") == "esto no puede quedar así"
