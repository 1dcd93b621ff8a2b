"""What every kind of record shares: kept by id and version, each change written down, withdrawn and never deleted."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, ClassVar, Generic, TypeVar

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    Select,
    Table,
    and_,
    bindparam,
    insert,
    or_,
    select,
    update,
)
from sqlalchemy.sql.dml import ReturningInsert

from courtwright.errors import ConflictError, MissingError, StaleError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.hand import Hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What the store adds to a record.

    Parameters
    ----------
    id : str
        A UUID.
    version : int
        1 when made, one more with each change. [-]
    made_at, changed_at : datetime
        When, in UTC.
    withdrawn_at : datetime or None
        When it was withdrawn, if it is.
    """

    id: str
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None = None


R = TypeVar("R", bound=Kept)

#: Where a page ended: the moment of its last record's change, and its id.
After = tuple[dt.datetime, str]


class Rows(Generic[R]):
    """The records of one table, as one unit of work sees them.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    hand : Hand or None
        Who changes, and when; None where nothing may be changed.
    """

    table: ClassVar[Table]
    record: ClassVar[type[Any]]
    #: Whether each change is written down; the coming and going of sessions and the progress of work are not.
    is_written_down: ClassVar[bool] = True

    def __init__(self, connection: Connection, hand: Hand | None) -> None:
        self.connection = connection
        self._hand = hand

    @property
    def hand(self) -> Hand:
        """Who changes something, and when."""
        if self._hand is None:
            message = "a unit that reads was asked to write"
            raise RuntimeError(message)
        return self._hand

    # --- reading ---

    def find(self, id: str) -> R | None:
        """Return a record, withdrawn or not, or None."""
        row = self._row(id)
        return None if row is None else self._made(row)

    def get(self, id: str) -> R:
        """Return a record, withdrawn or not.

        Raises
        ------
        MissingError
            If there is none.
        """
        found = self.find(id)
        if found is None:
            raise self._missing()
        return found

    def one(self, *where: ColumnElement[bool]) -> R | None:
        """Return the only record that fulfils all conditions, or None."""
        row = self.connection.execute(select(self.table).where(*where)).mappings().one_or_none()
        return None if row is None else self._made(row)

    def all(self, *where: ColumnElement[bool], order: Sequence[ColumnElement[Any]] = ()) -> tuple[R, ...]:
        """Return every record that fulfils all conditions, oldest first unless ordered otherwise."""
        query = select(self.table).where(*where).order_by(*order or (self.table.c.made_at, self.table.c.id))
        return tuple(self._made(row) for row in self.connection.execute(query).mappings())

    def page(self, *where: ColumnElement[bool], most: int, after: After | None = None) -> tuple[R, ...]:
        """Return the records changed last, at most ``most`` of them [-], from where the page before ended."""
        at, id = self.table.c.changed_at, self.table.c.id
        if after is not None:
            where = (*where, or_(at < after[0], and_(at == after[0], id < after[1])))
        query = select(self.table).where(*where).order_by(at.desc(), id.desc()).limit(most)
        return tuple(self._made(row) for row in self.connection.execute(query).mappings())

    def lock(self, id: str) -> None:
        """Hold a record until the unit ends, so that others who would lock it wait."""
        self.connection.execute(select(self.table.c.id).where(self.table.c.id == id).with_for_update())

    def _row(self, id: str) -> RowMapping | None:
        return self.connection.execute(_by_id(self.table), {"wanted": id}).mappings().one_or_none()

    def _made(self, row: RowMapping) -> R:
        return self.record(**{name: row[name] for name in _names(self.record)})

    # --- writing ---

    def add(self, id: str, **values: Any) -> R:
        """Keep a new record.

        Parameters
        ----------
        id : str
            A UUID that nobody has used.
        values
            By column.

        Raises
        ------
        ConflictError
            If the id, or another value that must be unique, is taken.
        """
        kept = {"id": id, "version": 1, "made_at": self.hand.at, "changed_at": self.hand.at, **values}
        row = self.connection.execute(_adding(self.table), {**kept, **self.derived(kept)}).mappings().one()
        self._write_down(id, "made", None, values)
        return self._made(row)

    def change(self, id: str, seen: int | None, **values: Any) -> R:
        """Change a record.

        Parameters
        ----------
        id : str
            Of the record.
        seen : int or None
            The version that the caller saw; None to change whatever is there. [-]
        values
            By column; what is the same as before counts as no change.

        Raises
        ------
        MissingError
            If there is no such record.
        StaleError
            If another version is the latest.
        """
        return self._changed(self._seen(id, seen), "changed", values)

    def withdraw(self, id: str, seen: int | None = None) -> R:
        """Withdraw a record; one that is withdrawn stays so.

        Raises
        ------
        MissingError, StaleError
            As `change` does.
        """
        return self._turned(id, seen, "withdrawn", self.hand.at)

    def bring_back(self, id: str, seen: int | None = None) -> R:
        """Bring a withdrawn record back.

        Raises
        ------
        MissingError, StaleError
            As `change` does.
        """
        return self._turned(id, seen, "brought back", None)

    def _turned(self, id: str, seen: int | None, action: str, at: dt.datetime | None) -> R:
        before = self._seen(id, seen)
        if (before["withdrawn_at"] is None) == (at is None):
            return self._made(before)
        return self._changed(before, action, {"withdrawn_at": at})

    def _seen(self, id: str, seen: int | None) -> RowMapping:
        """Return the row of a record, once it is of the version [-] that was seen, if any was."""
        row = self._row(id)
        if row is None:
            raise self._missing()
        if seen is not None and row["version"] != seen:
            raise self._stale()
        return row

    def _changed(self, before: RowMapping, action: str, values: Mapping[str, Any]) -> R:
        table, id, version = self.table, before["id"], before["version"]
        values = {name: value for name, value in values.items() if before[name] != value}
        if not values:
            return self._made(before)
        change = (
            update(table)
            .where(table.c.id == id, table.c.version == version)
            .values(**values, **self.derived({**before, **values}), version=version + 1, changed_at=self.hand.at)
            .returning(*table.c)
        )
        row = self.connection.execute(change).mappings().one_or_none()
        if row is None:
            raise self._stale()
        self._write_down(id, action, {name: before[name] for name in values}, values)
        return self._made(row)

    def _missing(self) -> MissingError:
        return MissingError(say("store.missing", record=say(f"store.record-{self.table.name}")))

    def _stale(self) -> StaleError:
        return StaleError(say("store.stale"), fix=say("store.stale-do"))

    def _write_down(self, id: str, action: str, before: Mapping[str, Any] | None, after: Mapping[str, Any]) -> None:
        if not self.is_written_down:
            return
        written = {
            "at": self.hand.at,
            "who": self.hand.who,
            "record": self.table.name,
            "id": id,
            "action": action,
            "before": None if before is None else self._shown(before),
            "after": self._shown(after),
        }
        self.connection.execute(_WRITING_DOWN, written)

    def _shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """Return values as the history shows them: plain, and hidden ones by no more than that they are there."""
        columns = self.table.c
        return {
            name: (value is not None) if columns[name].info.get("hidden") else _plain(value)
            for name, value in values.items()
        }

    def derived(self, values: Mapping[str, Any]) -> Mapping[str, Any]:
        """Return the columns that follow from a record's others, and are not written down beside them."""
        del values
        return {}

    def require(self, holds: bool, id: str, /, **values: object) -> None:
        """Refuse a change that the record's state forbids.

        Raises
        ------
        ConflictError
            Unless it holds, with the sentence of that id.
        """
        if not holds:
            raise ConflictError(say(id, **values))


@functools.cache
def _by_id(table: Table) -> Select[Any]:
    """Return the query for one row, made once: most requests ask it more than once."""
    return select(table).where(table.c.id == bindparam("wanted"))


@functools.cache
def _adding(table: Table) -> ReturningInsert[Any]:
    """Return the statement that adds one row and gives it back, made once."""
    return insert(table).returning(*table.c)


_WRITING_DOWN = insert(tables.change)


@functools.cache
def _names(record: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(record))


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, dt.date) else value
