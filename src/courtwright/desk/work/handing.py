"""What a worker is handed: the payload that was kept with its task, and kept files that it only names."""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterator, Mapping

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import FOLDER as SITE_FOLDER
from courtwright.errors import DamagedError
from courtwright.site.photo_heads import head_of
from courtwright.site.photos import FOLDER
from courtwright.site.walk_files import WalkedFiles
from courtwright.store.blobs import Blobs
from courtwright.store.rows.tasks import Task

#: Where a request names kept files: SHA-256 by name of the part. They are not kept a second time. Of photos among the
#: first, a worker is handed what they tell and no pixels; the second are handed whole.
PARTS, WHOLE = "parts", "whole_parts"


def own_parts(files: WalkedFiles, come: Collection[str]) -> dict[str, str]:
    """Return the files of a walk's site that a worker is handed: SHA-256 by name of the part.

    Anybody may write any hash into a document: only those that came to the walk are handed over.
    """
    return {SITE_FOLDER + name: sha256 for name, sha256 in files.blobs.items() if sha256 in come}


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
