"""What never leaves with a job, filled in where a row cannot be without it: nobody can sign in or open a link by it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Table

from courtwright.store.columns import METADATA


def filled(table: Table, row: Mapping[str, Any], at: Any) -> dict[str, Any]:
    """Return a row with what its table needs and a bundle of a job does not hold.

    Parameters
    ----------
    table : Table
        Of which it is a row.
    row : mapping
        By column.
    at : datetime or str
        When people who are known by name only count as made, and as withdrawn.

    Examples
    --------
    >>> filled(METADATA.tables["person"], {"id": "7", "name": "Ana"}, "2026-05-04")["role"]
    'crew'
    """
    made = dict(row)
    if table.name == "person" and "email" not in made:
        made |= {"email": made["id"], "role": "crew", "language": "en", "units": "us", "password_hash": None}
        made |= {"version": 1, "made_at": at, "changed_at": at, "withdrawn_at": at}
    known = METADATA.tables.get(table.name, table)
    for column in known.columns:
        if column.info.get("hidden") and not column.nullable and column.name not in made:
            # longer than no hash and equal to none: what it stands for is not there
            made[column.name] = f"none:{made['id']}"
    return made
