"""Uploads under way: what is to come. What has come of them lies in `store.parts` until it is whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from sqlalchemy import ColumnElement, func, select

from courtwright.store import tables
from courtwright.store.rows.base import Kept, Rows

UploadKind = Literal["photo", "survey"]
UPLOAD_KINDS: tuple[UploadKind, ...] = get_args(UploadKind)
#: It is coming, or it has come and is kept.
UploadState = Literal["open", "kept"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload(Kept):
    """A file that comes in parts.

    Parameters
    ----------
    walk_id : str
        Of the walk that it belongs to.
    who : str
        Who sends it.
    sha256 : str
        Of what is to come.
    size_bytes : int
        Of what is to come. [bytes]
    name : str
        What it is called.
    kind : str
        One of `UPLOAD_KINDS`.
    state : str
        One of `UploadState`; one that was given up is withdrawn.
    """

    walk_id: str
    who: str
    sha256: str
    size_bytes: int
    name: str
    kind: UploadKind
    state: UploadState


class Uploads(Rows[Upload]):
    """The uploads."""

    table = tables.upload
    record = Upload
    is_written_down = False  # the file that comes of it is

    def open_for(self, walk_id: str, who: str, sha256: str, kind: UploadKind) -> Upload | None:
        """Return the upload of this very file that is under way, or None."""
        of = self.table.c
        same = self.all(of.walk_id == walk_id, of.who == who, of.sha256 == sha256, of.kind == kind, *self.opened())
        return next(iter(same), None)

    def opened(self) -> tuple[ColumnElement[bool], ...]:
        """Return the conditions of uploads that are under way."""
        return (self.table.c.state == "open", self.table.c.withdrawn_at.is_(None))

    def load(self, who: str) -> tuple[int, int]:
        """Return how many uploads of a person are under way [-], and how much they are to bring [bytes]."""
        of = self.table.c
        size = func.coalesce(func.sum(of.size_bytes), 0)
        query = select(func.count(), size).where(of.who == who, *self.opened())
        count, whole = self.connection.execute(query).one()
        return int(count), int(whole)
