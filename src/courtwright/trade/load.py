"""The trade's data, read once and kept: one function per kind of file."""

from __future__ import annotations

import functools
from collections.abc import Mapping

from courtwright.errors import TradeDataError
from courtwright.says import say
from courtwright.trade import tables
from courtwright.trade.records import FactSpec, Source


@functools.cache
def sources() -> Mapping[str, Source]:
    """Return every source that a value of the trade may name, by key."""
    (file,) = (f for f in tables.folder("") if f.name == "sources.toml")
    return {key: tables.record(Source, entry, f"sources.toml, {key}") for key, entry in tables.load_toml(file).items()}


def check_source(source: str, where: str) -> None:
    """Refuse a source that ``sources.toml`` does not list.

    Raises
    ------
    TradeDataError
        If the key before the first comma is not listed.
    """
    key = source.split(", ")[0]
    if key not in sources():
        raise TradeDataError(say("trade.unknown-source", source=source), where=where)


@functools.cache
def facts() -> Mapping[str, FactSpec]:
    """Return every fact that a verdict may rest on, by the name that ``[answers]`` takes."""
    found: dict[str, FactSpec] = {}
    for file in tables.folder("facts"):
        for name, entry in tables.load_toml(file).items():
            where = f"facts/{file.name}, {name}"
            found[name] = tables.record(FactSpec, entry, where)
            check_source(found[name].source, where)
    return found
