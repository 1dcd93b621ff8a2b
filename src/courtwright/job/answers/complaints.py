"""Complaints as plain records."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from courtwright.job.answers.plain import Reader

if TYPE_CHECKING:
    from courtwright.site.record import Complaint


def complaints(given: Iterable[Complaint], reader: Reader) -> list[dict[str, object]]:
    """Return complaints as the contract words them."""
    return [
        {
            "file": c.file,
            "at": c.at,
            "code": c.code,
            "weight": c.weight,
            "says": reader.says(c.says),
            "do": reader.says(c.do),
        }
        for c in given
    ]
