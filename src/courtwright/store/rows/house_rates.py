"""The company's own rates: one record."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

#: There is one set of them in a store, so that its id is known beforehand.
HOUSE_RATES = str(uuid.UUID(int=2))


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptHouseRates(Kept):
    """The rates that the company puts in place of those of the book.

    Parameters
    ----------
    rates : mapping of str to mapping
        By id: ``value`` [money/unit or %], ``unit``, ``date`` and ``note``.
    """

    rates: Mapping[str, Mapping[str, Any]]


class HouseRateRows(Rows[KeptHouseRates]):
    """The company's own rates."""

    table = tables.house_rates
    record = KeptHouseRates

    def now(self) -> Mapping[str, Mapping[str, Any]]:
        """Return the rates that count now; none where none were ever kept."""
        found = self.find(HOUSE_RATES)
        return {} if found is None else found.rates
