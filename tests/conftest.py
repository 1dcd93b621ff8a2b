"""Settings of a run: published checks name a listed source, laws are tried so long, workers keep to one core each."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from hypothesis import settings

# Tests run side by side: linear algebra that spreads over all cores in each of them waits for itself.
# Read when numpy loads, by the commands that tests run too.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_SOURCES = tomllib.loads((Path(__file__).parent / "reference" / "sources.toml").read_text(encoding="utf-8"))

# `make test` tries the same cases each time, so that a red run is red for everybody; `make soak` looks for new ones.
settings.register_profile("quick", max_examples=60, deadline=None, derandomize=True)
settings.register_profile("soak", max_examples=4000, deadline=None, print_blob=True)
settings.load_profile("quick")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every ``reference`` mark names an id of ``tests/reference/sources.toml``."""
    for item in items:
        for mark in item.iter_markers("reference"):
            if not mark.args or mark.args[0] not in _SOURCES:
                message = f"{item.nodeid}: reference {mark.args!r} is not in tests/reference/sources.toml"
                raise pytest.UsageError(message)
