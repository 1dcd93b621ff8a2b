"""What was found on each pad, by kind: no more than counting, so that nobody waits for it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from courtwright.job.answers.documents import Document
    from courtwright.site.record import SiteRecord


def counted(record: SiteRecord) -> list[Document]:
    """Return the number of marks and of tallies of each kind, and of shots, pad by pad."""
    return [
        {
            "id": pad.id,
            "marks": dict(sorted(Counter(mark.kind for mark in pad.marks).items())),
            "tallies": dict(sorted(Counter(tally.mark for tally in pad.tallies).items())),
            "shots": 0 if pad.shots is None else len(pad.shots.xyz),
        }
        for pad in record.pads
    ]
