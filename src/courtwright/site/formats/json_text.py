"""Reads JSON that a person or a program wrote, keeping what can be kept of a broken file."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from dataclasses import dataclass
from typing import Any

_FEATURES = re.compile(r'"features"\s*:\s*\[')
_UNITS = re.compile(r'"units"\s*:\s*"(\w{1,10})"')
_BETWEEN = re.compile(r"[\s,]*")


class Table(dict[str, Any]):
    """A JSON object that remembers which of its keys were written twice."""

    __slots__ = ("twice",)

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        is_plain = len(self) == len(pairs)
        counts = Counter[str]() if is_plain else Counter(key for key, _ in pairs)
        self.twice: tuple[str, ...] = tuple(sorted(key for key, count in counts.items() if count > 1))


@dataclass(frozen=True, slots=True)
class Broken:
    """Where a file stops being JSON, and the features before that place."""

    line: int
    column: int
    features: tuple[Any, ...]
    units: str | None


def _not_a_number(text: str) -> float:
    """Keep ``NaN`` and ``Infinity`` as what they are, so that the feature that holds one is told."""
    return math.nan


_DECODER = json.JSONDecoder(object_pairs_hook=Table, parse_constant=_not_a_number)


def read(text: str) -> Any:
    """Return the value that ``text`` holds, or `Broken`.

    Examples
    --------
    >>> read('{"features": [{"id": 1}, {"id": 2}, {"id"').features
    ({'id': 1}, {'id': 2})
    """
    try:
        return _DECODER.decode(text)
    except RecursionError:
        return _broken(text, 0)
    except json.JSONDecodeError as error:
        return _broken(text, error.pos)
    except ValueError:  # a whole number of thousands of digits
        return _broken(text, 0)


def _broken(text: str, position: int) -> Broken:
    start = _FEATURES.search(text)
    features: list[Any] = []
    if start:
        position = start.end()
        try:
            while True:
                position = _next(text, position)
                value, position = _DECODER.raw_decode(text, position)
                features.append(value)
        except (ValueError, RecursionError):
            pass  # here the file stops being JSON
    units = _UNITS.search(text, 0, start.start() if start else len(text))
    line = text.count("\n", 0, position) + 1
    return Broken(line, position - text.rfind("\n", 0, position), tuple(features), units[1] if units else None)


def _next(text: str, position: int) -> int:
    match = _BETWEEN.match(text, position)
    return match.end() if match else position
