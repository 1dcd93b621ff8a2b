"""A row as a line of JSON, and back: open to read without us, and the same from every database."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Collection
from typing import Any, cast

from sqlalchemy import Boolean, Column, Date, Integer, LargeBinary, Table, Text
from sqlalchemy.types import DateTime, String, TypeEngine

from courtwright.store.columns import Instant, Plain

Row = dict[str, Any]
#: Whole numbers that every database takes. [-]
_LARGEST = 2**63 - 1


class RowError(ValueError):
    """A line that is no row of its table."""


def line_of(row: Row, table: Table, without: Collection[str] = ()) -> bytes:
    """Return a row as a line.

    Parameters
    ----------
    row : mapping
        By column.
    table : Table
        Of which it is a row.
    without : collection of str
        Columns to leave out.
    """
    shown = {c.name: _shown(row[c.name]) for c in table.columns if c.name in row and c.name not in without}
    return json.dumps(shown, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode() + b"\n"


def _shown(value: Any) -> Any:
    return value.isoformat() if isinstance(value, dt.date) else value


def read_line(line: bytes) -> dict[str, Any]:
    """Return what a line says, by column.

    Raises
    ------
    RowError
        If it is no JSON object, or holds what no database keeps.
    """
    try:
        given = json.loads(line, parse_constant=_refuse_constant)
        # half of a character, which JSON can name and no database keeps
        json.dumps(given, ensure_ascii=False).encode()
    except (ValueError, RecursionError) as error:
        raise RowError from error
    if not isinstance(given, dict):
        raise RowError
    return cast("dict[str, Any]", given)


def _refuse_constant(_: str) -> Any:
    raise RowError


def value_of(given: Any, column: Column[Any], kind: TypeEngine[Any] | None = None) -> Any:
    """Return the value of a column.

    Parameters
    ----------
    given : object
        As the line has it.
    column : Column
        Where it belongs.
    kind : TypeEngine or None
        How it is read, where the column itself does not tell.

    Raises
    ------
    RowError
        If it cannot be such a value.
    """
    if given is None:
        if column.nullable:
            return None
        raise RowError
    return _read(given, kind or column.type)


def _read(given: Any, kind: TypeEngine[Any]) -> Any:
    match kind:
        case Plain():
            return given
        case Instant() | DateTime() if isinstance(given, str):
            return _moment(given)
        case Date() if isinstance(given, str):
            return _day(given)
        case LargeBinary() if isinstance(given, bytes):
            return given
        case Boolean() if isinstance(given, bool):
            return given
        case Integer() if type(given) is int and abs(given) <= _LARGEST:
            return given
        case String() | Text() if isinstance(given, str):
            return given
        case _:
            raise RowError


def _moment(text: str) -> dt.datetime:
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError as error:
        raise RowError from error
    if moment.tzinfo is None:
        raise RowError
    return moment.astimezone(dt.UTC)


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise RowError from error
