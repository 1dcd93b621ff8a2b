"""Sends photos in parts, and looks for each byte that was acknowledged: in the half file, or in a whole photo."""

from __future__ import annotations

import functools
import hashlib
import io
import random
from dataclasses import dataclass, field

from PIL import Image
from sqlalchemy import func, select

from courtwright.desk.office import Office
from courtwright.store import tables
from courtwright.store.unit import Unit
from tests.kill.asking import PARTIAL, Asking
from tests.kill.walks import Walks

#: Of one photo, and of the parts in which it is sent. [bytes]
SIZE, LEAST, MOST = 90_000, 12_000, 45_000


@functools.cache
def _picture() -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (32, 24), (90, 120, 80)).save(held, "JPEG")
    return held.getvalue()


def photo(chance: random.Random) -> bytes:
    """Return a photo like no other: one with so long a comment."""
    found, picture = bytearray(_picture()[:2]), _picture()[2:]
    while len(found) + len(picture) < SIZE:
        comment = chance.randbytes(40_000)
        found += b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment
    return bytes(found) + picture


@dataclass(slots=True)
class Upload:
    """A photo on its way: what of it was acknowledged."""

    walk_id: str
    content: bytes
    id: str | None = None
    offset: int = 0
    is_whole: bool = False
    #: Whether a part was sent and not answered.
    is_unsure: bool = False

    @property
    def sha256(self) -> str:
        """Hash of the whole."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass(slots=True)
class Photos:
    """The photos of one client, on its walks."""

    walks: Walks
    uploads: list[Upload] = field(default_factory=list[Upload])
    fresh: int = 0
    #: What a server told that cannot be: fewer bytes than it had acknowledged.
    told: list[str] = field(default_factory=list[str])

    def step(self, ask: Asking, chance: random.Random) -> None:
        """Announce a photo, ask how far it is, or send a part."""
        if not self.uploads or self.uploads[-1].is_whole:
            walk = self.walks.open_walk(ask)
            if walk is None:
                return
            self.uploads.append(Upload(walk.id, photo(chance)))
        upload = self.uploads[-1]
        if upload.id is None:
            self._announce(ask, upload)
        elif upload.is_unsure:
            self._look(ask, upload)
        else:
            self._send(ask, upload, chance)

    def _announce(self, ask: Asking, upload: Upload) -> None:
        given = {"sha256": upload.sha256, "size_bytes": len(upload.content), "name": "IMG.jpg", "kind": "photo"}
        answer = ask("POST", f"/api/walks/{upload.walk_id}/uploads", given)
        if answer is not None:
            upload.id = answer.json()["id"]

    def _look(self, ask: Asking, upload: Upload) -> None:
        answer = ask("HEAD", f"/api/uploads/{upload.id}")
        if answer is None:
            return
        offset = int(answer.headers["upload-offset"])
        if offset < upload.offset:
            self.told.append(f"upload {upload.id} is at {offset}, was at {upload.offset}")
        upload.offset, upload.is_unsure = offset, False
        upload.is_whole = answer.headers["upload-complete"] == "?1"

    def _send(self, ask: Asking, upload: Upload, chance: random.Random) -> None:
        end = min(len(upload.content), upload.offset + chance.randint(LEAST, MOST))
        is_last = end == len(upload.content)
        told = {"Content-Type": PARTIAL, "Upload-Offset": str(upload.offset)}
        upload.is_unsure = True
        answer = ask(
            "PATCH",
            f"/api/uploads/{upload.id}",
            upload.content[upload.offset : end],
            {**told, "Upload-Complete": "?1" if is_last else "?0"},
        )
        if answer is not None:
            upload.offset, upload.is_unsure = int(answer.headers["upload-offset"]), False
            upload.is_whole = answer.headers["upload-complete"] == "?1"

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged: of the photos that were sent lately, or of all."""
        looked_at = self.uploads[0 if whole else self.fresh :]
        with office.reading() as unit:
            found = [one for upload in looked_at for one in _lost(office, unit, upload)]
        self.fresh = max(0, len(self.uploads) - 1)
        return [*found, *self.told]


def _lost(office: Office, unit: Unit, upload: Upload) -> list[str]:
    if upload.id is None:
        return []
    row, kept = unit.uploads.find(upload.id), unit.photos.of(upload.walk_id, upload.sha256)
    if row is None:
        return [f"upload {upload.id} is gone"]
    if (row.state == "kept") != (kept is not None):
        return [f"upload {upload.id} is {row.state}, its photo {kept}"]
    if _times(unit, upload) != 1:
        return [f"upload {upload.id} was announced {_times(unit, upload)} times"]
    if kept is not None:
        # Read with its hash.
        is_same = unit.blobs.get(upload.sha256) == upload.content
        return [] if is_same else [f"photo {upload.sha256} is another"]
    if upload.is_whole:
        return [f"photo {upload.sha256} was acknowledged and is not kept"]
    here = office.store.parts.read(upload.id)
    if len(here) < upload.offset or not upload.content.startswith(here):
        return [f"upload {upload.id} has {len(here)} bytes, {upload.offset} were acknowledged; or they are others"]
    return []


def _times(unit: Unit, upload: Upload) -> int:
    table = tables.upload.c
    query = select(func.count()).where(table.walk_id == upload.walk_id, table.sha256 == upload.sha256)
    return unit.connection.execute(query).scalar_one()
