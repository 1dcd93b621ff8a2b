"""The list of sources itself: each says what it is, where to look and how far to trust it, and is compared with."""

import re
import tomllib
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
SOURCES = tomllib.loads((TESTS / "reference" / "sources.toml").read_text(encoding="utf-8"))
#: Read, from memory, computed with the named library, exact arithmetic.
TRUST = {"R", "M", "V", "D"}


@pytest.mark.parametrize("name", SOURCES)
def test_a_source_says_what_it_is_where_and_how_far_to_trust_it(name: str):
    """Title, where and trust, a year where it has one, and nothing else."""
    source = SOURCES[name]
    assert {"title", "where", "trust"} <= set(source) <= {"title", "where", "trust", "year"}
    assert len(source["title"]) > 3
    assert len(source["where"]) > 3
    assert source["trust"] in TRUST
    assert 1900 < source.get("year", 2000) < 2100


def test_every_source_is_compared_with():
    """No source is listed that no check names."""
    named = {
        id
        for file in TESTS.rglob("test_*.py")
        for id in re.findall(r'mark\.reference\("([^"]+)"\)', file.read_text(encoding="utf-8"))
    }
    assert named == set(SOURCES)
