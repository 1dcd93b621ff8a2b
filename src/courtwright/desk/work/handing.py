"""What a worker is handed: the payload that was kept with its task, and kept files that it only names."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping

from courtwright.desk.kinds import parcel
from courtwright.errors import DamagedError
from courtwright.site.photo_heads import head_of
from courtwright.site.photos import FOLDER
from courtwright.store.blobs import Blobs
from courtwright.store.rows.tasks import Task

#: Where a request names kept files: SHA-256 by name of the part. They are not kept a second time. Of photos among the
#: first, a worker is handed what they tell and no pixels; the second are handed whole.
PARTS, WHOLE = "parts", "whole_parts"


def payload_of(blobs: Blobs, task: Task) -> bytes:
    """Return what the worker of a task is handed.

    Raises
    ------
    DamagedError
        If the payload itself is lost; a file that it names and that is lost is left out, as one that never came.
    """
    payload = blobs.get(task.input_sha256)
    parts: Mapping[str, str] = task.request.get(PARTS) or {}
    whole: Mapping[str, str] = task.request.get(WHOLE) or {}
    if not parts and not whole:
        return payload
    heads = {name: head_of(content) if f"/{FOLDER}" in name else content for name, content in _read(blobs, parts)}
    return parcel.pack({**parcel.unpack(payload), **heads, **dict(_read(blobs, whole))})


def _read(blobs: Blobs, parts: Mapping[str, str]) -> Iterator[tuple[str, bytes]]:
    for name, sha256 in parts.items():
        with contextlib.suppress(DamagedError):
            yield name, blobs.get(sha256)
