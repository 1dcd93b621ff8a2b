"""The company itself: one record."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

#: There is one company in a store, so that its id is known beforehand.
COMPANY = str(uuid.UUID(int=1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Company(Kept):
    """The contractor, as offers name it.

    Parameters
    ----------
    name, licence, address, phone : str
        As typed.
    terms : mapping
        What the company's papers say of payment, warranty and the like, field by field, as typed.
    logo_sha256 : str or None
        The kept PNG.
    """

    name: str
    licence: str
    address: str
    phone: str
    terms: Mapping[str, Any]
    logo_sha256: str | None


class Companies(Rows[Company]):
    """The company."""

    table = tables.company
    record = Company
