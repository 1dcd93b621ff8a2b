"""An answer as one whole document: its complaints with it, and its text the same wherever it is given."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.plain import Reader

if TYPE_CHECKING:
    from courtwright.site.record import SiteRecord

Document = dict[str, Any]


def with_complaints(answer: Mapping[str, object], record: SiteRecord, reader: Reader) -> Document:
    """Return an answer about a site with what was wrong with its record."""
    return {**answer, "complaints": complaints(record.complaints, reader)}


def document_text(document: Mapping[str, object]) -> str:
    """Return a document as JSON text."""
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
