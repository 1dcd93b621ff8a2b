"""Where a page of a list begins: a cursor of ours, and nothing else."""

from __future__ import annotations

import base64
import datetime as dt

import pytest

from courtwright.desk.pages import after_of
from courtwright.errors import InputError


def cursor(text: str) -> str:
    """Return a cursor that says so."""
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def test_a_cursor_says_where_a_page_begins_in_utc() -> None:
    """Whatever the zone in which it says so."""
    at = dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC)
    assert after_of(cursor("2026-05-04T10:00:00+02:00 x")) == (at, "x")
    assert after_of(None) is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-05-04T08:00:00+00:00",
        "2026-05-04T08:00:00 x",
        "2026-05-04T08:00:00+00:00 x y",
        "2026-05-04T08:00:00+00:00 x\x00",
        # No moment of any calendar in UTC.
        "0001-01-01T00:00:00+23:59 x",
        "9999-12-31T23:59:59-23:59 x",
    ],
)
def test_what_is_no_cursor_of_ours_is_refused(text: str) -> None:
    """Before it reaches the database."""
    with pytest.raises(InputError):
        after_of(cursor(text))


@pytest.mark.parametrize("given", ["é", "a", "%%%%", "=" * 9])
def test_what_is_no_base64_is_refused(given: str) -> None:
    """As every other."""
    with pytest.raises(InputError):
        after_of(given)
