"""Makes tables of ``site.toml``, keeping what stands before a slip of the pen."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from courtwright.site.complaints import Complaints, short
from courtwright.site.formats.text import decoded

_PLACE = re.compile(r"\(at line (\d+), column (\d+)\)")
#: A key of so many parts: reading it would take memory by the square of their number.
_DEEP_KEY = re.compile(r"""(?:[\w"'-]{1,200}+[ \t]*+\.[ \t]*+){20}""")
_HEADER = re.compile(r"^[ \t]*\[", re.MULTILINE)


def read_tables(data: bytes, file: str, complaints: Complaints) -> dict[str, Any]:
    r"""Return the tables of a TOML file; of a broken one, those before the table that holds the slip.

    Parameters
    ----------
    data : bytes
        The file.
    file : str
        Its name.
    complaints : Complaints
        Takes in what is wrong.

    Returns
    -------
    dict
        Empty when nothing can be read.

    Examples
    --------
    >>> read_tables(b'[job]\nname = "a"\n[site]\naddress = "', "site.toml", Complaints())
    {'job': {'name': 'a'}}
    """
    text = decoded(data)
    if text is None:
        complaints.error(file, "", "not-text")
        return {}
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    deep = _DEEP_KEY.search(text)
    if deep:
        complaints.error(file, f"line {text.count(chr(10), 0, deep.start()) + 1}", "too-deep")
        return _tables(text[: _before(text, text.count("\n", 0, deep.start()) + 1)])
    try:
        return tomllib.loads(text)
    except RecursionError:
        complaints.error(file, "", "too-deep")
        return _tables(text)
    except ValueError as error:
        line, column = _place(str(error), text)
        kept = _before(text, line)
        detail = short(_PLACE.sub("", str(error)).strip())
        complaints.error(
            file, f"line {line}, column {column}", "not-toml", detail=detail, kept=text.count("\n", 0, kept) + 1
        )
        return _tables(text[:kept])


def _place(message: str, text: str) -> tuple[int, int]:
    found = _PLACE.search(message)
    if found:
        return int(found[1]), int(found[2])
    lines = text.split("\n")
    return len(lines), len(lines[-1]) + 1


def _before(text: str, line: int) -> int:
    """Return where the table that holds ``line`` begins, in characters."""
    end = 0
    for _ in range(line):
        end = text.find("\n", end) + 1 or len(text)
    starts = [match.start() for match in _HEADER.finditer(text, 0, end)]
    return starts[-1] if starts else 0


def _tables(text: str) -> dict[str, Any]:
    """Return the tables of the longest beginning of a text, cut before a table, that is TOML."""
    ends = [match.start() for match in _HEADER.finditer(text)] + [len(text)]
    low, high, found = 0, len(ends), dict[str, Any]()
    while low < high:
        middle = (low + high) // 2
        try:
            found = tomllib.loads(text[: ends[middle]])
            low = middle + 1
        except (ValueError, RecursionError):
            high = middle
    return found
