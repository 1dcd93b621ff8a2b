"""Reads a TOML table into a frozen record, strictly.

A key nobody knows is refused with the nearest known one; a missing key, a wrong kind of value or a
missing source is refused with the file and the place. Records are plain dataclasses; their
annotations are the schema.
"""

from __future__ import annotations

import dataclasses
import difflib
import tomllib
import types
import typing
from collections.abc import Iterator, Mapping
from decimal import Decimal
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from courtwright.errors import TradeDataError
from courtwright.says import say

T = TypeVar("T")


def folder(name: str) -> Iterator[Traversable]:
    """Yield the TOML files of one folder of the trade, by name."""
    there = files("courtwright.trade").joinpath(name)
    if not there.is_dir():
        return
    yield from sorted((f for f in there.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)


def named(name: str) -> Traversable:
    """Return the TOML file of a name that lies at the top of the trade."""
    return files("courtwright.trade").joinpath(name)


def load_toml(file: Traversable) -> dict[str, Any]:
    """Return the content of a TOML file of the trade, decimals kept as written.

    Raises
    ------
    TradeDataError
        If the file is not TOML.
    """
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise TradeDataError(say("trade.not-toml", detail=str(error)), where=file.name) from error


def record(kind: type[T], table: Mapping[str, Any], where: str) -> T:
    """Return ``table`` as a record of ``kind``.

    Raises
    ------
    TradeDataError
        If a key is unknown or missing, or a value is of another kind than the record's field.
    """
    hints = typing.get_type_hints(kind)
    fields = {f.name: f for f in dataclasses.fields(kind)}  # pyright: ignore[reportArgumentType]  # T is a dataclass by the contract above
    for key in table:
        if key not in fields:
            near = difflib.get_close_matches(key, fields, n=1)
            raise TradeDataError(
                say("trade.unknown-key", key=key, near=near[0] if near else "", known=", ".join(fields)), where=where
            )
    values: dict[str, Any] = {}
    for name, spec in fields.items():
        if name in table:
            values[name] = _value(hints[name], table[name], f"{where}, {name}")
        elif spec.default is dataclasses.MISSING and spec.default_factory is dataclasses.MISSING:
            raise TradeDataError(say("trade.missing-key", key=name), where=where)
    return kind(**values)


def _value(hint: Any, given: Any, where: str) -> Any:
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        return _value(next(a for a in args if a is not type(None)), given, where)
    if origin is tuple:
        return tuple(_value(args[0], item, f"{where}[{i}]") for i, item in enumerate(_of(list, given, where)))
    if origin in (dict, Mapping):
        return {
            _value(args[0], k, where): _value(args[1], v, f"{where}.{k}") for k, v in _of(dict, given, where).items()
        }
    if origin is typing.Literal:
        if given not in args:
            raise TradeDataError(
                say("trade.not-one-of", value=str(given), known=", ".join(map(str, args))), where=where
            )
        return given
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return record(hint, _of(dict, given, where), where)
    if hint is float:
        return float(_of((int, float, Decimal), given, where))
    if hint is Decimal:
        return Decimal(_of((int, Decimal), given, where))
    return given if hint is Any else _of(hint, given, where)


def _of(kind: Any, given: Any, where: str) -> Any:
    if not isinstance(given, kind) or (isinstance(given, bool) and kind is not bool):
        names = kind if isinstance(kind, tuple) else (kind,)
        raise TradeDataError(
            say("trade.wrong-kind", value=str(given), expected=", ".join(k.__name__ for k in names)), where=where
        )
    return given
