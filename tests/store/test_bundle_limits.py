"""What of a bundle is held in one piece has a limit, whatever the bundle says."""

from __future__ import annotations

import pytest

from courtwright.desk.office import Office
from courtwright.errors import InputError
from courtwright.store.bundle import reader
from tests.store.test_bundle import full, packed, read

__all__ = ["full"]


@pytest.mark.parametrize(
    ("limit", "most", "id"),
    [
        ("_LONGEST_MANIFEST", {"job": 1000}, "foreign"),
        ("_MOST_HELD", {"job": 1000}, "large"),
        ("_LONGEST_LINE", 100, "row"),
    ],
)
def test_what_would_fill_the_memory_is_not_read(
    full: Office, limit: str, most: object, id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list of files, the rows of a job, one row; real ones are far below."""
    data = packed(full.store)
    read(data)
    monkeypatch.setattr(reader, limit, most)
    with pytest.raises(InputError) as told:
        read(data)
    assert told.value.problem.id == f"store.bundle-{id}"
