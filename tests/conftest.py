"""Stops a run in which a published check names no source."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

_SOURCES = tomllib.loads((Path(__file__).parent / "reference" / "sources.toml").read_text(encoding="utf-8"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every ``reference`` mark names an id of ``tests/reference/sources.toml``."""
    for item in items:
        for mark in item.iter_markers("reference"):
            if not mark.args or mark.args[0] not in _SOURCES:
                message = f"{item.nodeid}: reference {mark.args!r} is not in tests/reference/sources.toml"
                raise pytest.UsageError(message)
