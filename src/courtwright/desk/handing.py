"""What a worker is handed: the payload that was kept with its task, and kept files that it only names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from courtwright.desk.kinds import parcel
from courtwright.errors import DamagedError
from courtwright.site.photo_heads import head_of
from courtwright.site.photos import FOLDER
from courtwright.store.blobs import Blobs
from courtwright.store.rows.tasks import Task

#: Where a request names kept files: SHA-256 by name of the part. They are not kept a second time.
PARTS = "parts"


def payload_of(blobs: Blobs, task: Task) -> bytes:
    """Return what the worker of a task is handed.

    Raises
    ------
    DamagedError
        If the payload itself is lost; a file that it names and that is lost is left out, as one that never came.
    """
    payload = blobs.get(task.input_sha256)
    parts: Mapping[str, str] | None = task.request.get(PARTS)
    if not parts:
        return payload
    return parcel.pack({**parcel.unpack(payload), **dict(_read(blobs, parts))})


def _read(blobs: Blobs, parts: Mapping[str, str]) -> Iterator[tuple[str, bytes]]:
    for name, sha256 in parts.items():
        try:
            content = blobs.get(sha256)
        except DamagedError:
            continue
        # What names its files only asks what they tell, never for their pixels.
        yield name, head_of(content) if f"/{FOLDER}" in name else content
