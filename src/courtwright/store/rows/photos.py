"""Photos and survey files of walks: records of kept files, and the small copies of photos."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection, select

from courtwright.store import tables
from courtwright.store.insert import insert_unless
from courtwright.store.rows.base import Kept, Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Attached(Kept):
    """A file of a walk.

    Parameters
    ----------
    walk_id : str
        Of the walk.
    sha256 : str
        Of what is in it.
    name : str
        As the device called it.
    media : str
        Its type, known by its content.
    size_bytes : int
        Its size. [bytes]
    """

    walk_id: str
    sha256: str
    name: str
    media: str
    size_bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo(Attached):
    """A photo of a walk, as the camera wrote it.

    Parameters
    ----------
    facts : mapping
        What it tells of itself: width and height upright, when it was taken, whether it names a place.
    """

    facts: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey(Attached):
    """A file of a survey, such as shots."""


A = TypeVar("A", bound=Attached)


class AttachedRows(Rows[A]):
    """What photos and survey files have in common."""

    def of(self, walk_id: str, sha256: str) -> A | None:
        """Return the file of a walk with that content, withdrawn or not, or None."""
        return self.one(self.table.c.walk_id == walk_id, self.table.c.sha256 == sha256)

    def like(self, sha256: str, job_id: str | None = None) -> A | None:
        """Return the oldest record of a file with that content, of one job or of any, or None."""
        where = [self.table.c.sha256 == sha256]
        if job_id is not None:
            walks = select(tables.walk.c.id).where(tables.walk.c.job_id == job_id)
            where.append(self.table.c.walk_id.in_(walks))
        return next(iter(self.all(*where)), None)

    def hashes(self, walk_id: str) -> set[str]:
        """Return the SHA-256 of every file of a walk, withdrawn or not."""
        query = select(self.table.c.sha256).where(self.table.c.walk_id == walk_id)
        return set(self.connection.execute(query).scalars())


class Photos(AttachedRows[Photo]):
    """The photos."""

    table = tables.photo
    record = Photo


class Surveys(AttachedRows[Survey]):
    """The survey files."""

    table = tables.survey
    record = Survey


class Previews:
    """The small copies of photos: a cache.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(self, sha256: str, longest_px: int) -> str | None:
        """Return the SHA-256 of a copy whose longest side is so long [px], by the SHA-256 of the photo, or None."""
        table = tables.preview.c
        query = select(table.preview_sha256).where(table.sha256 == sha256, table.longest_px == longest_px)
        return self._connection.execute(query).scalar_one_or_none()

    def put(self, sha256: str, longest_px: int, preview_sha256: str, at: dt.datetime) -> None:
        """Remember a copy, unless one is known. ``longest_px`` is its longest side. [px]"""
        values = {"sha256": sha256, "longest_px": longest_px, "preview_sha256": preview_sha256, "at": at}
        self._connection.execute(
            insert_unless(self._connection, tables.preview).values(values).on_conflict_do_nothing()
        )
